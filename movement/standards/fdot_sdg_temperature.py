"""Florida DOT, Structures Design Guidelines: temperature range.  From memory, medium.

Confirm against the owner's edition before design rests on it.
"""

from __future__ import annotations

from movement.standards.aashto_lrfd_9_temperature import celsius
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes

EDITION = "FDOT Structures Design Guidelines (from memory, verify)"
MEAN_F = 70.0
EXTREMES_F = {
    DeckType.CONCRETE: (35.0, 105.0),  # the mean -/+ 35
    DeckType.COMPOSITE: (30.0, 110.0),  # concrete deck on steel girders: -/+ 40
    DeckType.STEEL: (30.0, 120.0),  # all steel
}


def design_extremes(deck_type: DeckType) -> BridgeExtremes:
    """Design extremes [degC]; movement is counted from the mean of 70 degF."""
    low_f, high_f = EXTREMES_F[DeckType(deck_type)]
    return BridgeExtremes(celsius(low_f), celsius(high_f), f"{EDITION}, {deck_type} deck")
