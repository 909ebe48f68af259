"""EN 1991-1-5:2003, Table C.1, coefficients of linear expansion; from memory, high."""

import pytest

from movement.standards import en_1991_1_5_2003 as en
from movement.standards import en_1991_1_5_2003_materials as table
from movement.standards.en_1991_1_5_2003_materials import Material
from movement.temperature import DeckType
from movement.thermal_range import length_change


@pytest.mark.parametrize(
    ("material", "ten_metres_forty_kelvin_mm"),
    [
        # 10 m over 40 K, by hand: 0.4 mm for each 1e-6
        (Material.ALUMINIUM, 9.6),
        (Material.STAINLESS_STEEL, 6.4),
        (Material.STEEL, 4.8),
        (Material.CONCRETE, 4.0),
        (Material.LIGHTWEIGHT_CONCRETE, 2.8),
        (Material.MASONRY, 3.2),  # 6 to 10, the middle
        (Material.TIMBER_ALONG, 2.0),
        (Material.TIMBER_ACROSS, 20.0),  # 30 to 70, the middle
    ],
)
def test_each_material_grows_by_its_own_figure(material, ten_metres_forty_kelvin_mm):
    grown = length_change(table.expansion_per_c(material), 10e3, 40.0)
    assert float(grown) == pytest.approx(ten_metres_forty_kelvin_mm)


def test_masonry_and_timber_across_the_grain_keep_their_range():
    assert table.EXPANSION_RANGE_PER_C[Material.MASONRY] == (6e-6, 10e-6)
    assert table.EXPANSION_RANGE_PER_C[Material.TIMBER_ACROSS] == (30e-6, 70e-6)


def test_a_composite_deck_moves_as_steel_although_its_restraint_may_be_sought_with_less():
    # UK practice; from memory, high: 12e-6 for movement, 10e-6 for restraint alone
    assert en.EXPANSION_PER_C[DeckType.COMPOSITE] == table.expansion_per_c(Material.STEEL)
    assert table.expansion_per_c(Material.CONCRETE) == table.STEEL_IN_COMPOSITE_RESTRAINT_PER_C
