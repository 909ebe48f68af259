"""Standard uncertainties of readings, by JCGM 100:2008."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.uncertainty import from_accuracy, of_reading


def test_a_stated_accuracy_is_a_rectangle():
    # JCGM 100:2008, 4.3.7, from memory: 1 mm of a tape is 0.577 mm, to the digits given
    assert from_accuracy([1.0, 0.0]) == pytest.approx([0.5774, 0.0], abs=5e-5)


def test_repeats_narrow_their_spread_but_not_the_instrument():
    # by hand: 0.3, s = 0.8 of 4: sqrt(0.09 + 0.16) = 0.5
    assert float(of_reading(0.3, 0.8, 4)) == pytest.approx(0.5)
    assert float(of_reading(0.3, 0.8, 10_000_000)) == pytest.approx(0.3, abs=1e-6)


def test_the_mean_of_twenty_readings_has_the_spread_of_the_guide_s_own_example():
    # JCGM 100:2008, 4.4.3: twenty temperatures, s = 1.489 degC, s(mean) = 0.333 degC;
    # from memory
    assert float(of_reading(0.0, 1.489, 20)) == pytest.approx(0.333, abs=0.0005)


@pytest.mark.parametrize("spread", [0.0, np.nan])
def test_a_single_reading_has_the_uncertainty_of_its_instrument(spread):
    assert float(of_reading(0.3, spread, 1)) == 0.3


def test_readings_are_taken_together():
    found = of_reading([0.3, 0.3, np.nan], [0.8, np.nan, 0.0], [4, 1, 1])
    assert found[:2] == pytest.approx([0.5, 0.3])
    assert np.isnan(found[2])


@pytest.mark.parametrize("repeats", [0, -1, np.nan, [2, 0]])
def test_a_reading_was_taken_at_least_once(repeats):
    with pytest.raises(InputError, match="below 1") as refused:
        of_reading(0.3, 0.1, repeats)
    assert refused.value.field == "repeats"


@pytest.mark.parametrize("accuracy", [-0.1, np.inf])
def test_an_accuracy_is_nought_or_more(accuracy):
    with pytest.raises(InputError) as refused:
        from_accuracy(accuracy)
    assert refused.value.field == "accuracy"
