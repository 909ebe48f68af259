"""AASHTO Manual for Bridge Element Inspection, 2nd ed. (2019): sizes that part the states.

Read in a copy.  In rows whose fourth state is a structural review, no number gives it.
"""

import numpy as np
import pytest

from movement import condition_states as states
from movement.errors import InputError
from tests.published.source_units import MM_PER_IN


def test_a_bulge_of_fifteen_percent_parts_fair_from_poor():
    # 2230: none; below 15 % of thickness; 15 % and more, any split or tear, or not parallel
    assert states.bulging([0.0, 0.149, 0.15, 0.60, np.nan]).tolist() == [1, 2, 3, 3, 0]
    assert states.bulging([0.0, np.nan], split_or_torn=True).tolist() == [3, 3]
    assert states.bulging(0.05, not_parallel=True) == 3


def test_a_tenth_of_the_bearing_area_parts_fair_from_poor():
    # 2240
    assert states.loss_of_area([0.0, 0.09, 0.10, 0.9, np.nan]).tolist() == [1, 2, 3, 3, 0]
    with pytest.raises(InputError, match="lost_share"):
        states.loss_of_area(10.0)


def test_a_seal_that_adheres_over_half_the_height_or_less_is_poor_and_nowhere_severe():
    # 2320: full; over more than 50 % of joint height; 50 % or less but some; none left
    found = states.seal_adhesion([1.0, 0.99, 0.51, 0.50, 0.01, 0.0, np.nan])
    assert found.tolist() == [1, 2, 2, 3, 3, 4, 0]


@pytest.mark.parametrize(
    ("depth_in", "diameter_in", "exposed", "state"),
    [
        # 2360: up to 1 in deep or 6 in across, no reinforcement exposed; beyond
        (0.0, 0.0, False, 1),
        (1.0, 6.0, False, 2),
        (1.02, 3.0, False, 3),
        (0.5, 6.1, False, 3),
        (0.5, 8.0, False, 3),  # meets both texts: the worse governs, a rule of our own
        (0.5, 3.0, True, 3),
        (np.nan, 8.0, False, 3),
        (np.nan, 3.0, False, 0),
    ],
)
def test_spall_of_an_inch_or_six(depth_in, diameter_in, exposed, state):
    found = states.spalled_header(depth_in * MM_PER_IN, diameter_in * MM_PER_IN, exposed)
    assert int(found) == state


def test_the_worst_defect_takes_the_quantity():
    # from memory
    assert states.controlling([[1, 3, 2], [0, 1, 1], [0, 0, 0]]).tolist() == [3, 1, 0]
