"""The lead signs when nothing is open; the inspection is locked, and what was signed is known."""

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inspections.lookups.field import inspection_sheet
from inspections.models import Inspection, Reading, SignOff, TabletRecord, Verdict
from inspections.models.choices import InspectionState
from inspections.services import readings as reading_service
from inspections.services.sign_off import digest_of, set_aside
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user
from tests.tablet import Tablet

pytestmark = pytest.mark.django_db
STATEMENT = {"role": "Lead inspector", "statement": "Complete and true to what we saw."}


@pytest.fixture
def inspection() -> Inspection:
    """An open inspection of today, with two clamps."""
    unit = make_unit(make_bridge())
    make_element(unit, "clamp", code="C1")
    make_element(unit, "clamp", code="C2")
    return make_inspection(unit.bridge, timezone.now().date())


@pytest.fixture
def tablet() -> Tablet:
    """An inspector's tablet."""
    return Tablet(make_user("inspector"))


def slip(tablet, inspection, code, value):
    """Return a reading of the slip of a clamp."""
    element = inspection.bridge.elements.get(code=code)
    return tablet.reading(inspection, element, value, quantity="slip")


def read_all(tablet, inspection, *codes):
    """Send a reading of everything that is asked for at some clamps."""
    for stop in inspection_sheet(inspection).stops:
        for each in stop.fields if stop.element.code in codes else ():
            for point in stop.wanted(each):
                unit = each.dimension.value
                tablet.send(
                    tablet.reading(
                        inspection, stop.element, 0.5 if unit else 0, quantity=each.quantity.value,
                        point=point, typed=f"0.5 {unit}" if unit else "0",
                    )
                )  # fmt: skip


def sign(tablet, inspection, count=None):
    """Sign, and return the receipt."""
    payload = STATEMENT | ({} if count is None else {"count": count})
    (receipt,) = tablet.send(tablet.record(inspection, "sign_off", payload))
    return receipt


def test_a_complete_inspection_is_signed_and_locked(tablet, inspection):
    read_all(tablet, inspection, "C1", "C2")

    count = TabletRecord.objects.count()
    assert sign(tablet, inspection, count=count)["outcome"] == "taken"

    inspection.refresh_from_db()
    assert inspection.state == InspectionState.SUBMITTED
    signed = SignOff.objects.get()
    assert (signed.role, signed.digest) == ("Lead inspector", digest_of(inspection))
    (late,) = tablet.send(slip(tablet, inspection, "C1", 0.7))
    assert late["outcome"] == "refused"
    # Beside the value on the tablet, «is handed in» alone would be read as said of the value.
    assert late["message"].startswith("This inspection is handed in: nothing can be added.")


def test_what_was_left_out_without_a_reason_holds_the_signature_up(tablet, inspection):
    read_all(tablet, inspection, "C1")

    receipt = sign(tablet, inspection)
    assert receipt["outcome"] == "refused"
    assert "C2" in receipt["message"]
    assert "C1" not in receipt["message"]

    element = inspection.bridge.elements.get(code="C2")
    left = {"element": element.pk, "reason": "covered", "remark": "Ice"}
    tablet.send(tablet.record(inspection, "left_out", left))
    assert sign(tablet, inspection)["outcome"] == "taken"


def rate(tablet, inspection, code):
    """Send the condition states of a clamp as a whole."""
    states = {"defect": 0, "cs1": 0, "cs2": 1, "cs3": 0, "cs4": 0, "total": 1}
    element = inspection.bridge.elements.get(code=code)
    tablet.send(tablet.record(inspection, "condition", {"element": element.pk} | states))


def test_a_visit_of_condition_states_alone_is_signed_without_asking_for_readings(
    tablet, inspection
):
    rate(tablet, inspection, "C1")
    assert "C2" in sign(tablet, inspection)["message"]
    rate(tablet, inspection, "C2")

    assert sign(tablet, inspection)["outcome"] == "taken"
    inspection.refresh_from_db()
    assert inspection.state == InspectionState.SUBMITTED
    assert not Reading.objects.exists()


def test_an_element_read_in_part_is_asked_for_whatever_its_condition_states(tablet, inspection):
    rate(tablet, inspection, "C1")
    rate(tablet, inspection, "C2")
    tablet.send(slip(tablet, inspection, "C1", 0.5))

    message = sign(tablet, inspection)["message"]
    assert "C1" in message
    assert "C2" not in message


def test_a_signature_waits_for_what_is_still_on_the_tablet(tablet, inspection):
    read_all(tablet, inspection, "C1", "C2")

    receipt = sign(tablet, inspection, count=TabletRecord.objects.count() + 1)

    assert (receipt["outcome"], receipt["field"]) == ("refused", "count")
    assert not SignOff.objects.exists()


def test_nobody_but_the_lead_signs(tablet, inspection):
    inspection.lead = make_user("inspector")
    inspection.save(update_fields=["lead"])
    read_all(tablet, inspection, "C1", "C2")

    assert "lead" in sign(tablet, inspection)["message"]
    assert not SignOff.objects.exists()


def test_two_tablets_that_disagree_hold_the_signature_up_until_one_is_set_aside(tablet, inspection):
    other = Tablet(make_user("inspector"))
    read_all(tablet, inspection, "C1", "C2")
    other.send(slip(other, inspection, "C1", 3.5))

    assert "C1" in sign(tablet, inspection)["message"]

    wrong = Reading.objects.get(value=3.5)
    set_aside(reading=wrong, reason="Read on the wrong clamp", user=make_user("engineer"))
    assert not Verdict.objects.filter(reading=wrong).exists()
    assert sign(tablet, inspection)["outcome"] == "taken"


def test_setting_aside_needs_a_reason_and_happens_once(tablet, inspection):
    tablet.send(slip(tablet, inspection, "C1", 0.5))
    reading, user = Reading.objects.get(), make_user("engineer")

    with pytest.raises(ValidationError, match="Say why"):
        set_aside(reading=reading, reason=" ", user=user)
    set_aside(reading=reading, reason="Wrong clamp", user=user)
    with pytest.raises(ValidationError, match="already"):
        set_aside(reading=reading, reason="Again", user=user)


def test_the_digest_changes_with_whatever_was_signed(tablet, inspection):
    read_all(tablet, inspection, "C1", "C2")
    sign(tablet, inspection)
    before = digest_of(inspection)

    reading_service.correct_reading(
        reading=Reading.objects.first(),
        value=0.6,
        typed="0.6",
        reason="Misread",
        user=make_user("engineer"),
    )

    assert digest_of(inspection) != before
    assert SignOff.objects.get().digest == before
