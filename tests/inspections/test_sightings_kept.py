"""What visits showed is kept and computed anew only where it must be: nothing is hidden by that."""

import datetime as dt

import pytest

from inspections.models import (
    AgencySettings,
    Condition,
    Flag,
    Sighting,
    TemperatureReading,
    VisitSeen,
)
from inspections.models.desk_choices import FlagState
from inspections.services import readings as reading_service
from inspections.services import visits
from inspections.services.judge import judge_bridges
from inspections.services.sign_off import set_aside
from inventory.models import BearingDesign, Bridge, JointDesign, TemperatureBasis, Unit
from inventory.services.installations import reset_installation
from tests import rows_desk
from tests.inspections.flag_stories import VISITS, flags_told, new_story, sightings_told
from tests.inspections.over_years import MEASURED, free_mm
from tests.make import UTC, make_element

pytestmark = pytest.mark.django_db


@pytest.fixture
def story():
    """Return a bridge with four visits handed in, the third with a misread bearing."""
    told = new_story()
    for number in range(4):
        told.hand_in(number, misread="MOVED" if number == 2 else "")
    return told


def judged_again(story):
    judge_bridges([story.bridge.pk])


def correct_the_misread(story):
    story.correct(2, "MOVED")


def set_the_misread_aside(story):
    reading = story.visits[2].readings.get(element=story.elements["MOVED"])
    set_aside(reading=reading, reason="read on the wrong bearing", user=story.engineer)
    judged_again(story)


def hold_the_deck_elsewhere(story):
    Unit.objects.filter(bridge=story.bridge).update(fixed_station_m=60.0)
    judged_again(story)


def shorten_a_bearing(story):
    device = story.elements["RESTLESS"].current_installation_id
    BearingDesign.objects.filter(installation=device).update(movement_back_mm=20.0)
    judged_again(story)


def widen_the_joint(story):
    device = story.elements["JOINT"].current_installation_id
    JointDesign.objects.filter(installation=device).update(opening_max_mm=200.0)
    judged_again(story)


def warm_the_climate(story):
    TemperatureBasis.objects.filter(bridge=story.bridge).update(climate="moderate")
    judged_again(story)


def move_the_bridge_by_time_zone(story):
    Bridge.objects.filter(pk=story.bridge.pk).update(time_zone="Etc/GMT-12")
    judged_again(story)


def raise_the_thresholds(story):
    AgencySettings(watch_k=6.0, out_k=8.0).save()
    judged_again(story)


def trust_tapes_less(story):
    AgencySettings(accuracy_mm=20.0).save()
    judged_again(story)


def correct_a_temperature(story):
    row = TemperatureReading.objects.get(inspection=story.visits[2])
    reading_service.correct_temperature(
        temperature=row,
        temperature_c=12.0,
        sunlit=False,
        typed="12",
        reason="sign forgotten",
        user=story.engineer,
    )


def add_a_temperature(story):
    """Add the embedded sensors of a visit that is returned, which count for more."""
    story.hand_in(4, accept=False)
    story.send_back(4)
    at = dt.datetime.combine(VISITS[4][0], dt.time(8), UTC)
    reading_service.record(
        inspection=story.visits[4],
        readings=[],
        temperatures=[reading_service.NewTemperature("embedded", 30.0, "30", at)],
    )
    story.hand_in_again(4)


def hand_in_another(story):
    story.hand_in(4)


def take_one_back(story):
    story.hand_in(4, accept=False)
    story.send_back(4)
    assert not story.visits[4].sightings.exists()


def set_a_device_anew(story):
    element = story.elements["FROZEN"]
    element.refresh_from_db()
    reset_installation(
        element=element,
        reset_on=dt.date(2018, 6, 1),
        setting=MEASURED | {"setting_offset_along_mm": 0.0},
    )
    judged_again(story)


def find_it_in_condition_state_4(story):
    Condition.objects.create(
        inspection=story.visits[3], element=story.elements["FROZEN"], defect=1000, cs4=1, total=1
    )
    judged_again(story)


CHANGES = (
    correct_the_misread,
    set_the_misread_aside,
    hold_the_deck_elsewhere,
    shorten_a_bearing,
    widen_the_joint,
    warm_the_climate,
    move_the_bridge_by_time_zone,
    raise_the_thresholds,
    trust_tapes_less,
    correct_a_temperature,
    add_a_temperature,
    hand_in_another,
    take_one_back,
    set_a_device_anew,
    find_it_in_condition_state_4,
)


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__)
def test_what_is_kept_is_what_would_be_found_anew(story, change):
    change(story)
    kept = sightings_told(story.bridge), flags_told(story.bridge)
    VisitSeen.objects.all().delete()
    judged_again(story)
    assert (sightings_told(story.bridge), flags_told(story.bridge)) == kept


@pytest.mark.parametrize(
    "change",
    [each for each in CHANGES if each not in (move_the_bridge_by_time_zone, take_one_back)],
    ids=lambda change: change.__name__,
)
def test_a_change_of_what_a_visit_showed_is_told_at_once(story, change):
    before = sightings_told(story.bridge)
    change(story)
    assert sightings_told(story.bridge) != before


def test_judging_again_writes_no_row_anew(story):
    def rows():
        kept = [list(model.objects.order_by("pk").values_list()) for model in (Sighting, VisitSeen)]
        return [*kept, list(Flag.objects.order_by("pk").values_list("pk", flat=True))]

    before = rows(), flags_told(story.bridge)
    judged_again(story)
    assert (rows(), flags_told(story.bridge)) == before


def test_a_first_reading_becomes_the_baseline_once_its_visit_is_accepted():
    story = new_story()
    place = make_element(
        story.elements["MOVED"].unit, code="UNSET", installation={"setting_source": "unknown"}
    )
    story.elements["UNSET"] = place

    def hand_in(number, value, accept):
        day, temperature_c = VISITS[number]
        inspection = visits.open_inspection(
            bridge=story.bridge, date=day, kind="routine", team="two", weather="overcast"
        )
        at = dt.datetime.combine(day, dt.time(8), UTC)
        reading_service.record(
            inspection=inspection,
            readings=[reading_service.NewReading(place, "offset_along", value, f"{value}", at)],
            temperatures=[
                reading_service.NewTemperature("girder_web", temperature_c, f"{temperature_c}", at)
            ],
        )
        story.visits[number] = visits.submit(inspection=inspection)
        if accept:
            story.accept(number)

    hand_in(0, round(free_mm(100.0, VISITS[0][1])), accept=False)
    hand_in(1, round(free_mm(100.0, VISITS[1][1])) + 60.0, accept=True)
    hand_in(2, round(free_mm(100.0, VISITS[2][1])), accept=True)
    before = sightings_told(story.bridge)
    story.accept(0)
    kept = sightings_told(story.bridge)
    assert kept != before
    assert ("UNSET", "position", VISITS[1][0]) in kept
    VisitSeen.objects.all().delete()
    judged_again(story)
    assert sightings_told(story.bridge) == kept


@pytest.mark.parametrize("kept_by", ["study", "order"])
def test_a_flag_that_a_study_or_an_order_names_outlives_the_reading_that_showed_it(story, kept_by):
    place = story.elements["MOVED"]
    flag = Flag.objects.get(element=place, cause="position")
    if kept_by == "study":
        study = rows_desk.study()
        study.flag = flag
        study.save()
    else:
        order = rows_desk.order(bridge=story.bridge)
        order.items.create(element=place, flag=flag)
    correct_the_misread(story)
    assert Flag.objects.get(pk=flag.pk).state == FlagState.WITHDRAWN
    story.hand_in(4)
    assert Flag.objects.get(pk=flag.pk).state == FlagState.OPEN
