"""What the capacity checks of bearings are told: frozen, SI, NaN for "not known"."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.results import above_zero_or_missing
from movement.checks import Floats, at_least_zero, at_most_or_missing, known_or_missing
from movement.errors import InputError
from movement.us_units import N_PER_KN


class AashtoEdition(StrEnum):
    """Editions whose limits differ."""

    THIRD = "AASHTO LRFD, 3rd ed. (2004)"
    NINTH = "AASHTO LRFD, 9th ed. (2020)"


@dataclass(frozen=True, slots=True, eq=False)
class Loads:
    """Vertical loads of a bearing [kN], compression positive.

    Attributes
    ----------
    permanent_kn, live_kn : array
        Service load, its lasting and its passing part.
    vertical_service_min_kn, vertical_service_max_kn : array
        Least and greatest service load.
    vertical_strength_max_kn : array
        Greatest factored load.
    """

    permanent_kn: Floats
    live_kn: Floats
    vertical_service_min_kn: Floats
    vertical_service_max_kn: Floats
    vertical_strength_max_kn: Floats

    @classmethod
    def of(
        cls,
        permanent_kn: ArrayLike = np.nan,
        live_kn: ArrayLike = np.nan,
        vertical_service_min_kn: ArrayLike = np.nan,
        vertical_service_max_kn: ArrayLike = np.nan,
        vertical_strength_max_kn: ArrayLike = np.nan,
    ) -> Loads:
        """Check; the greatest service load is permanent + live where it is not given."""
        permanent = known_or_missing("permanent_kn", permanent_kn)
        live = at_least_zero("live_kn", live_kn)
        greatest = at_least_zero("vertical_service_max_kn", vertical_service_max_kn)
        return cls(
            permanent,
            live,
            known_or_missing("vertical_service_min_kn", vertical_service_min_kn),
            np.where(np.isnan(greatest), permanent + live, greatest),
            at_least_zero("vertical_strength_max_kn", vertical_strength_max_kn),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Pad:
    """Size and material of an elastomeric bearing; round where a diameter is given.

    Attributes
    ----------
    plan_length_mm, plan_width_mm, plan_diameter_mm : array
        Along the bridge, across it; or the diameter of a round one [mm].
    layer_thickness_mm, cover_thickness_mm, rubber_thickness_mm : array
        Interior layer, cover layer, all elastomer [mm].
    interior_layers : array
        Number of interior layers.
    shear_modulus_mpa : array
        G [MPa].
    shim_thickness_mm, shim_yield_mpa : array
        One reinforcing plate [mm; MPa].
    side_cover_mm : array
        Elastomer beside the plates, on each side [mm].
    """

    plan_length_mm: Floats
    plan_width_mm: Floats
    plan_diameter_mm: Floats
    layer_thickness_mm: Floats
    cover_thickness_mm: Floats
    rubber_thickness_mm: Floats
    interior_layers: Floats
    shear_modulus_mpa: Floats
    shim_thickness_mm: Floats
    shim_yield_mpa: Floats
    side_cover_mm: Floats

    @classmethod
    def of(
        cls,
        plan_length_mm: ArrayLike = np.nan,
        plan_width_mm: ArrayLike = np.nan,
        plan_diameter_mm: ArrayLike = np.nan,
        layer_thickness_mm: ArrayLike = np.nan,
        cover_thickness_mm: ArrayLike = np.nan,
        rubber_thickness_mm: ArrayLike = np.nan,
        interior_layers: ArrayLike = np.nan,
        shear_modulus_mpa: ArrayLike = np.nan,
        shim_thickness_mm: ArrayLike = np.nan,
        shim_yield_mpa: ArrayLike = np.nan,
        side_cover_mm: ArrayLike = np.nan,
    ) -> Pad:
        """Check all; a bearing with a diameter may have no length and width."""
        length = above_zero_or_missing("plan_length_mm", plan_length_mm)
        width = above_zero_or_missing("plan_width_mm", plan_width_mm)
        diameter = above_zero_or_missing("plan_diameter_mm", plan_diameter_mm)
        if (~np.isnan(diameter) & ~(np.isnan(length) & np.isnan(width))).any():
            raise InputError(
                "plan_diameter_mm",
                "stands beside a length or a width",
                "Give a diameter, or a length and a width, not both.",
            )
        side = at_least_zero("side_cover_mm", side_cover_mm)
        if ((2.0 * side >= length) | (2.0 * side >= width)).any():
            raise InputError(
                "side_cover_mm", "leaves no plate inside the bearing", "Give it for one side."
            )
        layers = at_least_zero("interior_layers", interior_layers)
        return cls(
            length,
            width,
            diameter,
            above_zero_or_missing("layer_thickness_mm", layer_thickness_mm),
            at_least_zero("cover_thickness_mm", cover_thickness_mm),
            above_zero_or_missing("rubber_thickness_mm", rubber_thickness_mm),
            layers,
            above_zero_or_missing("shear_modulus_mpa", shear_modulus_mpa),
            above_zero_or_missing("shim_thickness_mm", shim_thickness_mm),
            above_zero_or_missing("shim_yield_mpa", shim_yield_mpa),
            side,
        )

    @property
    def is_round(self) -> np.ndarray:
        """True where a diameter is given."""
        return ~np.isnan(self.plan_diameter_mm)

    @property
    def plan_needs(self) -> dict[str, Floats]:
        """Length and width by name; a round bearing lacks neither."""
        return {
            "plan_length_mm": np.where(self.is_round, 0.0, self.plan_length_mm),
            "plan_width_mm": np.where(self.is_round, 0.0, self.plan_width_mm),
        }

    @property
    def area_mm2(self) -> Floats:
        """Area in plan [mm2]."""
        return np.where(
            self.is_round,
            np.pi / 4.0 * self.plan_diameter_mm**2,
            self.plan_length_mm * self.plan_width_mm,
        )

    @property
    def least_side_mm(self) -> Floats:
        """Shorter side in plan; NaN for a round bearing [mm]."""
        return np.minimum(self.plan_length_mm, self.plan_width_mm)

    def shape_factor(self, layer_mm: Floats) -> Floats:
        """Loaded area over the area free to bulge, S [-].

        LW / [2 h (L + W)], round D / (4 h).  Source: AASHTO LRFD 14.7.5.1-1 and -2; read.
        """
        length, width = self.plan_length_mm, self.plan_width_mm
        return np.where(
            self.is_round,
            self.plan_diameter_mm / (4.0 * layer_mm),
            length * width / (2.0 * layer_mm * (length + width)),
        )

    @property
    def effective_layers(self) -> Floats:
        """Interior layers, and half for each cover at least half as thick: n [-].

        Source: AASHTO LRFD, 9th ed. (2020), 14.7.5.3.3; read in a copy.
        """
        thick = 2.0 * self.cover_thickness_mm >= self.layer_thickness_mm
        unknown = np.isnan(self.cover_thickness_mm) | np.isnan(self.layer_thickness_mm)
        return self.interior_layers + np.where(unknown, np.nan, np.where(thick, 1.0, 0.0))

    def stress_mpa(self, load_kn: Floats) -> Floats:
        """Mean compressive stress over the plan area [MPa]."""
        return load_kn * N_PER_KN / self.area_mm2


@dataclass(frozen=True, slots=True, eq=False)
class Deformed:
    """Deformation of an elastomeric bearing as measured, top against bottom.

    Attributes
    ----------
    offset_along_mm, offset_across_mm : array
        Signed shear deformation; across is 0 where it was not read [mm].
    rotation_along_mrad, rotation_across_mrad : array
        Rotation about the transverse and the longitudinal axis [mrad].
    live_rotation_mrad : array
        What passing load adds to the rotation along [mrad].
    live_offset_mm : array
        What passing load adds to the shear deformation, 0 if nothing is said [mm].
    sway_prevented : array of bool
        The deck cannot move sideways in the direction checked.
    """

    offset_along_mm: Floats
    offset_across_mm: Floats
    rotation_along_mrad: Floats
    rotation_across_mrad: Floats
    live_rotation_mrad: Floats
    live_offset_mm: Floats
    sway_prevented: np.ndarray

    @classmethod
    def of(
        cls,
        offset_along_mm: ArrayLike = np.nan,
        offset_across_mm: ArrayLike = 0.0,
        rotation_along_mrad: ArrayLike = np.nan,
        rotation_across_mrad: ArrayLike = 0.0,
        live_rotation_mrad: ArrayLike = np.nan,
        live_offset_mm: ArrayLike = 0.0,
        sway_prevented: ArrayLike = False,
    ) -> Deformed:
        """Check all; signs are kept, only the size counts in the checks."""
        return cls(
            known_or_missing("offset_along_mm", offset_along_mm),
            known_or_missing("offset_across_mm", offset_across_mm),
            small_rotation_or_missing("rotation_along_mrad", rotation_along_mrad),
            small_rotation_or_missing("rotation_across_mrad", rotation_across_mrad),
            at_least_zero("live_rotation_mrad", live_rotation_mrad),
            at_least_zero("live_offset_mm", live_offset_mm),
            np.asarray(sway_prevented, dtype=bool),
        )

    @property
    def offset_needs(self) -> dict[str, Floats]:
        """Both offsets by name."""
        return {
            "offset_along_mm": self.offset_along_mm,
            "offset_across_mm": self.offset_across_mm,
        }

    @property
    def peak_offset_needs(self) -> dict[str, Floats]:
        """What the deformation with passing load needs, by name."""
        return {**self.offset_needs, "live_offset_mm": self.live_offset_mm}

    @property
    def peak_offset_mm(self) -> Floats:
        """The deformation as found and what passing load adds [mm]."""
        return self.offset_mm + self.live_offset_mm

    @property
    def offset_mm(self) -> Floats:
        """Size of the shear deformation, whichever way [mm]."""
        return np.hypot(self.offset_along_mm, self.offset_across_mm)


LARGEST_ROTATION_MRAD = 500.0
"""Beyond this a small-angle rule means nothing, and the unit is likely wrong; judgement."""


def small_rotation_or_missing(field: str, values: ArrayLike) -> Floats:
    """Return rotations of either sign (NaN: not known); absurd ones are refused."""
    array = known_or_missing(field, values)
    at_most_or_missing(
        field, np.abs(array), LARGEST_ROTATION_MRAD, "Give the rotation in mrad, not in degrees."
    )
    return array
