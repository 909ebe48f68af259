"""JCSS Probabilistic Model Code, part 2, thermal actions: section mean, spread of alpha.

Read.  Its yearly maxima of bridge temperature stand in test_heat_balance_en_1991_1_5 and
test_heat_balance_typical_days.
"""

import numpy as np
import pytest

from movement.heat_balance.sections import composite_girders, concrete_slab, cut
from movement.standards import jcss_thermal_actions as jcss
from movement.temperature import from_surfaces

# Composite, 3.0 m between girders, slab 0.25 m, steel 0.05 m2, by hand: alpha E A 10e-6 x 33 x
# 0.75 = 247.5e-6 against 12e-6 x 210 x 0.05 = 126e-6: slab 0.66265 (weighting from memory, high)
SLAB_SHARE = 0.66265


def test_section_mean_of_a_composite_deck_is_weighted_by_alpha_e_a():
    # slab 20, girder 10 degC: 16.63 degC
    found = from_surfaces([[20.0]], [[10.0]], SLAB_SHARE)
    assert float(found[0]) == pytest.approx(16.627, abs=0.001)


def test_the_heat_balance_weighs_slab_and_girder_alike():
    cells = cut([composite_girders(1.5, 0.05, 0.1, 3.0, 0.25)])
    surfacing, slab, girder = np.split(cells.weight[:, 0], [3, 9])
    assert surfacing.sum() == 0.0
    assert slab.sum() == pytest.approx(SLAB_SHARE, abs=1e-5)
    assert girder.sum() == pytest.approx(1.0 - SLAB_SHARE, abs=1e-5)


def test_section_mean_of_one_material_is_the_area_mean():
    # T_N = (1/A) integral T dA: a slab whose temperature falls from 34 to 22 degC: 28 degC
    cells = cut([concrete_slab(0.6, 0.0)])
    count = cells.weight.shape[0]
    middle = (np.arange(count) + 0.5) / count
    temperature = 34.0 - 12.0 * middle
    assert float(cells.weight[:, 0] @ temperature) == pytest.approx(28.0)


@pytest.mark.parametrize(
    ("slope_mm_per_c", "lightweight", "possible"),
    [
        # lever 100 m: 0.7 to 1.3 mm/degC of normal concrete, 0.5 to 1.1 of lightweight
        (0.70, False, True),
        (1.30, False, True),
        (0.65, False, False),
        (1.35, False, False),
        (0.65, True, True),
        (0.50, True, True),
        (1.15, True, False),
        (-1.0, False, False),
        (np.nan, False, False),
    ],
)
def test_a_slope_that_no_aggregate_explains_is_told(slope_mm_per_c, lightweight, possible):
    found = jcss.explained_by_aggregate(slope_mm_per_c, 100e3, lightweight)
    assert bool(found) == possible


def test_the_coefficient_that_a_slope_means():
    found = jcss.implied_expansion_per_c([0.9, 0.9, -0.9], [100e3, 0.0, -100e3])
    assert found == pytest.approx([9e-6, np.nan, 9e-6], nan_ok=True)


def test_the_spread_is_thirty_percent_of_the_usual_figure():
    # 7 to 13 about 10e-6: the largest part of what a slope may be off for concrete
    low, high = jcss.SPREAD_PER_C
    assert (high - 10e-6) / 10e-6 == pytest.approx(0.30)
    assert (10e-6 - low) / 10e-6 == pytest.approx(0.30)
