"""What a flag does between a reading out of range and an engineer's last word."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from inspections.models import CriticalFinding, Decision, Flag, Sighting
from inspections.models.desk_choices import DecisionKind, FlagCause, FlagState
from inspections.selectors.flags import last_seen, needs_decision, queue, sightings_of
from inspections.services import decisions, visits
from inspections.services.judge import judge_bridges
from inspections.services.readings import correct_reading
from inspections.wording_flags import evidence_in_short, evidence_words
from inventory.services.installations import reset_installation
from inventory.units import System
from tests.make import (
    SET_AT_20_C,
    UTC,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)

pytestmark = pytest.mark.django_db

DESIGN = {"movement_back_mm": 120.0, "movement_ahead_mm": 120.0}
FIRST, SECOND, THIRD, FOURTH = (dt.date(2023, month, 1) for month in (2, 4, 6, 8))
FAR_MM, FREE_MM = 30.0, -41.0
"""At -15 degC, 35 K below its setting, 100 m from the fixed point: 41 mm back is free."""


@pytest.fixture
def bearing():
    return make_element(make_unit(make_bridge()), installation=SET_AT_20_C, design=DESIGN)


@pytest.fixture
def engineer():
    return make_user("engineer")


def visit(bearing, day, value_mm, temperature_c=-15.0):
    inspection = make_inspection(bearing.bridge, day)
    read(inspection, bearing, "offset_along", value_mm, temperature_c, accept=True)
    return inspection


def flag_of(bearing, cause=FlagCause.POSITION):
    return Flag.objects.get(element=bearing, cause=cause)


def decide(flag, kind, engineer, **fields):
    return decisions.decide(flag=flag, kind=kind, reason="Looked at", user=engineer, **fields)


def at(day, hour=12):
    return dt.datetime.combine(day, dt.time(hour), UTC)


def test_a_reading_far_off_opens_a_flag_with_its_evidence(bearing):
    visit(bearing, FIRST, FAR_MM)
    flag = flag_of(bearing)
    assert (flag.state, flag.get_severity_display()) == (FlagState.OPEN, "Out of range")
    assert flag.first_seen_at.date() == flag.last_seen_at.date() == FIRST
    seen = last_seen([flag])[flag.pk]
    assert evidence_in_short(seen.evidence) == "far from expected"
    told = evidence_words(seen.evidence, System.SI)[0]
    assert "30.0\u202fmm at −15.0\u202f°C" in told
    assert "expected −40.9\u202fmm" in told


def test_a_reading_in_range_opens_none(bearing):
    visit(bearing, FIRST, FREE_MM)
    assert not Flag.objects.exists()


def test_the_same_cause_seen_again_is_the_same_flag(bearing):
    visit(bearing, FIRST, FAR_MM)
    visit(bearing, SECOND, FAR_MM + 2)
    flag = flag_of(bearing)
    assert (flag.times_seen, flag.times_reopened) == (2, 0)
    assert (flag.first_seen_at.date(), flag.last_seen_at.date()) == (FIRST, SECOND)


def test_an_open_visit_opens_no_flag_until_it_is_handed_in(bearing):
    inspection = make_inspection(bearing.bridge, FIRST)
    read(inspection, bearing, "offset_along", FAR_MM, -15.0)
    assert not Flag.objects.exists()
    visits.submit(inspection=inspection)
    assert flag_of(bearing).state == FlagState.OPEN


def test_back_in_range_it_waits_for_an_engineers_word(bearing, engineer):
    visit(bearing, FIRST, FAR_MM)
    visit(bearing, SECOND, FREE_MM)
    flag = flag_of(bearing)
    assert (flag.state, flag.back_since.date()) == (FlagState.BACK, SECOND)
    decide(flag, DecisionKind.CLOSE, engineer)
    assert flag_of(bearing).state == FlagState.CLOSED


def test_a_visit_that_could_not_have_shown_it_leaves_it_open(bearing):
    visit(bearing, FIRST, FAR_MM)
    visit(bearing, SECOND, 0.0, temperature_c=20.0)
    assert flag_of(bearing).state == FlagState.OPEN
    assert flag_of(bearing).times_seen == 1


def test_mended_and_measured_in_range_it_is_closed(bearing, engineer):
    visit(bearing, FIRST, FAR_MM)
    decide(flag_of(bearing), DecisionKind.MENDED, engineer, as_of=at(SECOND))
    assert flag_of(bearing).state == FlagState.MENDED
    visit(bearing, THIRD, FREE_MM)
    assert flag_of(bearing).state == FlagState.CLOSED


def test_mended_and_measured_out_of_range_it_has_returned(bearing, engineer):
    visit(bearing, FIRST, FAR_MM)
    decide(flag_of(bearing), DecisionKind.MENDED, engineer, as_of=at(SECOND))
    visit(bearing, THIRD, FAR_MM)
    flag = flag_of(bearing)
    assert (flag.state, flag.times_reopened) == (FlagState.OPEN, 1)
    assert flag.opened_at.date() == THIRD
    assert flag.first_seen_at.date() == FIRST


def test_a_late_visit_from_before_the_mending_changes_nothing_but_is_told(bearing, engineer):
    visit(bearing, FIRST, FAR_MM)
    decide(flag_of(bearing), DecisionKind.MENDED, engineer, as_of=at(THIRD))
    visit(bearing, SECOND, FAR_MM)
    flag = flag_of(bearing)
    assert (flag.state, flag.times_seen, flag.times_reopened) == (FlagState.MENDED, 2, 0)
    assert flag.evidence_changed
    assert Flag.objects.filter(needs_decision(dt.date(2023, 9, 1)), pk=flag.pk).exists()


def test_an_acceptance_holds_until_its_day_and_no_longer(bearing, engineer):
    visit(bearing, FIRST, FAR_MM)
    decide(flag_of(bearing), DecisionKind.ACCEPT, engineer, until=dt.date(2027, 1, 1))
    open_on = {
        day: Flag.objects.filter(needs_decision(day)).exists()
        for day in (dt.date(2027, 1, 1), dt.date(2027, 1, 2))
    }
    assert open_on == {dt.date(2027, 1, 1): False, dt.date(2027, 1, 2): True}


def test_what_was_accepted_mild_comes_back_when_it_is_worse(bearing, engineer):
    visit(bearing, FIRST, -32.0)  # 9 mm off: to watch
    assert flag_of(bearing).get_severity_display() == "Watch"
    decide(
        flag_of(bearing), DecisionKind.ACCEPT, engineer, until=dt.date(2030, 1, 1), as_of=at(FIRST)
    )
    visit(bearing, SECOND, -32.0)
    assert flag_of(bearing).state == FlagState.ACCEPTED
    visit(bearing, THIRD, FAR_MM)
    assert flag_of(bearing).state == FlagState.OPEN


def test_measured_again_and_still_so_it_is_to_be_decided_anew(bearing, engineer):
    visit(bearing, FIRST, FAR_MM)
    decide(
        flag_of(bearing),
        DecisionKind.MEASURE_AGAIN,
        engineer,
        until=dt.date(2030, 1, 1),
        as_of=at(FIRST),
    )
    assert flag_of(bearing).state == FlagState.TO_MEASURE
    visit(bearing, SECOND, FAR_MM)
    assert flag_of(bearing).state == FlagState.OPEN


def test_a_device_set_anew_awaits_its_proving_measurement(bearing):
    visit(bearing, FIRST, FAR_MM)
    bearing.refresh_from_db()
    reset_installation(element=bearing, reset_on=SECOND, setting=SET_AT_20_C)
    assert flag_of(bearing).state == FlagState.MENDED
    visit(bearing, THIRD, FREE_MM)
    assert flag_of(bearing).state == FlagState.CLOSED


def test_a_flag_that_rested_on_a_blunder_goes_with_it_unless_somebody_decided_on_it(
    bearing, engineer
):
    def amend(inspection):
        first = inspection.readings.get()
        correct_reading(
            reading=first,
            value=FREE_MM,
            typed=f"{FREE_MM}",
            reason="misread",
            user=engineer,
        )

    amend(visit(bearing, FIRST, FAR_MM))
    assert not Flag.objects.exists()
    inspection = visit(bearing, SECOND, FAR_MM)
    decide(flag_of(bearing), DecisionKind.ACCEPT, engineer, until=dt.date(2030, 1, 1))
    amend(inspection)
    assert flag_of(bearing).state == FlagState.WITHDRAWN
    assert Decision.objects.count() == 1


def test_a_critical_finding_is_flagged_at_once_and_closed_by_a_word_alone(bearing, engineer):
    inspection = make_inspection(bearing.bridge, FIRST)
    CriticalFinding.objects.create(
        inspection=inspection, element=bearing, what="A rod is gone", found_at=at(FIRST)
    )
    judge_bridges([bearing.bridge_id])
    flag = flag_of(bearing, FlagCause.CRITICAL)
    assert flag.state == FlagState.OPEN
    visit(bearing, SECOND, FREE_MM)
    assert flag_of(bearing, FlagCause.CRITICAL).state == FlagState.OPEN
    decide(flag, DecisionKind.CLOSE, engineer)
    assert flag_of(bearing, FlagCause.CRITICAL).state == FlagState.CLOSED


def test_a_decision_keeps_what_it_relied_on_and_who_signed_it(bearing, engineer):
    inspection = visit(bearing, FIRST, FAR_MM)
    row = decide(flag_of(bearing), DecisionKind.MEASURE_AGAIN, engineer, until=dt.date(2030, 1, 1))
    assert row.relied_on == [[inspection.pk, True, 3]]
    assert row.evidence[0]["value"] == FAR_MM
    assert row.thresholds == {"watch_k": 2.0, "out_k": 3.0, "watch_use": 0.9}
    assert (row.signed_as, row.decided_by) == ("engineer", engineer)
    assert row.digest == decisions.digest_of(Decision.objects.get(pk=row.pk))


@pytest.mark.parametrize(
    ("fields", "at_field", "told"),
    [
        ({"kind": "accept"}, "until", "Give the day"),
        ({"kind": "accept", "until": dt.date(2020, 1, 1)}, "until", "not in the future"),
        ({"kind": "mended", "as_of": at(dt.date(2090, 1, 1))}, "as_of", "in the future"),
        ({"kind": "close", "reason": "  "}, "reason", "Say why"),
        ({"kind": "forget"}, "kind", "Choose one"),
    ],
)
def test_a_decision_that_lacks_something_is_refused_at_its_field(
    bearing, engineer, fields, at_field, told
):
    visit(bearing, FIRST, FAR_MM)
    with pytest.raises(ValidationError) as refusal:
        decisions.decide(
            **{"flag": flag_of(bearing), "reason": "Looked at", "user": engineer} | fields
        )
    assert told in refusal.value.message_dict[at_field][0]
    assert not Decision.objects.exists()


def test_several_flags_are_decided_together_or_not_at_all(bearing, engineer):
    visit(bearing, FIRST, FAR_MM)
    other = make_element(bearing.unit, installation=SET_AT_20_C, design=DESIGN)
    visit(other, SECOND, FAR_MM)
    flags = list(Flag.objects.filter(cause=FlagCause.POSITION))
    with pytest.raises(ValidationError):
        decisions.decide_all(flags=flags, kind="accept", reason="Known", user=engineer)
    assert not Decision.objects.exists()
    rows = decisions.decide_all(
        flags=flags, kind="accept", reason="Known", user=engineer, until=dt.date(2030, 1, 1)
    )
    assert len({row.together for row in rows}) == 1
    assert {each.state for each in Flag.objects.filter(cause=FlagCause.POSITION)} == {"accepted"}


def test_the_queue_puts_what_cannot_be_replaced_first_and_its_parts_sum():
    unit = make_unit(make_bridge())
    inspection = make_inspection(unit.bridge, FIRST)
    for replaceable in ("yes", "no"):
        element = make_element(
            unit,
            code=replaceable,
            place={"replaceable": replaceable},
            installation=SET_AT_20_C,
            design=DESIGN,
        )
        read(inspection, element, "offset_along", FAR_MM, -15.0 if replaceable == "yes" else None)
    visits.submit(inspection=inspection)
    rows = list(queue(dt.date(2023, 9, 1)).filter(cause=FlagCause.POSITION))
    assert [row.element.code for row in rows] == ["no", "yes"]
    for row in rows:
        parts = (row.by_severity, row.by_consequence, row.by_nearness, row.by_age)
        assert row.score == pytest.approx(sum(parts))
        assert 0 <= row.score <= 100


def test_the_older_of_two_equal_flags_comes_first():
    unit = make_unit(make_bridge())
    for code, day in (("young", THIRD), ("old", FIRST)):
        element = make_element(unit, code=code, installation=SET_AT_20_C, design=DESIGN)
        visit(element, day, FAR_MM)
    rows = queue(dt.date(2023, 9, 1)).filter(cause=FlagCause.POSITION)
    assert [row.element.code for row in rows] == ["old", "young"]


def test_what_is_on_record_of_a_visit_is_not_computed_again_but_never_stale(bearing):
    visit(bearing, FIRST, FAR_MM)
    first = list(Sighting.objects.values_list("pk", flat=True))
    visit(bearing, SECOND, FAR_MM)
    assert set(first) < set(Sighting.objects.values_list("pk", flat=True))
    bearing.current_installation.refresh_from_db()
    installation = bearing.current_installation
    installation.setting_offset_along_mm = FAR_MM - FREE_MM
    installation.save()
    judge_bridges([bearing.bridge_id])
    assert not sightings_of(Flag(element=bearing, cause=FlagCause.POSITION)).filter(shown=True)
