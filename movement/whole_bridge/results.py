"""What the reading of a whole bridge answers: arrays by unit, rows of the tables."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, IntFlag

import numpy as np
from numpy.typing import NDArray

from movement.checks import Floats
from movement.whole_bridge.readings import Rows

RANKS = 3
"""Explanations given for each unit."""


class Outcome(IntEnum):
    """What can be said of a unit; the default is that it cannot be judged."""

    NOT_ENOUGH = 0
    HEALTHY = 1
    EXPLAINED = 2
    CANNOT_TELL = 3


class Missing(IntFlag):
    """What is missing."""

    NONE = 0
    READINGS = 1 << 0
    TEMPERATURES = 1 << 1
    LEVERS = 1 << 2
    VISITS = 1 << 3
    TEMPERATURE_RANGE = 1 << 4


@dataclass(frozen=True, slots=True, eq=False)
class Explanations:
    """Ranked explanations, arrays (units, RANKS); nothing below the last rank.

    Attributes
    ----------
    cause : array of int8
        Values of :class:`movement.whole_bridge.Cause`; healthy where there is none.
    element, support, visit : array of int64
        Rows where it sits, -1 where it sits on none.  The visit is the one that is
        wrong, or the first at which the cause holds; -1: since the setting.
    last_before : array of int64
        The visit before that one, or -1: the cause began between the two.
    score : array
        Natural log of its odds against healthy: evidence with its price paid.
    log_ratio : array
        Log likelihood ratio, averaged over sizes (and not over places and dates).
    size, low, high : array
        Estimate and 95 % interval.  Frozen, sluggish, sign: response (1 is free) [-];
        support, blunder, step, setting: [mm]; temperature: true minus written [K];
        shortening at the last visit [-]; coefficient: true over registered [-];
        fixed point: true minus registered station [m].  NaN where there is none.
    """

    cause: NDArray[np.int8]
    element: Rows
    support: Rows
    visit: Rows
    last_before: Rows
    score: Floats
    log_ratio: Floats
    size: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Diagnosis:
    """Answer for each unit, with what it rests on.

    Attributes
    ----------
    outcome : array (units,) of int8
        Values of :class:`Outcome`.  "Cannot tell": the first ``equal`` explanations
        fit equally well.
    equal : array (units,) of int64
        Number of explanations that fit as well as the first, itself counted.
    missing : array (units,) of uint32
        Bits of :class:`Missing`.
    ranked : Explanations
        (units, RANKS), also where the unit is healthy: what came nearest.  Where a
        second cause is beside, they are weighed with it taken into account.
    beside : Explanations
        (units, 1): a second cause beside the first, healthy where there is none.
    beside_rival : Explanations
        (units, 1): the explanation that fits as well as the one beside, healthy where
        there is none.
    u_response : array (elements,)
        Standard uncertainty of the response ratio that the readings allow [-]; NaN where
        none.  Above 0.3 a frozen bearing would not show.
    range_needed_k : array (elements,)
        Range of temperature that would show it [K]; NaN where it is there.
    """

    outcome: NDArray[np.int8]
    equal: Rows
    missing: NDArray[np.uint32]
    ranked: Explanations
    beside: Explanations
    beside_rival: Explanations
    u_response: Floats
    range_needed_k: Floats
