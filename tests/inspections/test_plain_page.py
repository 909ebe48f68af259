"""A page in plain words as it is read, written, saved, and met again by a changed record."""

import datetime as dt
import io

import pytest
from django.core.management import CommandError, call_command
from pypdf import PdfReader

from inspections.models import CriticalFinding, Flag, PlainPage
from inspections.models.choices import InspectionState
from inspections.plain_lengths import TEXTS
from inspections.selectors.flags import flags
from inspections.selectors.plain_pages import plain_now
from inspections.services.decisions import decide
from inspections.services.flags import write_flags
from inspections.services.sightings import replace_critical
from inventory.models import Element
from inventory.units import System
from tests.html_form import form_values
from tests.inspections.desk_rows import words
from tests.inspections.work_rows import (
    a_unit,
    an_order,
    anew,
    finish,
    measure,
    off_joints,
    position,
)
from tests.make import UTC, make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = pytest.mark.django_db


def fields_of(response) -> dict[str, str]:
    """Return what the page's form holds."""
    return form_values(response, "plain-form")


@pytest.fixture
def joint() -> Element:
    """Return a joint set to 70 mm that was found at 40 mm."""
    (made,) = off_joints(a_unit("HV-104"), "J-1")
    return made


@pytest.fixture
def flag(joint) -> Flag:
    return position(joint)


def address(flag: Flag) -> str:
    return f"/flags/{flag.pk}/plain/"


def written(client, flag: Flag, **texts) -> object:
    """Send the page's form as it stands, some texts written over."""
    return client.post(address(flag), sent(client, flag) | texts)


def sent(client, flag: Flag) -> dict[str, str]:
    return fields_of(client.get(address(flag)))


def now(flag: Flag, system: System = System.SI):
    return plain_now(flag.element.bridge, flags().get(pk=flag.pk), system)


@pytest.mark.parametrize(
    ("role", "reads", "writes", "prints"),
    [
        ("inspector", 200, 403, 403),
        ("engineer", 200, 302, 200),
        ("manager", 200, 302, 200),
        (None, 403, 403, 403),
    ],
)
def test_who_reads_who_writes_and_who_prints(as_role, flag, role, reads, writes, prints):
    client = as_role(role)
    assert client.get(address(flag)).status_code == reads
    page = now(flag)
    form = page.texts | {"seen_digest": page.digest, "seen_version": ""}
    assert client.post(address(flag), form).status_code == writes
    assert client.get(f"/flags/{flag.pk}/plain.pdf").status_code == prints
    assert client.get("/bridges/HV-104/plain.pdf").status_code == prints
    assert PlainPage.objects.count() == (writes == 302)


def test_whoever_is_not_signed_in_is_sent_to_sign_in(client, flag):
    assert client.get(address(flag)).headers["Location"].startswith("/sign-in/")
    assert client.get(f"/flags/{flag.pk}/plain.pdf").headers["Location"].startswith("/sign-in/")


def test_a_flag_that_is_not_there_is_not_found(as_role):
    assert as_role("engineer").get("/flags/999999/plain/").status_code == 404
    assert as_role("engineer").get("/bridges/NOWHERE/plain/").status_code == 404


def test_the_form_comes_filled_from_the_record(as_role, flag):
    form = sent(as_role("engineer"), flag)
    assert form["title"] == "The joint at the first support: not where it should be"
    found = " ".join(form["found"].split())
    assert "The gap was 40 mm. It should have been 70 mm. So it was 30 mm too narrow." in found
    assert "No decision has been made yet." in form["plan"]
    assert "made from our files" in form["meaning"]


def test_an_inspector_reads_the_page_without_a_form(as_role, flag):
    response = as_role("inspector").get(address(flag))
    assert "So it was 30 mm too narrow." in words(response)
    assert "<textarea" not in response.content.decode()


def test_it_is_reached_from_the_flag_and_from_the_bridge(as_role, flag):
    client = as_role("inspector")
    assert address(flag) in client.get(f"/flags/{flag.pk}/").content.decode()
    assert "/bridges/HV-104/plain/" in client.get("/bridges/HV-104/").content.decode()
    leads_to = client.get("/bridges/HV-104/plain/").headers["Location"]
    assert leads_to in [address(each) for each in Flag.objects.filter(element=flag.element)]


def test_the_bridge_leads_to_the_flag_that_matters_most(as_role):
    unit = a_unit("HV-105")
    off_joints(unit, "J-1", "J-2")
    worst = position(Element.objects.get(code="J-2"))
    Flag.objects.exclude(pk=worst.pk).update(nearness=0.1)
    client = as_role("manager")
    assert client.get("/bridges/HV-105/plain/").headers["Location"] == address(worst)
    visit = make_inspection(unit.bridge, dt.date(2024, 6, 9))
    bearing = make_element(unit, code="P-9")
    CriticalFinding.objects.create(
        inspection=visit,
        element=bearing,
        what="The plate has dropped out.",
        found_at=dt.datetime(2024, 6, 9, 8, tzinfo=UTC),
    )
    replace_critical([unit.bridge_id])
    write_flags(unit.bridge_id)
    critical = Flag.objects.get(element=bearing, cause="critical")
    assert client.get("/bridges/HV-105/plain/").headers["Location"] == address(critical)
    assert "A critical finding stands" in words(client.get(address(critical)))
    # it stands on every page of the bridge, until an engineer closes it
    assert "A critical finding stands" in words(client.get(address(worst)))
    decide(flag=critical, kind="mended", reason="x", user=make_user("engineer"))
    assert "A critical finding stands" in words(client.get(address(worst)))
    critical.refresh_from_db()
    decide(flag=critical, kind="close", reason="x", user=make_user("engineer"))
    assert "A critical finding stands" not in words(client.get(address(worst)))


def test_a_bridge_without_an_open_flag_has_a_page_of_its_own(as_role):
    make_element(make_unit(make_bridge("B-7")), code="P-1")
    client = as_role("engineer")
    told = words(client.get("/bridges/B-7/plain/"))
    assert "Nothing was found that needs a decision." in told
    assert "It has not been measured yet." in told
    form = fields_of(client.get("/bridges/B-7/plain/"))
    assert (
        client.post("/bridges/B-7/plain/", form | {"plan": "Measured in May."}).status_code == 302
    )
    saved = PlainPage.objects.get()
    assert (saved.flag, saved.plan) == (None, "Measured in May.")
    pages = PdfReader(
        io.BytesIO(b"".join(client.get("/bridges/B-7/plain.pdf").streaming_content))
    ).pages
    assert "not measured yet" in pages[0].extract_text()


def test_what_is_saved_keeps_who_when_and_what_it_rests_on(as_role, flag):
    client = as_role("manager")
    assert written(client, flag, plan="The council hears of it in May.").status_code == 302
    saved = PlainPage.objects.get()
    assert saved.plan == "The council hears of it in May."
    assert saved.saved_by.held_roles.get().role == "manager"
    assert saved.relied_on["measured"]["value"] == 40.0
    assert "No decision" in saved.generated["plan"]
    assert saved.digest == now(flag).digest
    assert "The council hears of it in May." in sent(client, flag)["plan"]


def test_earlier_versions_are_kept_and_shown(as_role, flag):
    client = as_role("engineer")
    written(client, flag, plan="First plan.")
    written(client, flag, plan="Second plan.")
    assert list(PlainPage.objects.values_list("plan", flat=True)) == ["Second plan.", "First plan."]
    told = words(client.get(address(flag)))
    assert "Earlier versions" in told
    assert "First plan." in told


def test_a_text_that_is_too_long_or_empty_is_refused_and_nothing_typed_is_lost(as_role, flag):
    client = as_role("engineer")
    most = {each.name: each.most for each in TEXTS}
    long = "w" * (most["plan"] + 31)
    response = written(client, flag, plan=long, unknown=" ")
    told = words(response)
    assert f"{len(long)} characters are too many: at most {most['plan']}. Leave out 31." in told
    assert "Say something here" in told
    assert long in response.content.decode()
    assert not PlainPage.objects.exists()


def test_texts_that_do_not_fit_on_one_page_are_refused_with_how_much(as_role, flag):
    response = written(as_role("engineer"), flag, found="a\n" * 200)
    assert "too long for one page, by about" in words(response)
    assert not PlainPage.objects.exists()


def test_the_ends_of_lines_that_a_browser_sends_count_once(as_role, flag):
    most = {each.name: each.most for each in TEXTS}["plan"]
    text = ("a" * 49 + "\r\n") * (most // 50)
    assert written(as_role("engineer"), flag, plan=text).status_code == 302
    assert "\r" not in PlainPage.objects.get().plan


def test_somebody_elses_version_is_not_written_over_unseen(as_role, client, flag):
    client = as_role("engineer")
    old = sent(client, flag)
    written(client, flag, plan="Theirs.")
    response = client.post(address(flag), old | {"plan": "Mine."})
    assert "Somebody saved this page while you wrote." in words(response)
    again = fields_of(response)
    assert again["plan"].strip() == "Mine."
    assert client.post(address(flag), again).status_code == 302
    assert list(PlainPage.objects.values_list("plan", flat=True)) == ["Mine.", "Theirs."]


def test_a_record_that_changes_while_one_writes_is_told_before_anything_is_saved(as_role, flag):
    client = as_role("engineer")
    old = sent(client, flag)
    decide(
        flag=flag, kind="watch", reason="x", until=dt.date(2090, 1, 1), user=make_user("engineer")
    )
    response = client.post(address(flag), old | {"plan": "Mine."})
    assert "The record changed while you wrote." in words(response)
    assert client.post(address(flag), fields_of(response)).status_code == 302
    assert PlainPage.objects.get().plan == "Mine."


def test_a_new_decision_offers_its_paragraph_beside_what_was_written(as_role, flag):
    client = as_role("engineer")
    written(client, flag, plan="We shall see.", found="It is too narrow.")
    assert "The record has changed" not in words(client.get(address(flag)))
    decide(
        flag=flag, kind="watch", reason="x", until=dt.date(2090, 1, 1), interval_months=6,
        user=make_user("engineer"),
    )  # fmt: skip
    response = client.get(address(flag))
    told = words(response)
    assert "The record has changed since these texts were saved." in told
    assert "looked at every 6 months until 1 January 2090" in told
    form = fields_of(response)
    assert form["plan"].strip() == "We shall see."
    assert form["found"].strip() == "It is too narrow."
    # the finding itself is as it was
    assert 'value="found"' not in response.content.decode()


def test_an_offer_is_taken_without_losing_what_else_was_typed_and_saves_nothing(as_role, flag):
    client = as_role("engineer")
    written(client, flag, plan="We shall see.")
    decide(flag=flag, kind="close", reason="x", user=make_user("engineer"))
    form = sent(client, flag) | {"unknown": "Typed and not saved."}
    response = client.post(address(flag), form | {"take": "plan"})
    taken = fields_of(response)
    assert "closed the matter" in taken["plan"]
    assert taken["unknown"].strip() == "Typed and not saved."
    assert PlainPage.objects.count() == 1
    assert client.post(address(flag), taken).status_code == 302
    assert "The record has changed" not in words(client.get(address(flag)))


def test_a_new_reading_and_an_order_are_a_change_of_the_record(as_role, flag, joint):
    client, engineer = as_role("engineer"), make_user("engineer")
    written(client, flag)
    order = an_order([flag])
    assert set(now(flag).offers) >= {"plan"}
    written(client, flag)
    assert now(flag).offers == {}
    finish(order, engineer, anew(joint))
    assert "finished on 1 July 2024" in " ".join(now(flag).offers["plan"].split())
    measure(joint, 70.0)
    flag.refresh_from_db()
    assert now(flag).changed
    offers = {name: " ".join(text.split()) for name, text in now(flag).offers.items()}
    assert "measured after that, on 5 July 2024" in offers["plan"]
    # of the device that was set anew
    assert "measured again on 5 July 2024 and was as it should be" in offers["found"]


def test_readings_that_are_not_handed_in_are_not_told(as_role, flag, joint):
    before = now(flag).digest
    visit = measure(joint, 55.0)
    assert now(flag).digest != before
    type(visit).objects.filter(pk=visit.pk).update(state=InspectionState.OPEN)
    assert now(flag).facts.later is None


def test_other_units_offer_the_same_paragraphs_and_print_what_was_saved(as_role, flag):
    client = as_role("engineer")
    written(client, flag)
    client.post("/preferences/units/", {"units": "us"})
    told = words(client.get(address(flag)))
    assert "saved in other units than you prefer" in told
    assert "The gap was 1 5/8 inches." in told
    file = b"".join(client.get(f"/flags/{flag.pk}/plain.pdf").streaming_content)
    page = PdfReader(io.BytesIO(file)).pages[0]
    assert round(float(page.mediabox.width)) == 612
    said = " ".join(page.extract_text().split())
    assert "40 mm" in said
    assert "inch" not in said


def test_a_page_that_no_longer_fits_leads_back_and_says_so(as_role, flag):
    client = as_role("engineer")
    written(client, flag)
    PlainPage.objects.update(found="a\n" * 300)
    response = client.get(f"/flags/{flag.pk}/plain.pdf", follow=True)
    assert "too long for one page, by about" in words(response)


def test_the_printed_page_says_that_the_record_has_changed(as_role, flag):
    client = as_role("engineer")
    written(client, flag)
    decide(flag=flag, kind="close", reason="x", user=make_user("engineer"))
    file = b"".join(client.get(f"/flags/{flag.pk}/plain.pdf").streaming_content)
    said = " ".join(PdfReader(io.BytesIO(file)).pages[0].extract_text().split())
    assert "The record has changed since these texts were saved." in said


def test_the_command_prints_the_page_of_a_flag_or_of_a_bridge(flag, tmp_path, capsys):
    path = tmp_path / "council.pdf"
    call_command("report", "--kind", "plain", "--flag", str(flag.pk), "--output", str(path))
    assert len(PdfReader(path).pages) == 1
    assert str(flag) in capsys.readouterr().out
    call_command("report", "HV-104", "--kind", "plain", "--output", str(path), "--units", "us")
    assert "inches" in PdfReader(path).pages[0].extract_text()


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--kind", "plain", "--flag", "999999"], "no flag has the number 999999"),
        (["HV-104", "--kind", "plain", "--flag", "1"], "leave it out beside --flag"),
        (["HV-104", "--flag", "1"], "only «--kind plain» takes it"),
        (["--kind", "plain"], "give the code of the bridge"),
    ],
)
def test_wrong_arguments_of_the_command_are_refused(flag, tmp_path, arguments, message):
    with pytest.raises(CommandError, match=message) as error:
        call_command("report", *arguments, "--output", str(tmp_path / "x.pdf"))
    assert error.value.returncode == 2


def test_the_page_asks_the_store_no_more_often_when_there_are_more_flags(
    as_role, flag, django_assert_max_num_queries
):
    few, many = (_among(code, count) for code, count in (("HV-106", 4), ("HV-107", 14)))
    client = as_role("engineer")
    with django_assert_max_num_queries(45) as asked:
        client.get(address(few))
    with django_assert_max_num_queries(len(asked)):
        client.get(address(many))


def _among(code: str, count: int) -> Flag:
    """Return the flag of one of many joints that are off on a bridge."""
    return position(off_joints(a_unit(code), *(f"J-{number}" for number in range(count)))[0])
