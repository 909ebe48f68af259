"""What is read before a turn to write holds where the same is still there, and no longer."""

import pytest
from django.utils import timezone

from inspections.models import Reading, Verdict
from inspections.services import open_visits
from inspections.services.read_ahead import Ahead
from inspections.services.standing_register import StandingRegister
from inventory.models import Element
from tests.inspections.test_tablet_together import a_visit
from tests.make import make_element, make_user
from tests.tablet import Tablet

pytestmark = pytest.mark.django_db


def codes_of(register):
    return [each.code for each in register.elements]


def test_a_register_that_was_changed_meanwhile_is_read_anew():
    inspection, unit, _ = a_visit()
    ahead = Ahead(lambda: StandingRegister.of(inspection.bridge_id))
    assert codes_of(ahead.held()) == ["B0", "B1"]
    Element.objects.filter(code="B1").update(code="B9")
    assert codes_of(ahead.held()) == ["B0", "B9"]
    make_element(unit, "pot", code="B5")
    assert codes_of(ahead.held()) == ["B0", "B5", "B9"]


def test_what_is_sent_is_judged_by_the_device_of_the_time_that_it_is_written(monkeypatch):
    tablet = Tablet(make_user("inspector"))
    inspection, unit, bearings = a_visit()
    held = Ahead.held

    def after_a_change(ahead):
        unit.expansion_per_c = 2e-5
        unit.save()
        return held(ahead)

    monkeypatch.setattr(Ahead, "held", after_a_change)
    tablet.send(*(tablet.reading(inspection, each, 7.0) for each in bearings))
    changed = list(Verdict.objects.filter(inspection=inspection).values_list("b", flat=True))
    open_visits.judge_visits([inspection])
    again = list(Verdict.objects.filter(inspection=inspection).values_list("b", flat=True))
    assert len(changed) == 2
    assert changed == again


def test_what_cannot_be_judged_at_once_is_taken_all_the_same(monkeypatch):
    tablet = Tablet(make_user("inspector"))
    inspection, _, bearings = a_visit()
    judge, calls = open_visits.points_in, []

    def failing_once(*args):
        calls.append(args)
        if len(calls) == 1:
            raise ZeroDivisionError
        return judge(*args)

    monkeypatch.setattr(open_visits, "points_in", failing_once)
    records = [tablet.reading(inspection, each, 7.0) for each in bearings]
    assert {each["outcome"] for each in tablet.send(*records)} == {"taken"}
    assert Reading.objects.filter(inspection=inspection).count() == 2
    assert Verdict.objects.filter(inspection=inspection).count() == 2


def test_one_wrong_reading_among_many_holds_up_no_other():
    tablet = Tablet(make_user("inspector"))
    inspection, _, (bearing, _other) = a_visit()
    at = timezone.now().replace(second=0, microsecond=0).isoformat()
    records = [
        tablet.reading(inspection, bearing, 7.0 + number, taken_at=at) for number in range(40)
    ]
    records[23]["payload"]["axis"] = "square"
    told = {each["uid"]: each for each in tablet.send(*records)}
    assert [each["uid"] for each in records if told[each["uid"]]["outcome"] != "taken"] == [
        records[23]["uid"]
    ]
    assert told[records[23]["uid"]]["field"] == "axis"
    numbers = Reading.objects.filter(inspection=inspection).order_by("value")
    assert list(numbers.values_list("repeat", flat=True)) == list(range(1, 40))
