"""The one way in for readings and temperatures: what it takes, refuses and corrects."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inspections.models import Instrument, Reading, TemperatureReading, Verdict
from inspections.services.readings import (
    NewReading,
    NewTemperature,
    RowsRefused,
    correct_reading,
    record,
)
from inspections.services.visits import open_inspection, submit
from inventory.models import Installation
from inventory.services.installations import replace_installation
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = pytest.mark.django_db
DAY = dt.date(2024, 6, 1)
AT = dt.datetime(2024, 6, 1, 9, 30, tzinfo=dt.UTC)


@pytest.fixture
def visit():
    return make_inspection(make_unit(make_bridge()).bridge, DAY)


@pytest.fixture
def joint(visit):
    return make_element(
        visit.bridge.units.get(),
        "strip_seal",
        installation={
            "setting_source": "measured",
            "setting_temperature_c": 20.0,
            "setting_gap_mm": 50.0,
        },
        design={"opening_min_mm": 5.0, "opening_max_mm": 130.0},
    )


def gap(element, value=55.0, **fields):
    values = {"point": "left", "axis": "square", "taken_at": AT, "typed": f"{value} mm"} | fields
    return NewReading(element=element, quantity="gap", value=value, **values)


def girder(value=20.0, **fields):
    values = {"place": "girder_web", "taken_at": AT, "typed": f"{value} C"} | fields
    return NewTemperature(temperature_c=value, **values)


def enter(visit, *rows, temperatures=(), **fields):
    return record(inspection=visit, readings=list(rows), temperatures=list(temperatures), **fields)


def refused(visit, *rows, temperatures=()):
    with pytest.raises(RowsRefused) as caught:
        enter(visit, *rows, temperatures=temperatures)
    assert not Reading.objects.exists()
    assert not TemperatureReading.objects.exists()
    return caught.value


def test_the_same_rows_handed_in_twice_are_one(visit, joint):
    first = enter(visit, gap(joint), temperatures=[girder()])
    again = enter(visit, gap(joint), temperatures=[girder()])
    assert (first.added, first.already_there) == (2, 0)
    assert (again.added, again.already_there) == (0, 2)
    assert Reading.objects.count() == TemperatureReading.objects.count() == 1


def test_another_value_for_the_same_point_and_time_is_refused_and_the_remedy_is_told(visit, joint):
    enter(visit, gap(joint, 55.0))
    with pytest.raises(RowsRefused) as caught:
        enter(visit, gap(joint, 56.0))
    (problem,) = caught.value.readings
    assert (problem.row, problem.field) == (0, "value")
    assert "55 mm is recorded" in problem.message
    assert "Correct that reading, or count this one as a repeat" in problem.message
    assert Reading.objects.get().value == 55.0


def test_another_temperature_for_the_same_place_and_time_is_refused(visit):
    enter(visit, temperatures=[girder(20.0)])
    with pytest.raises(RowsRefused) as caught:
        enter(visit, temperatures=[girder(25.0)])
    assert caught.value.temperatures[0].field == "temperature_c"
    assert TemperatureReading.objects.get().temperature_c == 20.0


def test_a_repeat_is_kept_and_the_mean_is_judged(visit, joint):
    enter(visit, gap(joint, 49.0), gap(joint, 51.0, repeat=2), temperatures=[girder(20.0)])
    assert Reading.objects.count() == 2
    verdict = Verdict.objects.get()
    assert (verdict.repeats, verdict.value) == (2, 50.0)


def test_a_time_ahead_of_the_clock_is_refused(joint):
    today = timezone.now().date()
    visit = make_inspection(joint.bridge, today)
    problem = refused(visit, gap(joint, taken_at=timezone.now() + dt.timedelta(hours=1)))
    assert problem.readings[0].field == "taken_at"
    assert "future" in problem.readings[0].message


def test_a_clock_some_minutes_fast_is_forgiven(joint):
    visit = make_inspection(joint.bridge, timezone.now().date())
    enter(visit, gap(joint, taken_at=timezone.now() + dt.timedelta(minutes=5)))
    assert Reading.objects.count() == 1


def test_a_day_too_far_from_the_visit_is_refused(visit, joint):
    problem = refused(
        visit,
        gap(joint, taken_at=AT + dt.timedelta(days=3)),
        temperatures=[girder(taken_at=AT - dt.timedelta(days=3))],
    )
    assert problem.readings[0].field == problem.temperatures[0].field == "taken_at"
    assert "2024-06-04" in problem.readings[0].message
    assert "use another inspection" in problem.readings[0].message


def test_the_day_is_counted_by_the_clock_of_the_bridge():
    bridge = make_bridge(time_zone="Pacific/Auckland")
    joint = make_element(make_unit(bridge), "strip_seal")
    visit = make_inspection(bridge, DAY)
    # 13:00 UTC on 3 June is 01:00 on 4 June in Auckland (UTC+12, IANA tz database)
    problem = refused(visit, gap(joint, taken_at=dt.datetime(2024, 6, 3, 13, tzinfo=dt.UTC)))
    assert "2024-06-04" in problem.readings[0].message
    enter(visit, gap(joint, taken_at=dt.datetime(2024, 6, 3, 11, tzinfo=dt.UTC)))


def test_a_reading_before_anything_was_installed_is_refused():
    unit = make_unit(make_bridge())
    joint = make_element(unit, "strip_seal", installation={"installed_on": dt.date(2024, 7, 1)})
    problem = refused(make_inspection(unit.bridge, DAY), gap(joint))
    assert problem.readings[0].field == "taken_at"
    assert f"No device stood at {joint.code} on 2024-06-01" in problem.readings[0].message


def test_a_reading_belongs_to_the_device_of_its_day(visit, joint):
    first = joint.current_installation
    replace_installation(
        element=joint,
        ended_on=dt.date(2024, 8, 1),
        end_reason="replaced",
        installation=Installation(device_type="finger", installed_on=dt.date(2024, 8, 1)),
    )
    enter(visit, gap(joint))
    assert Reading.objects.get().installation == first


def test_a_quantity_that_the_device_does_not_have_is_refused(visit, joint):
    problem = refused(
        visit, NewReading(joint, "tilt", 1.0, "1 deg", AT)
    )  # fmt: skip
    assert problem.readings[0].field == "quantity"
    assert "not read on a strip seal joint" in problem.readings[0].message


def test_an_element_of_another_bridge_is_refused(visit):
    other = make_element(make_unit(make_bridge()), "strip_seal")
    assert refused(visit, gap(other)).readings[0].field == "element"


def test_an_instrument_that_reads_something_else_is_refused(visit, joint):
    thermometer = Instrument.objects.create(
        code="TH-1", name="Contact thermometer", dimension="degC", accuracy=0.5
    )
    problem = refused(visit, gap(joint, instrument=thermometer))
    assert problem.readings[0].field == "instrument"


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"value": -1.0}, "value"),
        ({"value": 3001.0}, "value"),
        ({"value": float("nan")}, "value"),
        ({"axis": ""}, "axis"),
        ({"point": "middle"}, "point"),
        ({"repeat": 0}, "repeat"),
        ({"accuracy": -0.5}, "accuracy"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(visit, joint, fields, field):
    value = fields.pop("value", 55.0)
    assert [each.field for each in refused(visit, gap(joint, value, **fields)).readings] == [field]


def test_every_wrong_row_is_told_at_once_and_none_is_written(visit, joint):
    problem = refused(
        visit,
        gap(joint, 5000.0),
        gap(joint, 55.0, point="centre"),
        gap(joint, 55.0, point="nowhere"),
        temperatures=[girder(20.0), girder(200.0, place="deck_top")],
    )
    assert [(each.row, each.field) for each in problem.readings] == [(0, "value"), (2, "point")]
    assert [(each.row, each.field) for each in problem.temperatures] == [(1, "temperature_c")]


def test_nothing_is_added_once_another_session_has_handed_the_inspection_in(visit, joint):
    enter(visit, gap(joint))
    stale = type(visit).objects.get(pk=visit.pk)
    submit(inspection=visit)
    with pytest.raises(ValidationError, match="nothing can be added"):
        enter(stale, gap(joint, point="right"))
    assert Reading.objects.count() == 1


def test_a_correction_stands_and_the_old_value_stays(visit, joint):
    enter(visit, gap(joint, 85.0), temperatures=[girder(20.0)])
    wrong = Reading.objects.get()
    assert Verdict.objects.get().get_verdict_display() == "Out of range"
    engineer = make_user("engineer")
    right = correct_reading(
        reading=wrong, value=50.0, typed="5 cm", reason="digits exchanged", user=engineer
    )
    wrong.refresh_from_db()
    assert (wrong.value, wrong.corrected_by) == (85.0, right)
    assert (right.value, right.typed, right.remark) == (50.0, "5 cm", "digits exchanged")
    assert (right.taken_at, right.point, right.created_by) == (wrong.taken_at, "left", engineer)
    verdict = Verdict.objects.get()
    assert (verdict.reading, verdict.value) == (right, 50.0)
    assert verdict.get_verdict_display() == "In range"


def test_a_correction_can_be_corrected_and_only_the_last_is_judged(visit, joint):
    enter(visit, gap(joint, 85.0))
    user = make_user("engineer")
    second = correct_reading(
        reading=Reading.objects.get(), value=58.0, typed="58", reason="misread", user=user
    )
    with pytest.raises(ValidationError, match="Correct the newer one"):
        correct_reading(
            reading=second.corrects, value=52.0, typed="52", reason="misread", user=user
        )
    third = correct_reading(reading=second, value=51.0, typed="51", reason="tape slid", user=user)
    assert Reading.objects.count() == 3
    assert Verdict.objects.get().reading == third


def test_a_correction_of_a_repeat_leaves_the_other_one(visit, joint):
    enter(visit, gap(joint, 50.0), gap(joint, 90.0, repeat=2))
    correct_reading(
        reading=Reading.objects.get(repeat=2), value=52.0, typed="52", reason="misread",
        user=make_user("engineer"),
    )  # fmt: skip
    verdict = Verdict.objects.get()
    assert (verdict.repeats, verdict.value) == (2, 51.0)


def test_a_correction_needs_a_reason_and_a_possible_value(visit, joint):
    enter(visit, gap(joint, 85.0))
    asked = {"reading": Reading.objects.get(), "user": make_user("engineer")}
    with pytest.raises(ValidationError) as caught:
        correct_reading(value=50.0, typed="50", reason="  ", **asked)
    assert list(caught.value.message_dict) == ["remark"]
    with pytest.raises(ValidationError) as caught:
        correct_reading(value=-4.0, typed="-4", reason="misread", **asked)
    assert list(caught.value.message_dict) == ["value"]
    assert Reading.objects.count() == 1


@pytest.mark.parametrize("value", [85.0, 50.0])
def test_a_corrected_row_handed_in_again_as_it_was_or_as_it_is_adds_nothing(visit, joint, value):
    enter(visit, gap(joint, 85.0))
    correct_reading(
        reading=Reading.objects.get(), value=50.0, typed="50", reason="misread",
        user=make_user("engineer"),
    )  # fmt: skip
    again = enter(visit, gap(joint, value))
    assert (again.added, again.already_there) == (0, 1)
    assert Verdict.objects.get().value == 50.0


def test_a_visit_over_midnight_takes_readings_of_both_days(visit, joint):
    enter(visit, gap(joint), gap(joint, taken_at=AT + dt.timedelta(days=1)))
    assert Reading.objects.count() == 2


def test_a_visit_of_the_same_bridge_and_day_but_another_kind_keeps_its_own_readings(visit, joint):
    other = open_inspection(
        bridge=visit.bridge, date=DAY, kind="event", team="two", weather="clear"
    )
    enter(visit, gap(joint, 50.0))
    enter(other, gap(joint, 60.0))
    assert {row.inspection: row.value for row in Reading.objects.all()} == {
        visit: 50.0,
        other: 60.0,
    }
