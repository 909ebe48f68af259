"""Thermal fixed point of a unit on several fixed supports; statics, from memory (high), calc."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.thermal_centre import thermal_centre_m


def test_it_lies_at_the_centre_of_the_stiffnesses():
    # 0, 30, 60 m with 1, 3, 2 kN/mm: (90 + 120) / 6 = 35 m
    assert float(thermal_centre_m([0.0, 30.0, 60.0], [1.0, 3.0, 2.0])) == pytest.approx(35.0)


def test_forces_of_a_free_change_of_length_balance_there():
    station, stiffness = np.array([0.0, 25.0, 70.0, 95.0]), np.array([0.0, 4.0, 9.0, 2.0])
    centre = float(thermal_centre_m(station, stiffness))
    strain = 12e-6 * 30.0
    forces_kn = stiffness * strain * (station - centre) * 1000.0
    assert forces_kn.sum() == pytest.approx(0.0, abs=1e-9)


def test_one_fixed_bearing_among_sliding_ones_is_the_fixed_point():
    assert float(thermal_centre_m([0.0, 40.0, 80.0], [0.0, 7.0, 0.0])) == 40.0


def test_units_of_unlike_length_stand_in_one_table():
    found = thermal_centre_m([[0.0, 30.0, np.nan], [0.0, 40.0, 80.0]], [1.0, 1.0, 1.0])
    assert found == pytest.approx([15.0, 40.0])


def test_a_unit_that_nothing_holds_has_none_and_an_unknown_stiffness_hides_it():
    found = thermal_centre_m([[0.0, 30.0], [0.0, 30.0]], [[0.0, 0.0], [1.0, np.nan]])
    assert np.isnan(found).all()
    with pytest.raises(InputError, match="is one number"):
        thermal_centre_m(10.0, 1.0)
