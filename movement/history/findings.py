"""What a history is told besides its readings, and what it answers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, IntFlag

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, known_or_missing
from movement.errors import InputError
from movement.history.ragged import Flags, Rows


class Response(IntEnum):
    """How an element follows the temperature; the default is "not enough information"."""

    NOT_ENOUGH_INFORMATION = 0
    FREE = 1
    SLUGGISH = 2
    SLUGGISH_OR_FROZEN = 3
    FROZEN = 4
    WRONG_SIGN = 5
    MORE_THAN_FREE = 6


class Finding(IntFlag):
    """What else a history shows."""

    NONE = 0
    DRIFT = 1 << 0
    STEP = 1 << 1
    BLUNDER = 1 << 2
    REACHES_LIMIT = 1 << 3


class Missing(IntFlag):
    """Why there is no word on the response."""

    NONE = 0
    NO_READING = 1 << 0
    TOO_FEW_VISITS = 1 << 1
    NO_TEMPERATURE_SPREAD = 1 << 2
    SPREAD_WITHIN_ITS_ERROR = 1 << 3
    NO_EXPECTED_SLOPE = 1 << 4
    INTERVAL_TOO_WIDE = 1 << 5
    NO_SPREAD_OF_TIME = 1 << 6


@dataclass(frozen=True, slots=True)
class HistoryThresholds:
    """Where a history turns.  Agency settings; the defaults are judgement, no source.

    Attributes
    ----------
    frozen_below, sluggish_below, free_above, more_than_free_above : float
        Bounds of the response ratio that its whole interval must respect [-].
    normal_above : float
        Lower end from which an interval that does not reach 1 is still free [-].
    wrong_sign_below : float
        Upper end of the interval below which the element moves the wrong way [-].
    widest_half_width : float
        Half-width of the interval of the ratio above which nothing is said [-].
    wanted_half_width : float
        Half-width to plan the next visits for [-].
    fewest_visits : int
        Visits below which nothing is said.
    chance : float
        Probability of naming a drift, step or blunder where there is none, each.
    equally_well : float
        Difference of two explanations in chi-square below which both are named.
    u_of_u : float
        Relative uncertainty of the stated standard uncertainties [-].
    confidence : float
        Of every interval.
    horizon_years : float
        Within which a trend that meets a limit is to be watched.
    """

    frozen_below: float = 0.3
    sluggish_below: float = 0.8
    free_above: float = 0.5
    normal_above: float = 0.7
    more_than_free_above: float = 1.3
    wrong_sign_below: float = -0.1
    widest_half_width: float = 0.5
    wanted_half_width: float = 0.25
    fewest_visits: int = 3
    chance: float = 0.003
    equally_well: float = 4.0
    u_of_u: float = 0.15
    confidence: float = 0.95
    horizon_years: float = 10.0

    def __post_init__(self) -> None:
        steps = (self.frozen_below, self.free_above, self.sluggish_below, 1.0)
        if not 0 < steps[0] <= steps[1] <= steps[2] < 1.0 < self.more_than_free_above < np.inf:
            raise InputError(
                "frozen_below",
                "the bounds of the response ratio do not rise: frozen, free, sluggish, 1, more",
                "Take 0.3, 0.5, 0.8 and 1.3.",
            )
        for name in ("chance", "confidence", "u_of_u", "widest_half_width", "wanted_half_width"):
            if not 0 < getattr(self, name) < 1:
                raise InputError(name, f"{getattr(self, name):g} is not in (0, 1)", "Correct it.")
        if not (self.fewest_visits >= 3 and self.horizon_years >= 0 and self.equally_well >= 0):
            raise InputError(
                "fewest_visits",
                "is below 3, or horizon_years or equally_well below zero",
                "Take 3 visits, 10 years and 4.",
            )

    @property
    def stated_dof(self) -> float:
        """Degrees of freedom of the stated uncertainties: 1 / (2 u_of_u^2).

        Source: JCGM 100:2008, G.4.2.
        """
        return 0.5 / self.u_of_u**2


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """Slope that physics predicts, arrays (series,) [unit of the quantity per degC].

    NaN or 0 where none is predicted: then there is no response ratio.
    """

    slope: Floats
    u_slope: Floats

    @classmethod
    def of(cls, slope: ArrayLike, u_slope: ArrayLike = 0.0) -> Expected:
        """Check and broadcast."""
        pair = np.broadcast_arrays(
            np.atleast_1d(known_or_missing("expected_slope", slope)),
            at_least_zero("u_expected_slope", u_slope),
        )
        return cls(*pair)


@dataclass(frozen=True, slots=True, eq=False)
class Interval:
    """A number with its interval, arrays (series,); NaN: could not be had."""

    value: Floats
    lower: Floats
    upper: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """Change of level between two visits; NaN where none was found.

    Attributes
    ----------
    size : Interval
        [unit of the quantity]
    after_years, before_years : array (series,)
        Times of the visits between which it happened.
    p_value : array (series,)
        Chance of one as clear anywhere in a good history.
    """

    size: Interval
    after_years: Floats
    before_years: Floats
    p_value: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Blunder:
    """Reading far from an otherwise good line.

    Attributes
    ----------
    row : array (series,) of int
        Row of the clearest in the arrays given; -1 where there is none.
    size : array (series,)
        Its distance from the line through the others [unit of the quantity].
    p_value : array (series,)
        Chance of one as clear anywhere in a good history.
    """

    row: Rows
    size: Floats
    p_value: Floats


@dataclass(frozen=True, slots=True, eq=False)
class History:
    """What each history shows; arrays (series,) unless said.  NaN: could not be had.

    Attributes
    ----------
    response : array of int8
        Values of :class:`Response`.
    missing : array of uint16
        Bits of :class:`Missing`.
    ratio, slope : Interval
        Response ratio [-]; fitted slope [unit per degC].
    level : Interval
        Value at the mean temperature and time of the readings used.
    mean_temperature_c, mean_time_years : array
        That mean temperature and time.
    drift_per_year, drift_p_value : Interval, array
        Drift [unit per year], and the chance of one as clear in a good history.
    findings, alternatives : array of uint16
        Bits of :class:`Finding`; of those in ``alternatives`` only one need be true.
    step, blunder
        Details.
    limit_in_years : Interval
        Years from now until the trend meets a limit carried to a design extreme;
        below 0 it has; NaN where no drift is shown.
    left_out : array (n,) of bool
        Readings given that the line leaves out as blunders.
    visits, spread_k : array
        Visits with complete readings; range of their temperatures [K].
    spread_needed_k, visits_needed : array
        Range of temperature that would give a word with as many readings [K]; further
        visits that would at the present spread.
    """

    response: NDArray[np.int8]
    missing: NDArray[np.uint16]
    ratio: Interval
    slope: Interval
    level: Interval
    mean_temperature_c: Floats
    mean_time_years: Floats
    drift_per_year: Interval
    drift_p_value: Floats
    findings: NDArray[np.uint16]
    alternatives: NDArray[np.uint16]
    step: Step
    blunder: Blunder
    limit_in_years: Interval
    left_out: Flags
    visits: Rows
    spread_k: Floats
    spread_needed_k: Floats
    visits_needed: Floats
