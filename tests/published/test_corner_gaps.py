"""Rotation of a bearing from the gaps at its corners: (g_a - g_b) / L; geometry, read, calc.

Also how far an inclinometer of 0.1 deg goes, and plates that are not parallel (element
inspection manual, 2nd ed., defect 2230, read in a copy).
"""

import numpy as np
import pytest

from movement.capacity.rotation import variable_rotation_pot_en
from movement.corner_gaps import rotation_from_corner_gaps


@pytest.mark.parametrize(
    ("gaps", "along", "across", "twist"),
    [
        # back left, back right, ahead left, ahead right; 300 mm apart along, 400 mm across
        ((12.0, 12.0, 9.0, 9.0), 10.0, 0.0, 0.0),  # 3 mm over 300: leans ahead
        ((9.0, 9.0, 12.0, 12.0), -10.0, 0.0, 0.0),
        ((10.0, 12.0, 10.0, 12.0), 0.0, 5.0, 0.0),  # 2 mm over 400: leans to the left
        ((12.0, 14.0, 9.0, 11.0), 10.0, 5.0, 0.0),
        ((10.0, 10.0, 10.0, 12.0), -1000 / 300, 2.5, 1.0),  # one corner off: not flat, or misread
    ],
)
def test_gaps_at_four_corners(gaps, along, across, twist):
    found = rotation_from_corner_gaps(*gaps, 300.0, 400.0)
    assert float(found.along_mrad) == pytest.approx(along)
    assert float(found.across_mrad) == pytest.approx(across)
    assert float(found.twist_mm) == pytest.approx(twist)


def test_a_corner_that_was_not_read_leaves_no_rotation():
    found = rotation_from_corner_gaps([12.0, np.nan], 12.0, 9.0, 9.0, 300.0, [np.nan, 400.0])
    assert np.isnan(found.along_mrad).tolist() == [False, True]
    assert np.isnan(found.across_mrad).all()


def test_an_inclinometer_of_a_tenth_of_a_degree_takes_a_third_of_five_milliradians():
    # 0.1 deg = 1.745 mrad, 35 % of an allowance of 5 mrad (calc)
    step_mrad = np.radians(0.1) * 1000.0
    assert step_mrad == pytest.approx(1.745, abs=0.0005)
    assert float(variable_rotation_pot_en(step_mrad).use) == pytest.approx(0.35, abs=0.005)
