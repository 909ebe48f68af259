"""Each cause alone on readings without error, and what is said where little is known."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.whole_bridge import (
    Cause,
    Elements,
    Missing,
    Outcome,
    Priors,
    Readings,
    Supports,
    Units,
    Visits,
    diagnose,
)
from tests.movement.three_spans import (
    ALPHA,
    LONG,
    NAN,
    TEMPERATURES_C,
    Bridge,
    assert_named,
    first,
    moved_mm,
)


def test_a_bridge_that_moves_as_it_should_is_healthy():
    found = Bridge().diagnose()
    assert found.outcome.tolist() == [Outcome.HEALTHY]
    assert found.missing.tolist() == [Missing.NONE]
    assert (found.equal[0], found.beside.cause[0, 0]) == (0, Cause.HEALTHY)


def test_a_bearing_that_never_moved_is_frozen():
    bridge = Bridge()
    bridge.value_mm[LONG] = 0.0
    assert_named(bridge.diagnose(), Cause.FROZEN, 0.0, element=LONG, visit=-1)


def test_a_bearing_that_stays_where_it_was_from_a_date_on_is_frozen_from_that_date():
    bridge = Bridge()
    bridge.value_mm[LONG, 3:] = bridge.value_mm[LONG, 3]
    found = bridge.diagnose()
    assert_named(found, Cause.FROZEN, 0.0, element=LONG)
    assert found.ranked.visit[0, 0] in (3, 4)


def test_a_bearing_that_moves_half_is_sluggish_with_its_response_estimated():
    bridge = Bridge()
    bridge.value_mm[LONG] *= 0.5
    assert_named(bridge.diagnose(), Cause.SLUGGISH, 0.5, element=LONG)


@pytest.mark.parametrize("support", [0, 2, 3])
def test_a_support_that_moved_shifts_all_that_stands_on_it_from_a_date_on(support):
    bridge = Bridge()
    on_it = np.array([0, 0, 1, 1, 2, 2, 3, 3, 0, 3]) == support
    # 25 mm forward: offsets fall, the gap behind the deck closes, the one ahead opens
    bridge.value_mm[np.ix_(on_it, range(4, 8))] -= 25.0 * bridge.effect[on_it][:, None]
    assert_named(
        bridge.diagnose(), Cause.SUPPORT_MOVED, 25.0, support=support, visit=4, last_before=3
    )


def test_the_support_that_holds_the_deck_takes_the_deck_along():
    bridge = Bridge()
    elsewhere = np.array([0, 1, 4, 5, 6, 7, 8, 9])
    bridge.value_mm[np.ix_(elsewhere, range(2, 8))] += 20.0 * bridge.effect[elsewhere][:, None]
    assert_named(bridge.diagnose(), Cause.SUPPORT_MOVED, 20.0, support=1, visit=2)


def test_shortening_shows_in_proportion_to_length():
    bridge = Bridge()
    bridge.value_mm -= bridge.lever_mm[:, None] * 4e-4 * np.linspace(0.5, 1.0, 8)
    found = bridge.diagnose()
    assert Cause(first(found)["cause"]) == Cause.SHORTENING
    assert found.ranked.size[0, 0] == pytest.approx(4e-4, rel=0.15)


def test_a_wrong_temperature_is_told_from_the_visit_in_which_everything_is_off():
    bridge = Bridge()
    bridge.temperature_c[5] -= 15.0
    assert_named(bridge.diagnose(), Cause.WRONG_TEMPERATURE, 15.0, visit=5)


def test_a_blunder_and_a_step_are_told_apart_by_what_comes_after():
    blunder, step = Bridge(), Bridge()
    blunder.value_mm[LONG, 4] += 40.0
    step.value_mm[LONG, 4:] += 40.0
    assert_named(blunder.diagnose(), Cause.BLUNDER, 40.0, element=LONG, visit=4, last_before=-1)
    assert_named(step.diagnose(), Cause.STEP, 40.0, element=LONG, visit=4, last_before=3)


def test_a_step_seen_in_the_last_visit_only_may_be_a_blunder_and_both_are_named():
    bridge = Bridge()
    bridge.value_mm[LONG, 7] += 30.0
    found = bridge.diagnose()
    assert found.outcome.tolist() == [Outcome.CANNOT_TELL]
    named = set(found.ranked.cause[0, : found.equal[0]].tolist())
    assert {Cause.STEP, Cause.BLUNDER} <= named


def test_a_wrong_register_is_named_rather_than_a_fault_of_the_bridge():
    held_elsewhere = Bridge(value_mm=moved_mm(held=3))
    assert_named(held_elsewhere.diagnose(), Cause.FIXED_POINT, 80.0, support=3)
    exchanged = Bridge()
    exchanged.value_mm[LONG] *= -1.0
    assert_named(exchanged.diagnose(), Cause.SIGN, -1.0, element=LONG)
    aluminium = Bridge(value_mm=moved_mm(alpha=2.3e-5))
    assert_named(aluminium.diagnose(), Cause.COEFFICIENT, 2.3e-5 / ALPHA)
    off = Bridge()
    off.value_mm[LONG] += 20.0
    assert_named(off.diagnose(), Cause.SETTING_OFF, 20.0, element=LONG)


def test_without_a_setting_the_readings_are_compared_among_themselves():
    bridge = Bridge(setting_mm=NAN)
    bridge.value_mm += 55.0
    assert bridge.diagnose().outcome.tolist() == [Outcome.HEALTHY]
    bridge.value_mm[LONG] = 55.0
    assert_named(bridge.diagnose(), Cause.FROZEN, 0.0, element=LONG)


def test_one_visit_and_no_setting_is_not_enough_and_says_that_visits_are_missing():
    bridge = Bridge(setting_mm=NAN)
    bridge.value_mm[:, 1:] = NAN
    found = bridge.diagnose()
    assert found.outcome.tolist() == [Outcome.NOT_ENOUGH]
    assert Missing(int(found.missing[0])) == Missing.VISITS


def test_one_visit_with_a_known_setting_still_shows_a_setting_that_is_off():
    bridge = Bridge()
    bridge.value_mm[:, 1:] = NAN
    bridge.value_mm[LONG, 0] += 60.0
    found = bridge.diagnose()
    assert found.outcome.tolist() == [Outcome.CANNOT_TELL]
    assert {Cause.SETTING_OFF, Cause.BLUNDER} <= set(found.ranked.cause[0].tolist())


def test_visits_at_one_temperature_are_not_enough_and_the_range_needed_is_told():
    bridge = Bridge(temperature_c=np.full(8, 11.0), value_mm=moved_mm(np.full(8, 11.0)))
    found = bridge.diagnose()
    assert found.outcome.tolist() == [Outcome.NOT_ENOUGH]
    assert Missing(int(found.missing[0])) == Missing.TEMPERATURE_RANGE
    assert (found.u_response[[0, LONG]] > 0.3).all()

    near = np.linspace(8.0, 12.0, 8)
    found = Bridge(temperature_c=near, value_mm=moved_mm(near)).diagnose()
    assert found.range_needed_k[LONG] > 4.0
    assert found.range_needed_k[0] > found.range_needed_k[LONG]  # the shorter needs more


@pytest.mark.parametrize(
    ("change", "missing"),
    [
        ("value_mm", Missing.READINGS),
        ("temperature_c", Missing.READINGS | Missing.TEMPERATURES),
        ("lever_mm", Missing.READINGS | Missing.LEVERS),
    ],
)
def test_nothing_known_is_not_enough_and_says_what_is_missing(change, missing):
    bridge = Bridge()
    getattr(bridge, change)[...] = NAN
    found = bridge.diagnose()
    assert found.outcome.tolist() == [Outcome.NOT_ENOUGH]
    assert Missing(int(found.missing[0])) == missing
    assert not found.ranked.cause.any()


def test_some_values_not_known_leave_the_rest_to_be_judged():
    bridge = Bridge()
    bridge.value_mm[LONG] *= 0.5
    bridge.temperature_c[2] = NAN
    bridge.lever_mm[3] = NAN
    bridge.value_mm[0, 5] = NAN
    found = bridge.diagnose()
    assert_named(found, Cause.SLUGGISH, 0.5, element=LONG)
    assert Missing(int(found.missing[0])) == Missing.TEMPERATURES | Missing.LEVERS


def test_a_deck_of_no_length_cannot_show_a_frozen_bearing():
    bridge = Bridge(lever_mm=np.zeros(10), value_mm=np.zeros((10, 8)))
    found = bridge.diagnose()
    assert found.outcome.tolist() == [Outcome.NOT_ENOUGH]
    assert np.isnan(found.u_response).all()


def test_no_units_and_units_without_a_row_are_answered():
    empty = np.zeros(0, dtype=int)
    none = np.zeros(0)
    tables = (
        Supports.of(empty, none),
        Elements.of(empty, empty, none, none, none),
        Visits.of(empty, none, none),
        Readings.of(empty, empty, none),
    )
    assert diagnose(Units.of(empty, none), *tables).outcome.size == 0
    assert diagnose(Units.of([-1, -1], NAN), *tables).outcome.tolist() == [Outcome.NOT_ENOUGH] * 2


def test_elements_on_no_support_and_an_unnamed_fixed_point_are_judged_too():
    visits = TEMPERATURES_C.size
    found = diagnose(
        Units.of([-1], NAN),
        Supports.of(np.zeros(0, dtype=int), np.zeros(0)),
        Elements.of([0, 0, 0], -1, [5e4, 6e4, -4e4], 1.0, ALPHA, 0.0, 10.0),
        Visits.of(np.zeros(visits, dtype=int), np.arange(visits) * 90.0, TEMPERATURES_C),
        Readings.of(
            np.repeat([0, 1, 2], visits),
            np.tile(np.arange(visits), 3),
            np.outer([5e4, 0.0, -4e4], ALPHA * (TEMPERATURES_C - 10.0)).ravel(),
        ),
    )
    assert_named(found, Cause.FROZEN, 0.0, element=1)


@pytest.mark.parametrize(
    ("field", "make"),
    [
        ("value_mm", lambda: Readings.of([0], [0], [np.inf])),
        ("time_days", lambda: Visits.of([0], [NAN], [10.0])),
        ("u_temperature_k", lambda: Visits.of([0], [0.0], [10.0], -1.0)),
        ("expansion_per_c", lambda: Elements.of([0], [0], [1.0], 1.0, 0.0)),
        ("unit", lambda: Supports.of([0.5], [1.0])),
        ("step_mm", lambda: Priors(step_mm=0.0)),
        ("needed", lambda: Priors(needed=NAN)),
    ],
)
def test_impossible_input_is_refused_by_name(field, make):
    with pytest.raises(InputError) as refused:
        make()
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("field", "which", "table"),
    [
        ("fixed_support", 0, Units.of([9], [0.0])),
        ("supports.unit", 1, Supports.of([0, 0, 0, 1], 0.0)),
        ("elements.support", 2, Elements.of([0], [4], [1.0], 1.0, ALPHA)),
        ("readings.element", 4, Readings.of([99], [0], [1.0])),
        ("readings.visit", 4, Readings.of([0], [-1], [1.0])),
    ],
)
def test_a_row_that_names_none_is_refused(field, which, table):
    tables = list(Bridge().tables())
    tables[which] = table
    with pytest.raises(InputError) as refused:
        diagnose(*tables)
    assert field.split(".")[0] in refused.value.field


def test_a_row_of_another_unit_is_refused():
    units = Units.of([-1, -1], 0.0)
    supports = Supports.of([0, 1], [0.0, 10.0])
    elements = Elements.of([0], [0], [1e4], 1.0, ALPHA)
    other = Elements.of([0], [1], [1e4], 1.0, ALPHA)
    visits = Visits.of([1], [0.0], [10.0])
    with pytest.raises(InputError, match="another unit"):
        diagnose(units, supports, elements, visits, Readings.of([0], [0], [1.0]))
    with pytest.raises(InputError, match="another unit"):
        diagnose(units, supports, other, visits, _none())


def _none():
    empty = np.zeros(0, dtype=int)
    return Readings.of(empty, empty, np.zeros(0))


def test_a_higher_price_of_false_alarms_calls_a_faint_fault_healthy():
    bridge = Bridge()
    bridge.value_mm[LONG, 4:] += 9.0
    tables = bridge.tables()
    assert diagnose(*tables).outcome.tolist() != [Outcome.HEALTHY]
    assert diagnose(*tables, priors=Priors(shift=-40.0)).outcome.tolist() == [Outcome.HEALTHY]
