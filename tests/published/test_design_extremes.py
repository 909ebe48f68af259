"""Design extremes by AASHTO LRFD 3.12.2.2 (entered map values) and UK NA Table NA.1.

Idea of procedure B from memory (high); figures of Table NA.1 from memory (medium): the table
says so itself, and so does the source of every result.
"""

import pytest

from movement.errors import InputError
from movement.standards.aashto_lrfd_9_procedure_b import procedure_b
from movement.standards.uk_na_en_1991_1_5_2007 import TABLE_NA_1
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes

STEEL, COMPOSITE, CONCRETE = DeckType.STEEL, DeckType.COMPOSITE, DeckType.CONCRETE


def test_map_values_come_out_in_celsius_with_their_source():
    found = procedure_b(COMPOSITE, -22.0, 113.0)
    assert (float(found.min_c), float(found.max_c)) == pytest.approx((-30.0, 45.0))
    assert "3.12.2.2 procedure B, steel girders" in found.source
    assert "-22 and 113 degF" in found.source


@pytest.mark.parametrize(
    ("deck", "low", "high", "field"),
    [
        (STEEL, 0.0, 120.0, "deck_type"),
        (CONCRETE, 100.0, 10.0, "design_min_c"),
        (CONCRETE, float("nan"), 10.0, "temperature_f"),
    ],
)
def test_what_the_maps_cannot_say_is_refused(deck, low, high, field):
    with pytest.raises(InputError) as refused:
        procedure_b(deck, low, high)
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("deck", "depth_mm", "low_k", "high_k"),
    [
        (STEEL, 0.0, 0.0, 4.0),
        (STEEL, 1.0, 0.0, 4.0),
        (STEEL, 40.0, 0.0, 0.0),
        (COMPOSITE, 0.0, -3.0, 0.0),
        (COMPOSITE, 1.0, -3.0, 4.0),
        (COMPOSITE, 40.0, -2.0, 2.0),
        (COMPOSITE, 100.0, 0.0, 0.0),
        (COMPOSITE, 200.0, 3.0, -4.0),
        (CONCRETE, 0.0, -1.0, 0.0),
        (CONCRETE, 1.0, -1.0, 2.0),
        (CONCRETE, 40.0, -1.0, 1.0),
        (CONCRETE, 100.0, 0.0, 0.0),
        (CONCRETE, 200.0, 1.0, -2.0),
        (CONCRETE, 150.0, 0.5, -1.0),  # half way from 100 to 200 mm
    ],
)
def test_surfacing_moves_the_extremes_and_says_that_it_is_to_be_verified(
    deck, depth_mm, low_k, high_k
):
    found = TABLE_NA_1.adjusted(BridgeExtremes(-10.0, 36.0, "figure"), deck, depth_mm)
    assert float(found.min_c) == pytest.approx(-10.0 + low_k)
    assert float(found.max_c) == pytest.approx(36.0 + high_k)
    assert found.source.startswith("figure; surfacing")
    assert "from memory, verify" in found.source


@pytest.mark.parametrize(
    ("deck", "depth_mm"), [(STEEL, 60.0), (CONCRETE, 210.0), (CONCRETE, 0.5), (CONCRETE, -1.0)]
)
def test_depths_outside_the_table_are_refused(deck, depth_mm):
    with pytest.raises(InputError, match="surfacing_mm"):
        TABLE_NA_1.adjusted(BridgeExtremes(-10.0, 36.0, "figure"), deck, depth_mm)
