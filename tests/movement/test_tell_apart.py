"""What to measure next to tell two explanations of a unit's readings apart."""

import numpy as np
import pytest
from scipy import stats
from scipy.integrate import quad

from movement.errors import InputError
from movement.whole_bridge.causes import Cause
from movement.whole_bridge.next_visit import Claim, NextVisit
from movement.whole_bridge.tell_apart import LEAST_RIGHT, chance_of_right, tell_apart
from tests.movement.three_spans import LONG, SET_C, STATIONS_M, SUPPORT, Bridge, moved_mm

FROZEN = [Claim(Cause.FROZEN, element=LONG, size=0.0, u_size=0.1)]
MOVED = [Claim(Cause.SUPPORT_MOVED, support=3, visit=3, size=15.0, u_size=1.0)]
STEPPED = [Claim(Cause.STEP, element=LONG, visit=3, size=15.0, u_size=1.0)]
BLUNDER = [Claim(Cause.BLUNDER, element=LONG, visit=3, size=15.0, u_size=1.0)]
WRONG_C = [Claim(Cause.WRONG_TEMPERATURE, visit=3, size=12.0, u_size=2.0)]
NOTHING = []


def next_visit(temperatures_c=(-20.0, 0.0, 10.0, 20.0, 40.0), u_mm=1.5, u_k=2.5):
    return NextVisit.of(temperatures_c, u_k, 1200.0, np.full(10, u_mm))


def apart(one, other, bridge=None, visit=None):
    tables = (bridge or Bridge()).tables()
    return tell_apart(*tables, 0, [(one, other)], visit or next_visit())[0]


def at(found, element):
    return list(found.elements).index(element)


# the chance of a right answer


@pytest.mark.parametrize(
    ("mean", "u_1", "u_2"), [(3.0, 1.0, 1.0), (0.0, 1.0, 3.0), (4.0, 2.5, 0.4), (0.7, 1.0, 1.001)]
)
def test_the_chance_is_what_the_densities_of_scipy_give(mean, u_1, u_2):
    one, other = stats.norm(10.0, u_1), stats.norm(10.0 + mean, u_2)
    ends = [10.0 - 9.0 * max(u_1, u_2), 10.0 + mean + 9.0 * max(u_1, u_2)]
    expected = quad(
        lambda x: 0.5 * max(one.pdf(x), other.pdf(x)), *ends, limit=500, points=[10.0, 10.0 + mean]
    )[0]
    found = chance_of_right(*(np.array([each]) for each in (10.0, u_1, 10.0 + mean, u_2)))
    assert found[0] == pytest.approx(expected, abs=1e-6)


def test_the_chance_is_a_coin_for_equal_distributions_and_certain_for_distant_ones():
    same = chance_of_right(*(np.array([each]) for each in (5.0, 2.0, 5.0, 2.0)))
    far = chance_of_right(*(np.array([each]) for each in (5.0, 2.0, 500.0, 2.5)))
    assert same[0] == pytest.approx(0.5)
    assert far[0] == pytest.approx(1.0)


def test_the_chance_does_not_ask_which_of_the_two_stands_first():
    numbers = [np.array([each]) for each in (5.0, 2.0, 8.0, 3.5)]
    swapped = [*numbers[2:], *numbers[:2]]
    assert chance_of_right(*numbers)[0] == pytest.approx(chance_of_right(*swapped)[0], abs=1e-12)


# what is foretold


def test_a_sound_unit_is_foretold_to_move_as_the_deck_does():
    found = apart(NOTHING, NOTHING)
    assert found.first.value_mm == pytest.approx(moved_mm([-20.0, 0.0, 10.0, 20.0, 40.0]), abs=0.01)


def test_a_frozen_bearing_is_foretold_to_stand_and_the_others_to_move():
    still = moved_mm()
    still[LONG] = 0.0
    found = apart(FROZEN, NOTHING, Bridge(value_mm=still))
    free = moved_mm(next_visit().temperature_c)
    assert np.abs(found.first.value_mm[LONG]).max() < 0.1 * np.abs(free[LONG]).max()
    others = np.arange(10) != LONG
    assert found.first.value_mm[others] == pytest.approx(free[others], abs=0.3)


def test_what_stands_on_a_moved_support_is_foretold_to_stay_shifted():
    since = np.where(np.arange(8) >= 3, 15.0, 0.0)
    shifted = moved_mm()
    shifted[SUPPORT == 3] -= np.where(SUPPORT[SUPPORT == 3, None] == 3, since, 0.0) * np.where(
        np.arange(10)[SUPPORT == 3, None] == 9, -1.0, 1.0
    )
    found = apart(MOVED, NOTHING, Bridge(value_mm=shifted))
    more = found.first.value_mm - moved_mm(next_visit().temperature_c)
    assert more[LONG] == pytest.approx(-15.0, abs=0.5)
    assert more[9] == pytest.approx(15.0, abs=0.5)  # the gap at its end opens
    assert more[2] == pytest.approx(0.0, abs=0.5)


def test_a_bearing_frozen_since_a_visit_is_foretold_to_stay_where_it_stopped():
    stopped = moved_mm()
    stopped[LONG, 3:] = stopped[LONG, 3]
    claim = [Claim(Cause.FROZEN, element=LONG, visit=3)]
    found = apart(claim, NOTHING, Bridge(value_mm=stopped))
    assert found.first.value_mm[LONG] == pytest.approx(stopped[LONG, 3], abs=1.0)


def test_a_deck_that_goes_on_shortening_is_foretold_shorter_at_its_ends():
    bridge = Bridge()
    years = bridge.time_days / 365.25
    bridge.value_mm = moved_mm() - bridge.lever_mm[:, None] * 4e-4 * years / (2.4 + years)
    found = apart([Claim(Cause.SHORTENING, size=4e-4, u_size=1e-5)], NOTHING, bridge)
    years = 1200.0 / 365.25
    expected = moved_mm([10.0]) - bridge.lever_mm[:, None] * 4e-4 * years / (2.4 + years)
    assert found.first.value_mm[:, 2] == pytest.approx(expected[:, 0], abs=1.5)


def test_another_coefficient_shows_in_proportion_to_the_length():
    claim = [Claim(Cause.COEFFICIENT, size=1.5, u_size=0.05)]
    bridge = Bridge(value_mm=moved_mm(alpha=1.8e-5))
    found = apart(claim, NOTHING, bridge)
    expected = moved_mm(next_visit().temperature_c, alpha=1.8e-5)
    assert found.first.value_mm == pytest.approx(expected, abs=1.0)


def test_another_fixed_point_is_foretold_to_hold_the_deck_there():
    claim = [Claim(Cause.FIXED_POINT, support=0, size=-40.0, u_size=1.0)]
    found = apart(claim, NOTHING, Bridge(value_mm=moved_mm(held=0)))
    expected = moved_mm(next_visit().temperature_c, held=0)
    assert found.first.value_mm == pytest.approx(expected, abs=0.5)


def test_readings_kept_with_the_wrong_sign_are_foretold_so():
    wrong = moved_mm()
    wrong[LONG] *= -1.0
    found = apart([Claim(Cause.SIGN, element=LONG)], NOTHING, Bridge(value_mm=wrong))
    expected = -moved_mm(next_visit().temperature_c)[LONG]
    assert found.first.value_mm[LONG] == pytest.approx(expected, abs=0.3)


# what tells them apart


def halfway():
    """Readings that stand between a frozen bearing and a support that moved."""
    values = moved_mm()
    values[LONG] = 0.4 * values[LONG]
    return Bridge(value_mm=values)


def test_nothing_moves_at_the_setting_temperature_so_frozen_does_not_show_there():
    found = apart(FROZEN, NOTHING, halfway())
    row = at(found, LONG)
    at_set = list(next_visit().temperature_c).index(SET_C)
    # A bearing that stands still does not show the temperature's error either, which leaves a
    # little to go by.
    assert found.right[row].argmin() == at_set
    assert found.right[row, at_set] < LEAST_RIGHT


def test_the_further_from_the_setting_the_clearer_frozen_and_free_are_told_apart():
    span_k = np.array([2.0, 5.0, 10.0, 20.0, 40.0])
    for way in (-1.0, 1.0):
        found = apart(FROZEN, NOTHING, halfway(), next_visit(SET_C + way * span_k))
        assert (np.diff(found.right[at(found, LONG)]) >= 0).all()
        assert (np.diff(found.apart_in_u[at(found, LONG)]) > 0).all()


def test_the_bearing_itself_is_the_first_to_measure_for_frozen_against_free():
    found = apart(FROZEN, NOTHING, halfway())
    element, temperature = found.ranked()[0]
    assert found.elements[element] == LONG
    assert next_visit().temperature_c[temperature] in (-20.0, 40.0)


def test_frozen_and_a_moved_support_are_told_apart_by_another_element_of_that_support():
    found = apart(FROZEN, MOVED, halfway())
    assert found.separable
    assert found.right_together.max() >= found.right.max() - 1e-9


def test_causes_that_spoil_past_readings_only_foretell_the_same_and_cannot_be_told_apart():
    found = apart(BLUNDER, WRONG_C)
    assert found.right.max() < 0.6
    assert not found.separable


def test_an_explanation_is_not_told_apart_from_itself():
    found = apart(MOVED, MOVED)
    assert found.apart_mm == pytest.approx(0.0)
    assert found.right == pytest.approx(0.5)
    assert found.right_together == pytest.approx(0.5)


def test_swapping_the_two_explanations_changes_the_sign_and_nothing_else():
    one, other = apart(FROZEN, MOVED, halfway()), apart(MOVED, FROZEN, halfway())
    assert one.apart_mm == pytest.approx(-other.apart_mm)
    assert one.right == pytest.approx(other.right)


def test_a_better_tape_never_tells_less():
    coarse = apart(STEPPED, MOVED, halfway(), next_visit(u_mm=4.0))
    fine = apart(STEPPED, MOVED, halfway(), next_visit(u_mm=0.5))
    assert (fine.right >= coarse.right - 1e-6).all()
    assert fine.right.max() > coarse.right.max()


def test_a_usual_temperature_is_preferred_where_a_rare_one_tells_no_more():
    visit = next_visit((-60.0, -25.0, 10.0))
    found = apart(FROZEN, NOTHING, visit=visit, bridge=halfway())
    assert visit.temperature_c[found.ranked()[0][1]] == -60.0 or found.right.max() > 0.99
    told = found.ranked(unusual=[True, False, False])
    assert visit.temperature_c[told[0][1]] == -25.0


def test_only_what_can_be_measured_is_proposed():
    u_mm = np.full(10, 1.5)
    u_mm[LONG] = np.nan
    visit = NextVisit.of([-20.0, 40.0], 2.5, 1200.0, u_mm)
    found = apart(FROZEN, MOVED, halfway(), visit)
    assert LONG not in found.elements
    assert len(found.ranked()) == 9


def test_a_next_visit_that_does_not_fit_the_elements_is_refused():
    with pytest.raises(InputError, match="u_value_mm"):
        apart(FROZEN, MOVED, None, NextVisit.of([0.0], 2.5, 1200.0, np.full(3, 1.5)))


def test_a_second_cause_beside_both_changes_neither_more_than_the_other():
    moved = moved_mm()
    moved[0] += 30.0
    beside = Claim(Cause.SETTING_OFF, element=0)
    found = apart([*FROZEN, beside], [*MOVED, beside], Bridge(value_mm=moved))
    shift = found.first.value_mm[0] - moved_mm(next_visit().temperature_c)[0]
    assert shift == pytest.approx(30.0, abs=1.0)
    assert found.right[at(found, 0)].max() < 0.6


def test_the_worth_of_a_visit_lies_between_a_coin_and_certainty():
    assert 0.5 < LEAST_RIGHT < 1.0
    assert STATIONS_M[SUPPORT[LONG]] - STATIONS_M[1] == 80.0


# an independent simulation


def test_the_stated_chance_is_what_a_crew_would_see_that_measures_many_such_bridges():
    """Worlds made from the geometry alone: a bearing that stopped, or a bearing that stepped.

    Each reading, setting and temperature has its own error; the one measurement proposed is
    then taken, and the likelier explanation named.
    """
    rng = np.random.default_rng(20261125)
    visit = next_visit((4.0,))
    right, stated, right_of_all, stated_of_all = [], [], [], []
    for _ in range(400):
        frozen = bool(rng.random() < 0.5)
        true_c = np.array([8.0, 13.0, 9.0, 12.0])
        next_c = 4.0 + rng.normal(0.0, 2.5)
        temperatures = np.r_[true_c, next_c]
        shown = moved_mm(temperatures)
        response = rng.normal(0.0, 0.07)
        if frozen:
            shown[LONG] *= response
        values = shown + rng.normal(0.0, 1.5, shown.shape) + rng.normal(0.0, 2.0, (10, 1))
        bridge = Bridge(
            value_mm=values[:, :4],
            temperature_c=true_c + rng.normal(0.0, 2.5, 4),
            time_days=300.0 + 97.0 * np.arange(4),
        )
        claim = [Claim(Cause.FROZEN, element=LONG)]
        found = apart(claim, NOTHING, bridge, visit)
        row = at(found, LONG)
        scores = [
            stats.norm(each.value_mm[row, 0], each.u_mm[row, 0]).logpdf(values[LONG, 4])
            for each in (found.first, found.second)
        ]
        right.append((scores[0] > scores[1]) == frozen)
        stated.append(found.right[row, 0])
        distances = [
            (values[:, 4] - each.value_mm[:, 0])
            @ np.linalg.solve(
                found.first.covariance_mm2[0] + found.second.covariance_mm2[0],
                values[:, 4] - each.value_mm[:, 0],
            )
            for each in (found.first, found.second)
        ]
        right_of_all.append((distances[0] < distances[1]) == frozen)
        stated_of_all.append(found.right_together[0])
    assert 0.7 < np.mean(stated) < 0.97  # neither a coin nor certain: an error would show
    assert np.mean(right) == pytest.approx(np.mean(stated), abs=0.035)
    assert np.mean(right_of_all) == pytest.approx(np.mean(stated_of_all), abs=0.035)
