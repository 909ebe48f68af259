"""AASHTO LRFD before 2005, creep: FHWA LRFD prestressed beam example, appendix C.

f'c 6.0 ksi, V/S 4.406 in (13 020 / 2 955.38), t infinite: kf 0.748 and kc 0.759, read.  H 70 %
and loading at 1 day recalled, psi calc (the print is cut off).
"""

import numpy as np
import pytest

from movement.errors import InputError
from movement.standards import aashto_lrfd_9_shortening as newer
from movement.standards import aashto_lrfd_1998_creep as older
from tests.published.source_units import MM_PER_IN
from tests.published.us_force_units import MPA_PER_KSI

FOREVER_D = 1e12
STRENGTH_MPA, RATIO_MM = 6.0 * MPA_PER_KSI, 13_020.0 / 2_955.38 * MM_PER_IN


def test_factors_as_printed():
    assert float(older.strength_factor(STRENGTH_MPA)) == pytest.approx(0.748, abs=0.0005)
    assert float(older.size_factor(FOREVER_D, RATIO_MM)) == pytest.approx(0.759, abs=0.0005)


def test_final_creep_of_the_girder():
    found = older.creep_coefficient(FOREVER_D, 1.0, STRENGTH_MPA, RATIO_MM, 70.0)
    assert float(found) == pytest.approx(1.98, abs=0.005)


def test_a_thick_section_creeps_more_slowly_than_a_thin_one():
    # kc at 100 days by hand, V/S 1.5 and 6 in: 145 / (26 x 1.71601 + 100) = 1.002654, x (1.80 +
    # 1.77 x 0.444858) / 2.587 = 1.0028; 145 / (26 x 8.67114 + 100) = 0.445538, x (1.80 + 1.77 x
    # 0.0391639) / 2.587 = 0.3219
    found = older.size_factor(100.0, np.array([1.5, 6.0]) * MM_PER_IN)
    assert found == pytest.approx([1.0028, 0.3219], abs=0.0001)


def test_both_forms_agree_within_the_scatter_that_is_stated():
    # release strength 4.8 ksi = 0.8 f'c for the later form; V/S 3 in, H 60 to 80 %
    for humidity in (60.0, 70.0, 80.0):
        args = (FOREVER_D, 1.0)
        old = older.creep_coefficient(*args, STRENGTH_MPA, 3.0 * MM_PER_IN, humidity)
        new = newer.creep_coefficient(*args, 0.8 * STRENGTH_MPA, 3.0 * MM_PER_IN, humidity)
        assert float(old) == pytest.approx(float(new), rel=0.5)


@pytest.mark.parametrize(
    ("ratio_in", "humidity", "field"),
    [
        (6.05, 70.0, "volume_to_surface_mm"),
        (3.0, 29.9, "humidity_percent"),
        (3.0, 100.1, "humidity_percent"),
    ],
)
def test_outside_the_range_of_the_rule_is_refused(ratio_in, humidity, field):
    ends = older.creep_coefficient(100.0, 1.0, STRENGTH_MPA, 6.0 * MM_PER_IN, [30.0, 100.0])
    assert (ends > 0).all()
    with pytest.raises(InputError) as refused:
        older.creep_coefficient(100.0, 1.0, STRENGTH_MPA, ratio_in * MM_PER_IN, humidity)
    assert refused.value.field == field
