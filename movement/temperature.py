"""Effective temperature of a unit from what was measured.

The effective temperature is the mean over the cross-section, weighted by alpha E A,
that governs the unit's length; it is never an air temperature taken as it is.  Several
ways lead to it, best first; each carries its own standard uncertainty.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import IntEnum, StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, finite, known_or_missing, positive
from movement.errors import InputError


class DeckType(StrEnum):
    """Kinds of superstructure that warm differently (EN 1991-1-5, 6.1.1)."""

    STEEL = "steel"
    COMPOSITE = "composite"
    CONCRETE = "concrete"


class Way(IntEnum):
    """How an effective temperature was got, best first; the numbers are names, not ranks.

    The three heat balances know air and sun hour by hour, air alone, or of some hours no more
    than the daily extremes; AIR_HISTORY is the plain mean of the hours before.
    """

    EMBEDDED = 1
    SURFACES = 2
    SHADED_SURFACE = 3
    HEAT_BALANCE = 6
    HEAT_BALANCE_AIR = 7
    HEAT_BALANCE_DAYS = 8
    AIR_HISTORY = 4
    SHADE_AIR = 5


PRECEDING_HOURS = {DeckType.STEEL: 24.0, DeckType.COMPOSITE: 24.0, DeckType.CONCRETE: 48.0}
"""Span of shade air temperature that a section follows [h].

Source: Emerson, TRRL LR 696 (1976), windows from memory.  Its regression constants
are not used."""

PLAIN_MEAN_U_K = {DeckType.STEEL: 10.0, DeckType.COMPOSITE: 5.0, DeckType.CONCRETE: 4.0}
"""Standard uncertainty of that mean: an agency's figure counts where it is larger [K].

Root mean square, 7 to 18 o'clock, of the mean less the heat balance with the sun, over a real
and a typical year of hours at 36 and 40 degrees of latitude: steel box 10 to 12 K, composite
girders 4.8 to 5.9, concrete 2.9 to 4.6.  Most of it is one-sided: the mean knows nothing of the
sun and runs cold, by 7, 3.7 and 2.8 K in the year's mean, hardly in winter, by 5 K and more in
summer.  It is not corrected for: how much is due hangs on sun, season and section, and where
those are known the heat balance takes its place.
"""

SMALLEST_COVERAGE = 0.75
"""Share of the hours of that span that must have a record.  Judgement, no source."""


@dataclass(frozen=True, slots=True)
class WayUncertainty:
    """Standard uncertainty of each way [K].  Judgement, no source: agency settings."""

    embedded_k: float = 0.5
    surfaces_k: float = 1.5
    shaded_surface_k: float = 2.0
    air_history_k: float = 2.5
    shade_air_k: float = 4.0

    def __post_init__(self) -> None:
        for each in fields(self):
            finite(each.name, at_least_zero(each.name, getattr(self, each.name)))

    def of(self, way: ArrayLike) -> Floats:
        """Return the figure of each way; NaN for none and for those computed hour by hour."""
        table = np.full(max(Way) + 1, np.nan)
        table[Way.EMBEDDED] = self.embedded_k
        table[Way.SURFACES] = self.surfaces_k
        table[Way.SHADED_SURFACE] = self.shaded_surface_k
        table[Way.AIR_HISTORY] = self.air_history_k
        table[Way.SHADE_AIR] = self.shade_air_k
        return np.asarray(table[np.asarray(way, dtype=np.intp)], dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class EffectiveTemperature:
    """Effective temperature, its standard uncertainty and the way that gave it.

    Attributes
    ----------
    temperature_c, u_temperature_k : array (n,)
        NaN where nothing usable was measured.
    way : array (n,) of int8
        Values of :class:`Way`, 0 for none.
    """

    temperature_c: Floats
    u_temperature_k: Floats
    way: NDArray[np.int8]


def from_surfaces(deck_c: ArrayLike, girder_c: ArrayLike, deck_share: ArrayLike) -> Floats:
    """Way 2: deck and girder surface temperatures weighted by their share of alpha E A.

    Parameters
    ----------
    deck_c, girder_c : array_like (n, k)
        Surface temperatures of the deck (top, soffit) and of the girder (top flange,
        web, bottom flange); NaN where not taken [degC].
    deck_share : array_like (n,)
        Share of the deck in alpha E A of the section, 0 to 1 [-].

    Returns
    -------
    numpy.ndarray (n,) [degC]
        NaN unless both parts were measured.

    Notes
    -----
    T_N = sum(alpha E A T) / sum(alpha E A).  Source: JCSS Probabilistic Model Code,
    thermal actions, for the area mean; weighting by alpha E A from memory.
    """
    share = finite("deck_share", deck_share)
    if ((share < 0) | (share > 1)).any():
        raise InputError("deck_share", "is not between 0 and 1", "Give a share, 0.6 for 60 %.")
    deck = _mean_of_known(known_or_missing("deck_c", deck_c))
    girder = _mean_of_known(known_or_missing("girder_c", girder_c))
    return np.asarray(share * deck + (1.0 - share) * girder, dtype=np.float64)


def mean_of_preceding(
    record_h: ArrayLike, air_c: ArrayLike, at_h: ArrayLike, span_h: ArrayLike
) -> Floats:
    """Way 4, plain form: mean of the hourly shade air temperatures before each reading.

    Parameters
    ----------
    record_h, air_c : array_like (m,)
        Hours since any epoch, and the air temperature then [h; degC].  Any order;
        blanks (NaN) are passed over.
    at_h : array_like (n,)
        Hours at which the effective temperature is wanted [h].
    span_h : array_like
        Length of the span before it, 24 or 48 [h].

    Returns
    -------
    numpy.ndarray (n,) [degC]
        NaN where less than :data:`SMALLEST_COVERAGE` of the span has a record.

    Notes
    -----
    Source: see :data:`PRECEDING_HOURS`.
    """
    hours, air = finite("record_h", record_h), known_or_missing("air_c", air_c)
    if hours.shape != air.shape or hours.ndim != 1:
        raise InputError("air_c", "does not pair with record_h", "Give one value an hour.")
    at, span = np.broadcast_arrays(finite("at_h", at_h), positive("span_h", span_h))
    known = ~np.isnan(air)
    order = np.argsort(hours[known], kind="stable")
    hours, air = hours[known][order], air[known][order]
    first = np.searchsorted(hours, at - span, side="right")
    last = np.searchsorted(hours, at, side="right")
    sums = np.concatenate([[0.0], np.cumsum(air)])
    new_hour = np.diff(np.floor(hours), prepend=-np.inf) > 0
    hours_seen = np.concatenate([[0], np.cumsum(new_hour)])
    count = last - first
    enough = hours_seen[last] - hours_seen[first] >= SMALLEST_COVERAGE * span
    mean = (sums[last] - sums[first]) / np.maximum(count, 1)
    return np.where(enough & (count > 0), mean, np.nan)


def best_of(
    candidates: Mapping[Way, ArrayLike],
    uncertainty: WayUncertainty,
    computed_k: Mapping[Way, ArrayLike] | None = None,
) -> EffectiveTemperature:
    """Take, for each reading, the best way that was measured.

    Parameters
    ----------
    candidates : mapping
        Effective temperature by each way, arrays that broadcast to (n,); NaN where
        that way was not measured [degC].
    uncertainty : WayUncertainty
        The agency's figures.
    computed_k : mapping
        Standard uncertainty of those ways that have one for each reading [K].
    """
    if not candidates:
        raise InputError("candidates", "is empty", "Give at least one way, NaN where unknown.")
    ways = [way for way in Way if way in candidates]
    stack = np.stack(
        np.broadcast_arrays(*(known_or_missing("temperature_c", candidates[w]) for w in ways))
    )
    known = ~np.isnan(stack)
    pick = known.argmax(axis=0)
    some = known.any(axis=0)
    value = np.take_along_axis(stack, pick[np.newaxis], axis=0)[0]
    way = np.where(some, np.array(ways, dtype=np.int8)[pick], np.int8(0))
    u = uncertainty.of(way)
    for computed, figure_k in (computed_k or {}).items():
        u = np.where(way == computed, at_least_zero("computed_k", figure_k), u)
    return EffectiveTemperature(np.where(some, value, np.nan), u, way.astype(np.int8))


def weakest(ways: ArrayLike) -> NDArray[np.int8]:
    """Return the weakest way along the last axis; 0, "none", only where there is no other.

    Two units that meet at a joint may each have their temperature in another way.
    """
    numbers = np.array([0, *Way], dtype=np.int8)
    rank_of = np.zeros(max(Way) + 1, dtype=np.intp)
    rank_of[numbers] = np.arange(numbers.size)
    return np.asarray(numbers[rank_of[np.asarray(ways, dtype=np.intp)].max(axis=-1)])


def _mean_of_known(values: Floats) -> Floats:
    known = ~np.isnan(values)
    count = known.sum(axis=-1)
    total = np.where(known, values, 0.0).sum(axis=-1)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)
