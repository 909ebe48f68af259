"""A small share of the proof: the same units and counts, with room for chance."""

from dataclasses import replace

import numpy as np
import pytest

from movement.whole_bridge import Outcome
from tests.simulation.limits import Judged
from tests.simulation.measure import Answers, measure
from tests.simulation.tables import make_units
from tests.simulation.world import UNSURE, USUAL


def test_one_planted_cause_is_named_first_more_often_than_by_the_plain_method():
    found = measure("one", 160, seed=11)
    rates = found.rates
    assert rates["right cause and place first, or among equals [%]"] > 93.0
    assert rates["right cause and place first, or among equals [%]"] > rates["reference: right [%]"]
    assert rates["data can tell: right [%]"] > 95.0
    assert rates["in an element's last reading: step and blunder named [%]"] > 85.0
    assert rates["data can tell: frozen called healthy [%]"] <= 1.0
    intervals = next(value for name, value in rates.items() if "that cover [%]" in name)
    assert 88.0 < intervals <= 100.0


def test_of_two_planted_causes_one_is_named_first_and_often_both():
    rates = measure("two", 84, seed=12, reference=False).rates
    assert rates["right cause and place first, or among equals [%]"] > 90.0
    assert rates["both of two named [%]"] > 80.0


def test_a_shortening_that_began_late_is_named_without_a_second_cause():
    rates = measure("late", 100, seed=16, reference=False).rates
    assert rates["right cause and place first, or among equals [%]"] > 92.0
    assert rates["a second cause too many [%]"] < 15.0


def test_a_wrong_register_is_named_as_such():
    found = measure("register", 80, seed=13, reference=False)
    assert found.rates["data can tell: right [%]"] > 92.0
    for kind in ("fixed point", "setting off"):
        planted = sum(count for (row, _), count in found.confusion.items() if row == kind)
        assert found.confusion[kind, kind] >= planted - 1


def test_one_who_knows_how_the_units_were_made_names_hardly_more():
    judged = Judged(USUAL, 64, seed=14)
    assert judged.by_oracle.mean() > 0.93
    assert abs(judged.by_product.mean() - judged.by_oracle.mean()) < 0.05


@pytest.mark.parametrize("true_scatters", [False, True])
def test_healthy_units_raise_next_to_no_false_alarm(true_scatters):
    """Whichever way the errors of temperature lie."""
    population = replace(USUAL, true_scatters=true_scatters)
    assert alarms_of(population) <= 5


def alarms_of(population, units=400):
    """Return how many healthy units are told of a fault."""
    answers = Answers(make_units(np.random.default_rng(1), "healthy", units, population))
    return np.isin(answers.found.outcome, (Outcome.EXPLAINED, Outcome.CANNOT_TELL)).sum()


def test_a_register_off_by_what_it_states_for_a_whole_unit_is_no_fault():
    assert alarms_of(UNSURE) <= 5
    # the same errors would look like faults to one who is not told of them
    assert alarms_of(replace(UNSURE, told=False)) > 60


def test_causes_are_found_beside_the_errors_of_an_unsure_register():
    rates = measure("one", 160, seed=15, reference=False, population=UNSURE).rates
    assert rates["right cause and place first, or among equals [%]"] > 90.0
    assert rates["data can tell: right [%]"] > 94.0
    intervals = next(value for name, value in rates.items() if "that cover [%]" in name)
    assert 88.0 < intervals <= 100.0
