"""Z. Sigmund, EN 1990/1991 Worked Examples (2014), example 34-Q: uniform temperature.

Shade air extremes 34 and -18 degC; provenance: read.  Exact sums, no tolerance needed.
"""

import pytest

from movement.standards import en_1991_1_5_2003 as en
from movement.temperature import DeckType


@pytest.mark.parametrize(
    ("deck_type", "high_c", "low_c"),
    [
        (DeckType.STEEL, 50.0, -21.0),  # type 1; read
        (DeckType.CONCRETE, 36.0, -10.0),  # type 3; read
    ],
)
def test_example_34_q_gives_its_bridge_temperatures(deck_type, high_c, low_c):
    extremes = en.design_extremes(deck_type, -18.0, 34.0)
    assert (float(extremes.max_c), float(extremes.min_c)) == (high_c, low_c)
