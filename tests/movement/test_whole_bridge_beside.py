"""Two causes at once: what is named beside the first."""

import numpy as np
import pytest

from movement.whole_bridge import Cause
from tests.movement.three_spans import LONG, Bridge, assert_named, moved_mm


def test_a_second_cause_is_named_beside_the_first():
    bridge = Bridge()
    bridge.value_mm[LONG, 2:] += 40.0
    bridge.value_mm[4, 5] -= 60.0
    found = bridge.diagnose()
    said = {
        (int(each.cause[0, 0]), int(each.element[0, 0])) for each in (found.ranked, found.beside)
    }
    assert said == {(Cause.STEP, LONG), (Cause.BLUNDER, 4)}


def test_of_two_explanations_that_fit_the_second_cause_equally_well_both_are_named():
    bridge = Bridge()
    bridge.value_mm[LONG] = 0.0
    bridge.value_mm[4, 7] += 30.0  # in the last visit: a step, or a slip of the pen
    found = bridge.diagnose()
    assert found.ranked.cause[0, 0] == Cause.FROZEN
    named = {int(each.cause[0, 0]) for each in (found.beside, found.beside_rival)}
    assert named == {Cause.STEP, Cause.BLUNDER}
    assert found.beside_rival.element[0, 0] == 4


def test_beside_shortening_the_support_that_moved_is_told_from_the_one_opposite():
    bridge = Bridge()
    bridge.value_mm -= bridge.lever_mm[:, None] * 6e-4 * np.linspace(0.5, 1.0, 8)
    on_it = [0, 1, 8]
    bridge.value_mm[np.ix_(on_it, range(4, 8))] -= 20.0 * bridge.effect[on_it][:, None]
    found = bridge.diagnose()
    assert_named(found, Cause.SUPPORT_MOVED, 20.0, support=0, visit=4)
    assert found.beside.cause[0, 0] == Cause.SHORTENING
    assert found.beside.low[0, 0] < 6e-4 < found.beside.high[0, 0]


def test_a_frozen_bearing_is_told_although_the_deck_has_shortened():
    bridge = Bridge()
    bridge.value_mm -= bridge.lever_mm[:, None] * 6e-4 * np.linspace(0.5, 1.0, 8)
    bridge.value_mm[LONG] = 0.0
    found = bridge.diagnose()
    both = [(int(each.cause[0, 0]), each.low[0, 0], each.high[0, 0])
            for each in (found.ranked, found.beside)]  # fmt: skip
    frozen = next(each for each in both if each[0] == Cause.FROZEN)
    assert {each[0] for each in both} == {Cause.FROZEN, Cause.SHORTENING}
    assert frozen[1] < 0.0 < frozen[2]


@pytest.mark.parametrize("first_cause", [Cause.FIXED_POINT, Cause.COEFFICIENT, Cause.SHORTENING])
def test_a_blunder_is_found_beside_a_cause_of_the_whole_unit(first_cause):
    bridge = {
        Cause.FIXED_POINT: Bridge(value_mm=moved_mm(held=3)),
        Cause.COEFFICIENT: Bridge(value_mm=moved_mm(alpha=2.3e-5)),
        Cause.SHORTENING: Bridge(),
    }[first_cause]
    if first_cause == Cause.SHORTENING:
        bridge.value_mm -= bridge.lever_mm[:, None] * 6e-4
    bridge.value_mm[4, 5] -= 40.0
    found = bridge.diagnose()
    both = {int(found.ranked.cause[0, 0]), int(found.beside.cause[0, 0])}
    assert both == {first_cause, Cause.BLUNDER}
