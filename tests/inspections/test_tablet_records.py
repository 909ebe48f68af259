"""What tablets send is taken once, stands alone, and is answered record by record."""

import datetime as dt
import uuid

import pytest
from django.utils import timezone

from inspections.models import (
    Condition,
    CriticalFinding,
    FieldNote,
    Inspection,
    LeftOut,
    Reading,
    TabletRecord,
    TemperatureReading,
    Verdict,
)
from inspections.services import visits
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user
from tests.tablet import Tablet

pytestmark = pytest.mark.django_db


@pytest.fixture
def inspection() -> Inspection:
    """An open inspection of today, on a bridge with a pot bearing."""
    unit = make_unit(make_bridge())
    make_element(unit, "pot", code="B1", design={"movement_ahead_mm": 60, "movement_back_mm": 60})
    return make_inspection(unit.bridge, timezone.now().date())


@pytest.fixture
def bearing(inspection):
    """Its bearing."""
    return inspection.bridge.elements.get()


@pytest.fixture
def tablet() -> Tablet:
    """An inspector's tablet."""
    return Tablet(make_user("inspector"))


def outcomes(receipts: list[dict]) -> list[str]:
    """Return what became of each record."""
    return [each["outcome"] for each in receipts]


def test_a_reading_arrives_with_what_was_typed_and_is_judged(tablet, inspection, bearing):
    temperature = tablet.record(
        inspection,
        "temperature",
        {
            "unit": None,
            "place": "girder_web",
            "sunlit": False,
            "typed": "50 F",
            "temperature_c": 10.0,
            "taken_at": tablet.now.isoformat(),
        },
    )
    reading = tablet.reading(inspection, bearing, 55.5625, typed="2 3/16 in")

    assert outcomes(tablet.send(temperature, reading)) == ["taken", "taken"]

    row = Reading.objects.get()
    assert (row.typed, row.value) == ("2 3/16 in", pytest.approx(55.5625))
    assert row.record_id == uuid.UUID(reading["uid"])
    assert TemperatureReading.objects.get().temperature_c == pytest.approx(10.0)
    assert Verdict.objects.get().reading == row


def test_the_same_packet_sent_twice_is_one(tablet, inspection, bearing):
    reading = tablet.reading(inspection, bearing, 12.0)

    assert outcomes(tablet.send(reading)) == ["taken"]
    assert outcomes(tablet.send(reading, reading)) == ["already", "already"]

    assert Reading.objects.count() == TabletRecord.objects.count() == 1


def test_what_was_taken_but_not_judged_is_judged_when_it_comes_again(tablet, inspection, bearing):
    reading = tablet.reading(inspection, bearing, 12.0)
    tablet.send(reading)
    Verdict.objects.all().delete()  # as if the server had gone before it judged

    assert outcomes(tablet.send(reading)) == ["already"]

    assert Verdict.objects.get().value == 12.0


def test_an_id_used_for_another_value_is_refused_and_nothing_is_overwritten(
    tablet, inspection, bearing
):
    first = tablet.reading(inspection, bearing, 12.0)
    tablet.send(first)
    other = tablet.reading(inspection, bearing, 13.0) | {"uid": first["uid"]}

    (receipt,) = tablet.send(other)

    assert receipt["outcome"] == "refused"
    assert Reading.objects.get().value == 12.0


def test_what_is_wrong_with_one_record_does_not_hold_up_the_others(tablet, inspection, bearing):
    wrong = tablet.reading(inspection, bearing, 99_999.0)
    right = tablet.reading(inspection, bearing, 12.0)

    refused, taken = tablet.send(wrong, right)

    assert (refused["outcome"], refused["field"]) == ("refused", "value")
    assert "above" in refused["message"]
    assert taken["outcome"] == "taken"


def test_a_value_that_tablet_and_server_read_differently_is_refused(tablet, inspection, bearing):
    (close,) = tablet.send(tablet.reading(inspection, bearing, 55.57, typed="2 3/16 in"))
    (receipt,) = tablet.send(tablet.reading(inspection, bearing, 52.0, typed="2 3/16 in"))

    assert close["outcome"] == "taken"
    assert (receipt["outcome"], receipt["field"]) == ("refused", "typed")


def test_a_second_measurement_joins_the_time_of_the_first_and_both_are_kept(
    tablet, inspection, bearing
):
    first = tablet.reading(inspection, bearing, 12.0)
    second = tablet.reading(inspection, bearing, 13.0, is_repeat_of=first["uid"])

    assert outcomes(tablet.send(first, second)) == ["taken", "taken"]

    rows = Reading.objects.order_by("repeat")
    assert [(row.repeat, row.value) for row in rows] == [(1, 12.0), (2, 13.0)]
    assert len({row.taken_at for row in rows}) == 1
    verdict = Verdict.objects.get()
    assert (verdict.repeats, verdict.value) == (2, 12.5)


def test_two_tablets_on_one_point_are_both_kept(inspection, bearing):
    one, other = Tablet(make_user("inspector")), Tablet(make_user("inspector"))

    assert outcomes(one.send(one.reading(inspection, bearing, 12.0))) == ["taken"]
    assert outcomes(other.send(other.reading(inspection, bearing, 40.0))) == ["taken"]

    assert sorted(Reading.objects.values_list("value", flat=True)) == [12.0, 40.0]


@pytest.mark.parametrize("away", [dt.timedelta(hours=3), dt.timedelta(hours=-3)])
def test_a_wrong_clock_is_put_right_and_told(away, inspection, bearing):
    tablet = Tablet(make_user("inspector"), clock_slow=away)

    assert outcomes(tablet.send(tablet.reading(inspection, bearing, 12.0))) == ["taken"]

    record = TabletRecord.objects.get()
    assert abs(Reading.objects.get().taken_at - timezone.now()) < dt.timedelta(minutes=1)
    assert record.clock_slow_s == pytest.approx(away.total_seconds(), abs=5)
    assert abs(record.made_at + away - timezone.now()) < dt.timedelta(minutes=1)


def test_nothing_enters_an_inspection_that_was_handed_in(tablet, inspection, bearing):
    tablet.send(tablet.reading(inspection, bearing, 12.0))
    visits.submit(inspection=inspection)

    (receipt,) = tablet.send(tablet.reading(inspection, bearing, 13.0))

    assert (receipt["outcome"], receipt["field"]) == ("refused", "inspection")
    assert "return" in receipt["message"]


def test_an_element_of_another_bridge_is_refused(tablet, inspection):
    elsewhere = make_element(make_unit(make_bridge()))

    (receipt,) = tablet.send(tablet.reading(inspection, elsewhere, 12.0))

    assert (receipt["outcome"], receipt["field"]) == ("refused", "element")


def test_conditions_notes_findings_and_reasons_arrive(tablet, inspection, bearing):
    states = {"cs1": 0, "cs2": 1, "cs3": 0, "cs4": 0, "total": 1}
    sent = [
        tablet.record(inspection, kind, payload)
        for kind, payload in (
            ("condition", {"element": bearing.pk, "defect": 1000, "remark": "", **states}),
            ("note", {"element": None, "text": "Ice on the bench"}),
            (
                "critical",
                {
                    "element": bearing.pk,
                    "what": "Plate sheared off",
                    "done": "Lane closed",
                    "told": "Engineer on duty",
                    "found_at": tablet.now.isoformat(),
                },
            ),
            ("left_out", {"element": bearing.pk, "reason": "unsafe", "remark": ""}),
        )
    ]

    assert outcomes(tablet.send(*sent)) == ["taken"] * 4

    assert Condition.objects.get().cs2 == 1
    assert FieldNote.objects.get().element is None
    assert CriticalFinding.objects.get().told == "Engineer on duty"
    assert LeftOut.objects.get().reason == "unsafe"


def test_condition_states_that_do_not_sum_are_refused_with_both_figures(
    tablet, inspection, bearing
):
    states = {"cs1": 3, "cs2": 1, "cs3": 0, "cs4": 0, "total": 5}
    record = tablet.record(
        inspection, "condition", {"element": bearing.pk, "defect": 0, "remark": "", **states}
    )

    (receipt,) = tablet.send(record)

    assert receipt["outcome"] == "refused"
    assert "sum to 4, not to the 5" in receipt["message"]
    assert not Condition.objects.exists()


@pytest.mark.parametrize(
    "payload",
    [
        {},
        {"element": "1"},
        {"element": True},
        {"quantity": 3},
        {"value": "12"},
        {"value": None},
        {"taken_at": "yesterday"},
        {"taken_at": "2024-06-01T08:00:00"},
        {"typed": "1,5"},
        {"point": "nowhere"},
        {"axis": "square"},
        {"is_repeat_of": str(uuid.uuid4())},
    ],
)
def test_a_record_that_cannot_be_read_is_refused_by_name(payload, tablet, inspection, bearing):
    record = tablet.reading(inspection, bearing, 12.0)
    record["payload"] = record["payload"] | payload if payload else {}

    (receipt,) = tablet.send(record)

    assert receipt["outcome"] == "refused"
    assert receipt["field"]
    assert receipt["message"]
    assert not TabletRecord.objects.exists()


@pytest.mark.parametrize(
    "body",
    [
        {"records": None},
        {"records": [{"uid": "x"}]},
        {"records": ["x"]},
        {"clock_now": "now"},
        {"clock_now": None},
        {"records": [{}] * 201},
    ],
)
def test_what_is_no_batch_at_all_is_a_problem_and_no_fault_of_the_server(body, tablet, inspection):
    response = tablet.post(**body)

    assert response.status_code == 400
    assert response.json()["detail"]


def test_a_session_that_ended_is_told_in_words_and_not_by_a_redirect(tablet, inspection, bearing):
    record = tablet.reading(inspection, bearing, 12.0)
    tablet.client.logout()

    response = tablet.post(record)

    assert response.status_code == 401
    assert "Sign in" in response.json()["detail"]


@pytest.mark.parametrize("role", ["manager", None])
def test_who_may_not_enter_readings_sends_none(role, inspection, bearing):
    tablet = Tablet(make_user(role))

    assert tablet.post(tablet.reading(inspection, bearing, 12.0)).status_code == 403
    assert not TabletRecord.objects.exists()
