"""Washington State DOT, Bridge Design Manual, chapter 9.1: sizing of two sealed joints.

Compression seal: 9.1.3.A, working range read; worked example from memory (high).  Strip
seal: from memory (medium); its footnote on installation read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, at_least_zero, at_most_or_missing, known_or_missing
from movement.errors import InputError
from movement.sizing import smallest_size_mm
from movement.us_units import MM_PER_IN

BASE_TEMPERATURE_F = 64.0  # chapter 9.1; from memory, high
SEAL_SHARE_AT_BASE = 0.60  # of the uncompressed width, at 64 degF; read
GLAND_LEAST_GAP_IN = 1.5  # to put a strip seal's gland in; footnote, read
GLAND_BELOW_F = 45.0  # or else install below this; the same


@dataclass(frozen=True, slots=True)
class SealRange:
    """Working range of a compression seal in shares of its uncompressed width.

    The owner's setting; the defaults are those of WSDOT BDM 9.1.3.A (read).
    """

    least: float = 0.40
    most: float = 0.85
    shear: float = 0.22

    def __post_init__(self) -> None:
        if not 0.0 < self.least < self.most <= 1.0 or not 0.0 < self.shear <= 1.0:
            raise InputError(
                "seal_range",
                f"{self.least:g} to {self.most:g}, shear {self.shear:g} is no range",
                "Give 0 < least < most <= 1 and 0 < shear <= 1.",
            )


def compression_seal_needed_mm(
    normal_movement_mm: ArrayLike,
    parallel_movement_mm: ArrayLike,
    seal: SealRange | None = None,
) -> Floats:
    """Uncompressed width that a compression seal must have at least [mm].

    Parameters
    ----------
    normal_movement_mm, parallel_movement_mm : array_like
        Whole movement square to the joint and along it, shortening included; the second of
        any sign [mm].
    seal : SealRange
        The owner's working range; that of 9.1.3.A if left out.

    Notes
    -----
    W >= normal / (most - least) and W >= parallel / shear.
    """
    limits = seal or SealRange()
    square = at_least_zero("normal_movement_mm", normal_movement_mm)
    along = np.abs(known_or_missing("parallel_movement_mm", parallel_movement_mm))
    return np.asarray(np.maximum(square / (limits.most - limits.least), along / limits.shear))


def compression_seal_gap_at_base_mm(
    seal_width_mm: ArrayLike, share_at_base: float = SEAL_SHARE_AT_BASE
) -> Floats:
    """Gap square to the joint to set at 64 degF, 0.60 of the seal's width [mm]."""
    if not 0.0 < share_at_base < 1.0:
        raise InputError("share_at_base", f"{share_at_base:g} is not in (0, 1)", "Take 0.60.")
    return np.asarray(share_at_base * at_least_zero("seal_width_mm", seal_width_mm))


def strip_seal_gap_at_base_mm(
    closing_mm: ArrayLike,
    least_gap_mm: ArrayLike = 0.0,
    gland_least_gap_mm: ArrayLike = GLAND_LEAST_GAP_IN * MM_PER_IN,
) -> Floats:
    """Gap to set at the base temperature: room for the gland, and for all of the closing [mm].

    Parameters
    ----------
    closing_mm : array_like
        From the base to the highest design temperature, square to the joint [mm].
    least_gap_mm : array_like
        What must be left then [mm].
    gland_least_gap_mm : array_like
        What the gland needs to be put in [mm].
    """
    closed = at_least_zero("closing_mm", closing_mm) + at_least_zero("least_gap_mm", least_gap_mm)
    return np.maximum(closed, at_least_zero("gland_least_gap_mm", gland_least_gap_mm))


def strip_seal_class_mm(
    greatest_opening_mm: ArrayLike, classes_mm: Sequence[float], largest_share: ArrayLike = 0.9
) -> Floats:
    """Smallest movement class whose share the greatest opening does not pass [mm].

    ``largest_share`` is the owner's; 0.9 is judgement, no source.  NaN where no class does.
    """
    share = at_most_or_missing("largest_share", largest_share, 1.0, "Give a share, 0.9 for 90 %.")
    if (share == 0).any():
        raise InputError("largest_share", "is zero", "Give a share, 0.9 for 90 %.")
    opening = at_least_zero("greatest_opening_mm", greatest_opening_mm)
    return smallest_size_mm(opening / share, classes_mm)


def gland_goes_in_first(gap_at_base_mm: ArrayLike) -> NDArray[np.bool_]:
    """Tell where the gap at 64 degF is too narrow to put the gland in afterwards.

    Then it is in place when the joint is set, or the joint is installed below 45 degF.
    """
    gap = at_least_zero("gap_at_base_mm", gap_at_base_mm)
    return np.asarray(gap < GLAND_LEAST_GAP_IN * MM_PER_IN * (1.0 - 1e-9))
