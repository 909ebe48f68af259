"""Levers: how much a measured quantity changes for one unit of strain.

Signs: station grows along the alignment; an offset is positive when the
superstructure has moved towards increasing station (along) or to the left, looking
that way (across); angles in plan are positive when turned to the left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from movement.checks import Floats, finite, known_or_missing
from movement.errors import InputError

LARGEST_SKEW_DEG = 80.0
"""Beyond this the split into square and parallel movement means nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """Straight line from the thermal fixed point to a place.

    Attributes
    ----------
    distance_mm : array
        Its length, negative towards decreasing station [mm].
    plan_angle_deg : array
        Its direction against the alignment at the place, left positive [deg].
    """

    distance_mm: Floats
    plan_angle_deg: Floats


def path_from_fixed_point(
    station_m: ArrayLike, fixed_station_m: ArrayLike, plan_radius_m: ArrayLike = np.nan
) -> Path:
    """Line along which a free point of the deck moves when the temperature changes.

    Parameters
    ----------
    station_m, fixed_station_m : array_like
        Stations of the place and of the thermal fixed point [m].  NaN if not known.
    plan_radius_m : array_like
        Radius of the alignment, positive curving left; NaN for a straight one [m].

    Returns
    -------
    Path
        On a curve the chord, not the arc, and its angle with the tangent at the place.

    Raises
    ------
    InputError
        If a radius is zero, or the arc is more than half a circle.

    Notes
    -----
    chord = 2 R sin(s / 2R), angle = -s / 2R.  Every point of an unguided curved deck
    moves on the straight line from its fixed point: common practice, no source.
    """
    arc_m = known_or_missing("station_m", station_m) - known_or_missing(
        "fixed_station_m", fixed_station_m
    )
    radius = known_or_missing("plan_radius_m", plan_radius_m)
    if (radius == 0).any():
        raise InputError("plan_radius_m", "0 m is no radius", "Leave it out for a straight deck.")
    arc_m, radius = np.broadcast_arrays(arc_m, radius)
    straight = np.isnan(radius)
    half_angle = np.where(straight, 0.0, arc_m / (2.0 * np.where(straight, 1.0, radius)))
    if (np.abs(half_angle) > np.pi / 2).any():
        raise InputError(
            "plan_radius_m",
            f"turns the deck by {float(np.nanmax(np.abs(half_angle)) * 360 / np.pi):.0f} deg,"
            " more than half a circle",
            "Check the radius and the stations.",
        )
    chord_m = np.where(straight, arc_m, arc_m * np.sinc(half_angle / np.pi))
    return Path(chord_m * 1000.0, -np.degrees(half_angle))


def offset_lever_along(path: Path, extra_angle_deg: ArrayLike = 0.0) -> Floats:
    """Lever of a bearing offset along its axis [mm]: d cos(phi).

    ``extra_angle_deg`` turns the measured axis away from the alignment, left positive.
    """
    return path.distance_mm * _cosine(path.plan_angle_deg - finite("angle_deg", extra_angle_deg))


def offset_lever_across(path: Path, extra_angle_deg: ArrayLike = 0.0) -> Floats:
    """Lever of a bearing offset across its axis, left positive [mm]: d sin(phi)."""
    return path.distance_mm * _sine(path.plan_angle_deg - finite("angle_deg", extra_angle_deg))


def tilt_lever(along_mm: ArrayLike, radius_mm: ArrayLike) -> Floats:
    """Lever of a rocker's tilt [deg]: theta = u / R.

    For a rocker whose top pin stands at the centre of its curved face.
    Source: rolling geometry, from memory; worked value R 12 in, u 1 in: 4.77 deg.
    """
    radius = known_or_missing("rocker_radius_mm", radius_mm)
    if (radius <= 0).any():
        raise InputError(
            "rocker_radius_mm", f"{np.nanmin(radius):g} is not above zero", "Give the radius in mm."
        )
    return np.asarray(np.degrees(known_or_missing("lever_mm", along_mm) / radius))


def gap_levers(back: Path, ahead: Path, skew_deg: ArrayLike, square_to_joint: ArrayLike) -> Floats:
    """Levers of a joint gap for the units behind and ahead of it, shape (..., 2) [mm].

    Parameters
    ----------
    back, ahead : Path
        From each unit's fixed point to the joint; distance 0 where a backwall stands.
    skew_deg : array_like
        Angle between the joint's normal and the alignment, left positive [deg].
    square_to_joint : array_like of bool
        True for a gap taken square to the joint, False for one along the road.

    Notes
    -----
    A unit that lengthens closes the gap: back -d cos(theta), ahead +d cos(theta) with
    d negative.  A gap along the road is the square gap divided by cos(skew).
    Source: split of movement at a skewed joint, WSDOT BDM ch. 9.1.
    """
    skew = _skew(skew_deg)
    along_road = np.where(np.asarray(square_to_joint, dtype=bool), 1.0, 1.0 / _cosine(skew))
    return np.stack(
        np.broadcast_arrays(
            -back.distance_mm * _cosine(back.plan_angle_deg - skew) * along_road,
            ahead.distance_mm * _cosine(ahead.plan_angle_deg - skew) * along_road,
        ),
        axis=-1,
    )


def racking_levers(back: Path, ahead: Path, skew_deg: ArrayLike) -> Floats:
    """Levers of the slip along a skewed joint, shape (..., 2) [mm].

    Positive for a deck that lengthens at a joint of positive skew: d sin(skew).
    Source: WSDOT BDM ch. 9.1, "along joint D sin(theta)".
    """
    skew = _skew(skew_deg)
    return np.stack(
        np.broadcast_arrays(
            back.distance_mm * _sine(skew - back.plan_angle_deg),
            -ahead.distance_mm * _sine(skew - ahead.plan_angle_deg),
        ),
        axis=-1,
    )


def _skew(skew_deg: ArrayLike) -> Floats:
    skew = finite("skew_deg", skew_deg)
    if (np.abs(skew) > LARGEST_SKEW_DEG).any():
        raise InputError(
            "skew_deg",
            f"{float(np.max(np.abs(skew))):g} is beyond {LARGEST_SKEW_DEG:g}",
            "Give the angle between the joint's normal and the alignment.",
        )
    return skew


def _cosine(angle_deg: Floats) -> Floats:
    return np.asarray(np.cos(np.radians(angle_deg)), dtype=np.float64)


def _sine(angle_deg: Floats) -> Floats:
    return np.asarray(np.sin(np.radians(angle_deg)), dtype=np.float64)
