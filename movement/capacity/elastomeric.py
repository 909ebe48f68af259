"""All checks of an elastomeric bearing as found, by family of codes."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity import elastomeric_aashto as aashto
from movement.capacity import elastomeric_aashto_b as method_b
from movement.capacity import elastomeric_en as en
from movement.capacity import elastomeric_txdot as txdot
from movement.capacity.bearing_inputs import AashtoEdition, Deformed, Loads, Pad
from movement.capacity.elastomeric_aashto import PadKind
from movement.capacity.results import Check


def plain_aashto(
    pad: Pad,
    loads: Loads,
    found: Deformed,
    edition: AashtoEdition = AashtoEdition.NINTH,
    horizontal_along_kn: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a plain pad by AASHTO LRFD: method A alone speaks of it."""
    return [
        aashto.shear_deflection(pad, found, edition),
        aashto.method_a_stress(pad, loads, PadKind.PLAIN, edition, found.sway_prevented),
        aashto.shear_force(pad, found, horizontal_along_kn),
        txdot.total_height(pad),
    ]


def reinforced_aashto(
    pad: Pad,
    loads: Loads,
    found: Deformed,
    edition: AashtoEdition = AashtoEdition.NINTH,
    horizontal_along_kn: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a steel-reinforced bearing by AASHTO LRFD, methods A and B.

    A bearing is designed by A or by B: it need not satisfy the stress of A where it
    satisfies B.  ``edition`` changes the limits of method A; the others are of the ninth.
    """
    return [
        aashto.shear_deflection(pad, found, edition),
        aashto.cover_thickness(pad, edition),
        aashto.method_a_stress(pad, loads, PadKind.STEEL, edition, found.sway_prevented),
        aashto.method_a_applies(pad),
        aashto.total_height(pad),
        method_b.static_axial_strain(pad, loads),
        method_b.combined_strain(pad, loads, found),
        method_b.stability(pad, loads, found),
        method_b.shim_strength(pad, loads),
        method_b.shim_fatigue(pad, loads),
        method_b.shim_least(pad),
        aashto.shear_force(pad, found, horizontal_along_kn),
    ]


def cotton_duck_aashto(pad: Pad, loads: Loads) -> list[Check]:
    """Stresses of a cotton duck pad by AASHTO LRFD."""
    return [
        aashto.method_a_stress(pad, loads, PadKind.COTTON_DUCK, AashtoEdition.NINTH),
        aashto.cotton_duck_live_stress(pad, loads),
    ]


def reinforced_txdot(
    pad: Pad,
    loads: Loads,
    found: Deformed,
    grade: ArrayLike = np.nan,
    compressive_deflection_mm: ArrayLike = np.nan,
) -> list[Check]:
    """Checks of a steel-reinforced bearing by the TxDOT manual."""
    return [
        txdot.dead_load_stress(pad, loads),
        txdot.total_load_stress(pad, loads),
        txdot.total_height(pad),
        txdot.slip(pad, loads, found, grade),
        txdot.rotation(pad, found, compressive_deflection_mm),
    ]


def reinforced_en(
    pad: Pad, loads: Loads, found: Deformed, friction_factor: ArrayLike = en.K_F_CONCRETE
) -> list[Check]:
    """Checks of a steel-reinforced bearing by EN 1337-3."""
    return [
        en.shear_strain(pad, found),
        en.total_strain(pad, loads, found),
        en.rotation_limit(pad, loads, found),
        en.buckling(pad, loads, found),
        en.slip(pad, loads, found, friction_factor),
        en.least_stress(pad, loads, found),
        en.plates(pad, loads, found),
    ]


def plain_en(pad: Pad, found: Deformed) -> list[Check]:
    """The one check of a plain pad by EN 1337-3 that is held: its shear strain."""
    return [en.shear_strain(pad, found)]
