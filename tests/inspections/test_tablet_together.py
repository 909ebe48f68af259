"""Readings and temperatures sent in one request are taken in one go, as if one by one."""

import datetime as dt
import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inspections.models import Reading, TabletRecord, TemperatureReading
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user
from tests.tablet import Tablet

pytestmark = pytest.mark.django_db


def a_visit():
    unit = make_unit(make_bridge())
    bearings = [make_element(unit, "pot", code=f"B{number}") for number in range(2)]
    return make_inspection(unit.bridge, timezone.now().date()), unit, bearings


def many(tablet, inspection, unit, bearings, at):
    """Return what a crew may send: points met twice, second measurements, air and a girder."""
    one, other = bearings
    first = tablet.reading(inspection, one, 12.0, taken_at=at)
    readings = [
        first,
        tablet.reading(inspection, other, 9.0, taken_at=at),
        tablet.reading(inspection, one, 12.5, taken_at=at),
        tablet.reading(
            inspection, one, 12.25, is_repeat_of=first["uid"], taken_at=tablet.now.isoformat()
        ),
    ]
    temperatures = [
        tablet.record(
            inspection,
            "temperature",
            {
                "unit": of, "place": place, "sunlit": False, "typed": "50 F",
                "temperature_c": 10.0, "taken_at": at,
            },
        )
        for of, place in ((unit.pk, "girder_web"), (unit.pk, "girder_web"), (None, "air_shade"))
    ]  # fmt: skip
    return [readings[0], temperatures[0], *readings[1:], *temperatures[1:]]


def rows_of(inspection):
    readings = Reading.objects.filter(inspection=inspection).order_by("element__code", "repeat")
    temperatures = TemperatureReading.objects.filter(inspection=inspection)
    return (
        list(readings.values_list("element__code", "repeat", "value", "typed", "taken_at")),
        list(temperatures.order_by("place", "taken_at").values_list("unit__code", "taken_at")),
    )


def test_together_they_make_the_rows_that_they_make_one_by_one():
    at = timezone.now().replace(second=0, microsecond=0).isoformat()
    made = []
    for together in (True, False):
        tablet = Tablet(make_user("inspector"))
        inspection, unit, bearings = a_visit()
        records = many(tablet, inspection, unit, bearings, at)
        receipts = (
            tablet.send(*records)
            if together
            else [receipt for each in records for receipt in tablet.send(each)]
        )
        assert [each["uid"] for each in receipts] == [each["uid"] for each in records]
        assert {each["outcome"] for each in receipts} == {"taken"}
        made.append(rows_of(inspection))
    assert made[0] == made[1]
    readings, temperatures = made[0]
    assert [row[:3] for row in readings] == [
        ("B0", 1, 12.0), ("B0", 2, 12.5), ("B0", 3, 12.25), ("B1", 1, 9.0)
    ]  # fmt: skip
    assert len({row[-1] for row in readings}) == 1
    first, second = (row[-1] for row in temperatures if row[0] is not None)
    assert second - first == dt.timedelta(seconds=1)


def test_what_is_wrong_with_one_is_told_of_it_alone_and_the_rest_is_taken():
    tablet = Tablet(make_user("inspector"))
    inspection, _, (bearing, other) = a_visit()
    late = tablet.reading(inspection, bearing, 1.0, is_repeat_of=str(uuid.uuid4()))
    good = [tablet.reading(inspection, each, 7.0) for each in (bearing, other)]
    told = {each["uid"]: each for each in tablet.send(good[0], late, good[1])}
    assert (told[late["uid"]]["outcome"], told[late["uid"]]["field"]) == ("refused", "is_repeat_of")
    assert [told[each["uid"]]["outcome"] for each in good] == ["taken", "taken"]
    assert Reading.objects.filter(inspection=inspection).count() == 2
    assert not TabletRecord.objects.filter(pk=late["uid"]).exists()


def test_what_came_before_is_known_among_what_is_new():
    tablet = Tablet(make_user("inspector"))
    inspection, _, (bearing, other) = a_visit()
    old, new = tablet.reading(inspection, bearing, 7.0), tablet.reading(inspection, other, 8.0)
    tablet.send(old)
    assert [each["outcome"] for each in tablet.send(old, new, new)] == [
        "already",
        "taken",
        "already",
    ]
    assert [each["outcome"] for each in tablet.send(old, new)] == ["already", "already"]
    changed = old | {"payload": old["payload"] | {"typed": "9 mm", "value": 9.0}}
    assert [each["outcome"] for each in tablet.send(changed, new)] == ["refused", "already"]
    assert Reading.objects.filter(inspection=inspection).count() == 2


def test_fifty_ask_the_database_as_often_as_five():
    tablet = Tablet(make_user("inspector"))
    asked = []
    for count in (5, 50):
        inspection, _, bearings = a_visit()
        records = [
            tablet.reading(inspection, bearings[number % 2], 7.0 + number)
            for number in range(count)
        ]
        with CaptureQueriesContext(connection) as queries:
            assert {each["outcome"] for each in tablet.send(*records)} == {"taken"}
        # A database takes so many figures in one INSERT, so that there may be more of those.
        others = [each for each in queries if not each["sql"].startswith("INSERT")]
        asked.append(len(others))
    assert asked[0] == asked[1]
