"""However a bridge is written down, the same explanation fits its readings."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from movement.whole_bridge import Cause, diagnose
from tests.simulation.tables import PLANS, make_units, tables

few = settings(max_examples=15, deadline=None)
SEEDS = st.integers(0, 2**32 - 1)
PLAN = st.sampled_from(sorted(PLANS))


def units(seed, plan, count=6):
    """Return a few invented units whose causes differ from seed to seed."""
    rng = np.random.default_rng(seed)
    many = make_units(rng, plan, len(PLANS[plan]))
    return tables([many[at] for at in rng.permutation(len(many))[:count]])


def named(found, unit):
    """Return what is named for a unit, the equals among themselves in one order."""
    ranked = found.ranked
    rows = range(int(found.equal[unit]))
    return sorted(
        (int(ranked.cause[unit, at]), int(ranked.element[unit, at]), int(ranked.support[unit, at]))
        for at in rows
    )


def assert_same(found, wanted):
    assert found.outcome.tolist() == wanted.outcome.tolist()
    assert found.missing.tolist() == wanted.missing.tolist()
    for unit in range(found.outcome.size):
        assert named(found, unit) == named(wanted, unit)
    np.testing.assert_allclose(
        found.ranked.score[:, 0], wanted.ranked.score[:, 0], rtol=1e-5, atol=1e-4
    )


def with_rows(table, rows):
    return type(table)(*(getattr(table, each.name)[rows] for each in fields(table)))


@few
@given(SEEDS, PLAN)
def test_a_bridge_seen_from_its_other_end_has_the_same_explanation(seed, plan):
    given_units, supports, elements, visits, readings = units(seed, plan)
    # Looking back along the road, offsets change their sign; gaps stay as they are.
    turned = np.where(elements.can_stick, -1.0, 1.0)
    mirrored = diagnose(
        replace(given_units, fixed_station_m=-given_units.fixed_station_m),
        replace(supports, station_m=-supports.station_m),
        replace(
            elements,
            lever_mm=turned * elements.lever_mm,
            deck_effect=-turned * elements.deck_effect,
            setting_mm=turned * elements.setting_mm,
        ),
        visits,
        replace(readings, value_mm=turned[readings.element] * readings.value_mm),
    )
    wanted = diagnose(given_units, supports, elements, visits, readings)
    assert_same(mirrored, wanted)
    # a support that moved forward now moved back
    moved = np.isin(wanted.ranked.cause[:, 0], (Cause.SUPPORT_MOVED, Cause.FIXED_POINT))
    np.testing.assert_allclose(
        mirrored.ranked.size[moved, 0], -wanted.ranked.size[moved, 0], rtol=1e-6
    )


@few
@given(SEEDS, PLAN, st.floats(-1e4, 1e4))
def test_stations_counted_from_elsewhere_change_nothing(seed, plan, by_m):
    given_units, supports, *rest = units(seed, plan)
    shifted = diagnose(
        replace(given_units, fixed_station_m=given_units.fixed_station_m + by_m),
        replace(supports, station_m=supports.station_m + by_m),
        *rest,
    )
    assert_same(shifted, diagnose(given_units, supports, *rest))


@few
@given(SEEDS, PLAN)
def test_inches_and_fahrenheit_written_down_and_converted_change_nothing(seed, plan):
    given_units, supports, elements, visits, readings = units(seed, plan)
    inches, fahrenheit = readings.value_mm / 25.4, visits.temperature_c * 1.8 + 32.0
    converted = diagnose(
        given_units,
        supports,
        replace(elements, setting_mm=(elements.setting_mm / 25.4) * 25.4),
        replace(visits, temperature_c=(fahrenheit - 32.0) / 1.8),
        replace(readings, value_mm=inches * 25.4),
    )
    assert_same(converted, diagnose(given_units, supports, elements, visits, readings))


@few
@given(SEEDS, PLAN)
def test_the_order_of_readings_and_visits_does_not_matter(seed, plan):
    given_units, supports, elements, visits, readings = units(seed, plan)
    rng = np.random.default_rng(seed)
    order = rng.permutation(visits.unit.size)
    shuffled = with_rows(readings, rng.permutation(readings.element.size))
    place = np.argsort(order)
    found = diagnose(
        given_units,
        supports,
        elements,
        with_rows(visits, order),
        replace(shuffled, visit=place[shuffled.visit]),
    )
    assert_same(found, diagnose(given_units, supports, elements, visits, readings))


@few
@given(SEEDS, PLAN)
def test_a_visit_written_down_as_two_at_the_same_hour_is_one(seed, plan):
    given_units, supports, elements, visits, readings = units(seed, plan)
    count = visits.unit.size
    twice = with_rows(visits, np.r_[np.arange(count), np.arange(count)])
    half = np.random.default_rng(seed).random(readings.visit.size) < 0.5
    split = replace(readings, visit=readings.visit + np.where(half, count, 0))
    found = diagnose(given_units, supports, elements, twice, split)
    assert_same(found, diagnose(given_units, supports, elements, visits, readings))


@few
@given(SEEDS, PLAN)
@example(8339, "one")  # a shape of shortening that only rounding shows
def test_units_judged_together_are_judged_as_each_alone(seed, plan):
    rng = np.random.default_rng(seed)
    worlds = make_units(rng, plan, 5)
    together = diagnose(*tables(worlds))
    for at, world in enumerate(worlds):
        alone = diagnose(*tables([world]))
        assert alone.outcome[0] == together.outcome[at]
        assert alone.ranked.score[0, 0] == pytest.approx(together.ranked.score[at, 0], rel=1e-6)
        assert alone.equal[0] == together.equal[at]


@few
@given(SEEDS, PLAN, st.floats(0.02, 0.4))
def test_values_not_known_never_become_a_number_or_an_error(seed, plan, share):
    given_units, supports, elements, visits, readings = units(seed, plan)
    rng = np.random.default_rng(seed)

    def holes(values, part=1.0):
        return np.where(rng.random(values.size) < share * part, np.nan, values)

    found = diagnose(
        replace(given_units, fixed_station_m=holes(given_units.fixed_station_m)),
        replace(supports, station_m=holes(supports.station_m)),
        replace(
            elements,
            lever_mm=holes(elements.lever_mm, 0.3),
            setting_mm=holes(elements.setting_mm),
            deck_effect=holes(elements.deck_effect, 0.3),
        ),
        replace(visits, temperature_c=holes(visits.temperature_c, 0.5)),
        replace(readings, value_mm=holes(readings.value_mm)),
    )
    said = found.equal > 0
    assert np.isfinite(found.ranked.score[said, 0]).all()
    dated = np.isin(found.ranked.cause[:, 0], (Cause.WRONG_TEMPERATURE, Cause.STEP))
    assert np.isfinite(found.ranked.size[said & dated, 0]).all()
