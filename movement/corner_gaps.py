"""Rotation and twist of a bearing from the gaps between its plates at four corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.results import above_zero_or_missing
from movement.checks import Floats, at_least_zero


@dataclass(frozen=True, slots=True, eq=False)
class CornerRotation:
    """How the upper plate stands to the lower one; NaN where a gap or a base is not known.

    Attributes
    ----------
    along_mrad : array
        Positive where the plates stand wider apart at the back: the top leans ahead [mrad].
    across_mrad : array
        Positive where they stand wider apart at the right: the top leans to the left [mrad].
    twist_mm : array
        What four gaps of two flat plates cannot have: half the difference of the sums of
        opposite corners.  Nil but for bent plates or a wrong reading [mm].
    """

    along_mrad: Floats
    across_mrad: Floats
    twist_mm: Floats


def rotation_from_corner_gaps(
    back_left_mm: ArrayLike,
    back_right_mm: ArrayLike,
    ahead_left_mm: ArrayLike,
    ahead_right_mm: ArrayLike,
    base_along_mm: ArrayLike,
    base_across_mm: ArrayLike,
) -> CornerRotation:
    """Rotation from the gaps at four corners and the distances between them.

    Parameters
    ----------
    back_left_mm, back_right_mm, ahead_left_mm, ahead_right_mm : array_like
        Looking along increasing station [mm].
    base_along_mm, base_across_mm : array_like
        Between the points where the gaps were read [mm].

    Notes
    -----
    rotation = (g_a - g_b) / L.  Source: geometry; four corners are asked for by practice of
    EN 1337-10, from memory.
    """
    back_left, back_right, ahead_left, ahead_right = (
        at_least_zero(name, value)
        for name, value in (
            ("back_left_mm", back_left_mm),
            ("back_right_mm", back_right_mm),
            ("ahead_left_mm", ahead_left_mm),
            ("ahead_right_mm", ahead_right_mm),
        )
    )
    along = above_zero_or_missing("base_along_mm", base_along_mm)
    across = above_zero_or_missing("base_across_mm", base_across_mm)
    back_less_ahead = (back_left + back_right - ahead_left - ahead_right) / 2.0
    right_less_left = (back_right + ahead_right - back_left - ahead_left) / 2.0
    return CornerRotation(
        np.asarray(1000.0 * back_less_ahead / along),
        np.asarray(1000.0 * right_less_left / across),
        np.asarray((back_left + ahead_right - back_right - ahead_left) / 2.0),
    )
