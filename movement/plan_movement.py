"""Movement in plan of a free point of a deck, and what a guide would hinder of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, finite, known_or_missing, positive


@dataclass(frozen=True, slots=True, eq=False)
class PlanMovement:
    """Movement in plan [mm].

    Attributes
    ----------
    along_mm, across_mm : array
        Towards increasing station, and to the left, of the axes that the place is given in.
    """

    along_mm: Floats
    across_mm: Floats

    @property
    def size_mm(self) -> Floats:
        """Length of the movement [mm]."""
        return np.hypot(self.along_mm, self.across_mm)

    @property
    def direction_deg(self) -> Floats:
        """Its direction, left of increasing station; NaN where nothing moves [deg]."""
        angle = np.degrees(np.arctan2(self.across_mm, self.along_mm))
        return np.where(self.size_mm > 0, angle, np.nan)


def movement_in_plan(
    along_m: ArrayLike,
    across_m: ArrayLike,
    expansion_per_c: ArrayLike,
    delta_temperature_k: ArrayLike,
) -> PlanMovement:
    """Movement of a point of a deck that is held at one point and free everywhere else.

    Parameters
    ----------
    along_m, across_m : array_like
        From the fixed point to the place, along the axis and to its left; NaN gives NaN [m].
    expansion_per_c, delta_temperature_k : array_like
        [1/degC; K]

    Returns
    -------
    PlanMovement

    Notes
    -----
    The deck grows alike in all directions, so every point moves on the straight line from
    the fixed point, not along its girder: whatever the skew or the curve.
    Source: geometry; from memory, high.  That field movements differ in size and direction
    from the usual assumption: Moorty and Roeder (1992), abstract, read.
    """
    strain = positive("expansion_per_c", expansion_per_c) * finite(
        "delta_temperature_k", delta_temperature_k
    )
    along, across = np.broadcast_arrays(
        strain * known_or_missing("along_m", along_m) * 1000.0,
        strain * known_or_missing("across_m", across_m) * 1000.0,
    )
    return PlanMovement(along, across)


def hindered_by_guide_mm(movement: PlanMovement, guide_angle_deg: ArrayLike) -> Floats:
    """Part of a free movement that a guide stands in the way of [mm], to its left positive.

    Parameters
    ----------
    movement : PlanMovement
    guide_angle_deg : array_like
        Direction in which the guide lets the bearing slide, left of increasing station [deg].

    Notes
    -----
    Nil for a guide aimed at the fixed point.  Where it is not, the deck turns in plan, the
    clearance of the guide is used up, or lateral force arises.
    Source: SCI, Steel Designers' Manual, 6th ed., 28.2.4.3, read, for radial and tangential
    guides; the consequence from memory, high.
    """
    angle = np.radians(known_or_missing("guide_angle_deg", guide_angle_deg))
    return np.asarray(
        movement.across_mm * np.cos(angle) - movement.along_mm * np.sin(angle), dtype=np.float64
    )
