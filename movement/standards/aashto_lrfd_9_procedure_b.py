"""AASHTO LRFD Bridge Design Specifications, 9th edition (2020): procedure B, 3.12.2.2."""

from __future__ import annotations

from movement.errors import InputError
from movement.inputs import DesignExtremes
from movement.standards.aashto_lrfd_9_temperature import EDITION, celsius
from movement.temperature import DeckType
from movement.thermal_range import BridgeExtremes


def procedure_b(deck_type: DeckType, map_min_f: float, map_max_f: float) -> BridgeExtremes:
    """Design extremes from values that someone read off the contour maps.

    Parameters
    ----------
    deck_type : DeckType
        Concrete girders, or steel girders, both with a concrete deck.
    map_min_f, map_max_f : float
        Read off the maps of that kind of girder, interpolated between contours [degF].

    Returns
    -------
    BridgeExtremes [degC]

    Raises
    ------
    InputError
        For a deck of steel, which has no map, or where min is not below max.

    Notes
    -----
    The maps are not part of this module: the values are entered.
    Source: AASHTO LRFD, 9th ed. (2020), 3.12.2.2, from memory.
    """
    if DeckType(deck_type) == DeckType.STEEL:
        raise InputError(
            "deck_type",
            "is steel, and the maps of procedure B are for decks of concrete",
            "Use procedure A, or enter the extremes with their source.",
        )
    extremes = DesignExtremes.of(celsius(map_min_f), celsius(map_max_f))
    girders = "concrete" if deck_type == DeckType.CONCRETE else "steel"
    return BridgeExtremes(
        extremes.min_c,
        extremes.max_c,
        f"{EDITION}, 3.12.2.2 procedure B, {girders} girders with concrete deck, entered from"
        f" the maps as {map_min_f:g} and {map_max_f:g} degF",
    )
