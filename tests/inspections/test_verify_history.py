"""What was signed shows when somebody changes it behind the product's back."""

import datetime as dt

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from inspections.models import Decision, FieldNote, LeftOut, Reading, Seal, SignOff
from inspections.services import decisions, sign_off
from inspections.services.seal_checks import verify
from tests.inspections.work_rows import a_unit, off_joints, position
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def signed() -> SignOff:
    """A signed inspection with a note, and three decisions after it."""
    unit = make_unit(make_bridge("S-1"))
    element = make_element(unit, "pot", code="B-1")
    visit = make_inspection(unit.bridge, dt.date(2024, 5, 2))
    read(visit, element, "offset_along", 3.0, 18.0)
    FieldNote.objects.create(inspection=visit, element=element, text="Rust")
    LeftOut.objects.create(inspection=visit, element=element, reason="covered")
    lead = make_user("inspector")
    row = sign_off.sign(
        inspection=visit, user=lead, role="Lead", statement="Seen by me", records_expected=None
    )
    engineer = make_user("engineer")
    for joint in off_joints(a_unit("S-2"), "J-1", "J-2", "J-3"):
        decisions.decide(
            flag=position(joint), kind="accept", reason="Known", user=engineer,
            until=dt.date(2090, 1, 1),
        )  # fmt: skip
    return row


def faults() -> list[tuple[int, str]]:
    """Return what a walk along the chain finds."""
    return [tuple(each) for each in verify().faults]


def test_what_was_signed_and_left_alone_holds(signed, capsys):
    call_command("verify_history")
    told = capsys.readouterr().out
    assert "4 seals hold." in told
    assert f"Head: {Seal.objects.latest('number').digest}" in told


def test_a_decision_that_holds_from_an_hour_of_the_bridge_is_left_alone(db):
    hour = dt.datetime(2024, 6, 2, 23, 59, tzinfo=dt.timezone(dt.timedelta(hours=-5)))
    (joint,) = off_joints(a_unit("S-2"), "J-1")
    decision = decisions.decide(
        flag=position(joint), kind="accept", reason="Known", user=make_user("engineer"),
        until=dt.date(2090, 1, 1), as_of=hour,
    )  # fmt: skip
    assert decision.as_of == hour
    assert faults() == []


def test_an_empty_ledger_holds(capsys):
    call_command("verify_history")
    assert "0 seals hold." in capsys.readouterr().out


def test_a_decision_that_was_reworded_is_named(signed):
    second = Decision.objects.order_by("pk")[1]
    Decision.objects.filter(pk=second.pk).update(reason="Known for years")
    ((number, told),) = faults()
    assert number == Seal.objects.get(kind="decision", row_id=second.pk).number
    assert f"decision {second.pk}" in told
    assert "changed after it was signed" in told


def test_a_decision_changed_together_with_its_digest_is_named(signed):
    row = Decision.objects.order_by("pk")[1]
    row.reason = "Another"
    Decision.objects.filter(pk=row.pk).update(reason="Another", digest=decisions.digest_of(row))
    ((_, told),) = faults()
    assert "digest" in told


def test_a_reading_changed_under_a_signature_is_named(signed):
    Reading.objects.filter(inspection=signed.inspection).update(value=4.0)
    ((number, told),) = faults()
    assert number == 1
    assert f"signature {signed.pk} under the inspection" in told


def test_a_note_removed_from_under_a_signature_is_named(signed):
    FieldNote.objects.all().delete()
    assert [number for number, _ in faults()] == [1]


def test_what_is_recorded_after_a_signature_leaves_it_whole(signed):
    FieldNote.objects.create(inspection=signed.inspection, text="Seen in the office")
    assert faults() == []


def test_a_decision_that_was_removed_is_named(signed):
    first = Decision.objects.order_by("pk").first()
    Decision.objects.filter(pk=first.pk).delete()
    ((number, told),) = faults()
    assert number == Seal.objects.get(kind="decision", row_id=first.pk).number
    assert "is gone" in told


def test_a_decision_slipped_in_without_a_seal_is_named(signed):
    row = Decision.objects.order_by("pk").last()
    row.pk = None
    row.save(force_insert=True)
    ((number, told),) = faults()
    assert (number, f"Decision {row.pk}" in told) == (0, True)


def test_a_link_taken_out_or_changed_is_named_where_it_stood(signed):
    Seal.objects.filter(number=2).update(content="f" * 64)
    assert {number for number, _ in faults()} == {2}
    Seal.objects.filter(number=3).delete()
    assert (4, "Missing before it: 3.") in faults()


def test_a_chain_that_was_cut_off_shows_against_the_head_that_was_noted(signed, capsys):
    noted = Seal.objects.latest("number")
    call_command("verify_history", head=noted.digest.upper())
    Decision.objects.filter(pk=noted.row_id).delete()
    noted.delete()
    assert faults() == []
    with pytest.raises(CommandError, match="1 fault in 3 seals"):
        call_command("verify_history", head=noted.digest)
    assert "is not in the chain" in capsys.readouterr().out


def test_a_head_that_is_none_is_refused():
    with pytest.raises(CommandError, match="64 signs"):
        call_command("verify_history", head="4f0c")


def test_a_decision_that_is_rolled_back_leaves_no_link(signed):
    def broken_off():
        with transaction.atomic():
            decisions.decide(
                flag=Decision.objects.first().flag, kind="watch", reason="Looks worse",
                user=make_user("engineer"), until=dt.date(2090, 1, 1),
            )  # fmt: skip
            raise ConnectionError

    before = Seal.objects.count()
    with pytest.raises(ConnectionError):
        broken_off()
    assert Seal.objects.count() == before
    assert faults() == []
