"""How far sliding surfaces travel in a year, and have travelled in their life."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import numpy as np

from inspections.models.choices import ReadingQuantity
from inspections.services.device_figures import NAN
from inventory.models import Installation
from inventory.models.choices import DeckType, DeviceType
from movement.travel import DAYS_A_YEAR, travel_from_cycles

DAILY_RANGE_K = {DeckType.STEEL: 17.0, DeckType.COMPOSITE: 8.0, DeckType.CONCRETE: 5.0}
"""Highest minus lowest effective temperature of a usual day, by deck type [K].

Mean of the heat balance of usual sections over a typical year of hours, inland at 40 degrees
north: steel box 17, composite girders 8, concrete 4 (box) to 6 (girders).  By a sea or under
cloud it is less.  To take the year of the bridge's own station instead would cost seconds of
computation with each reading saved.
"""
YEARLY_RANGE_K = 30.0
"""The same of the monthly means of that year; it hardly adds to the daily way."""
_SLIDING = (DeviceType.FLAT_SLIDING, DeviceType.POT, DeviceType.SPHERICAL, DeviceType.DISC)


def travels_of(
    installations: Sequence[Installation],
    quantities: Sequence[str],
    slope_per_c: np.ndarray,
    now: Sequence[dt.datetime],
) -> tuple[np.ndarray, np.ndarray]:
    """Return the travel in a year [mm] and in the life of each device until an hour [m].

    Only for offsets along the movement of bearings that slide; NaN for all else, and where
    the slope is not known.  The life ends with a replacement or a reset.
    """
    slides = np.array(
        [
            quantity == ReadingQuantity.OFFSET_ALONG and each.device_type in _SLIDING
            for each, quantity in zip(installations, quantities, strict=True)
        ]
    )
    daily_k = np.array([DAILY_RANGE_K[_deck(each)] for each in installations])
    years = np.array(
        [
            max(((each.removed_on or day.date()) - each.installed_on).days, 0) / DAYS_A_YEAR
            for each, day in zip(installations, now, strict=True)
        ]
    )
    # Travel is as long as the slope is steep: the way of 1 mm a degree is found once a deck type.
    ranges_k, of_row = np.unique(daily_k, return_inverse=True)
    of_one = travel_from_cycles(1.0, ranges_k, YEARLY_RANGE_K).mm_per_year
    mm_per_year = np.where(slides, np.abs(slope_per_c), NAN) * of_one[of_row]
    return mm_per_year, mm_per_year * years / 1000.0


def _deck(installation: Installation) -> DeckType:
    element = installation.element
    unit = element.unit or element.unit_ahead
    return DeckType(unit.deck_type)
