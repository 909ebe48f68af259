"""UK National Annex to BS EN 1991-1-5:2003 (April 2007): surfacing, Table NA.1.

The table is from memory (medium confidence).  That type 2 takes the line of group 3 of
BS 5400-2 is inferred from the groups, not read.  Verify both before design rests on them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from movement.checks import finite
from movement.errors import InputError
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes

UNSURFACED_MM, WATERPROOFED_MM = 0.0, 1.0
"""Keys of the two lines without a depth: bare, and waterproofing alone."""


@dataclass(frozen=True, slots=True)
class SurfacingTable:
    """What is added to the uniform temperature extremes for the depth of surfacing.

    Attributes
    ----------
    edition, standing : str
        Where the figures come from, and how far they can be trusted.
    depth_mm : tuple
        Depths of the lines [mm].
    min_k, max_k : dict
        For each deck type, added to the minimum and to the maximum at each depth [K].
    """

    edition: str
    standing: str
    depth_mm: tuple[float, ...]
    min_k: dict[DeckType, tuple[float, ...]]
    max_k: dict[DeckType, tuple[float, ...]]

    def adjusted(
        self, extremes: BridgeExtremes, deck_type: DeckType, surfacing_mm: float
    ) -> BridgeExtremes:
        """Return the extremes with the adjustment, straight between depths.

        Raises
        ------
        InputError
            Beyond the last depth of the deck type, or between waterproofing and none.
        """
        low, high = self.min_k[DeckType(deck_type)], self.max_k[DeckType(deck_type)]
        depths = self.depth_mm[: len(low)]
        depth = float(finite("surfacing_mm", surfacing_mm))
        thin = depth < WATERPROOFED_MM and depth != UNSURFACED_MM
        if thin or depth > depths[-1]:
            raise InputError(
                "surfacing_mm",
                f"{depth:g} mm is not in the table for {deck_type} decks, 0 or 1 to"
                f" {depths[-1]:g} mm",
                "Enter the bridge's design extremes with their source instead.",
            )
        return BridgeExtremes(
            extremes.min_c + np.interp(depth, depths, low),
            extremes.max_c + np.interp(depth, depths, high),
            f"{extremes.source}; surfacing {depth:g} mm by {self.edition} ({self.standing})",
        )


TABLE_NA_1 = SurfacingTable(
    "UK NA to BS EN 1991-1-5:2003, Table NA.1",
    "from memory, verify",
    (UNSURFACED_MM, WATERPROOFED_MM, 40.0, 100.0, 200.0),
    {
        DeckType.STEEL: (0.0, 0.0, 0.0),
        DeckType.COMPOSITE: (-3.0, -3.0, -2.0, 0.0, 3.0),
        DeckType.CONCRETE: (-1.0, -1.0, -1.0, 0.0, 1.0),
    },
    {
        DeckType.STEEL: (4.0, 4.0, 0.0),
        DeckType.COMPOSITE: (0.0, 4.0, 2.0, 0.0, -4.0),
        DeckType.CONCRETE: (0.0, 2.0, 1.0, 0.0, -2.0),
    },
)
