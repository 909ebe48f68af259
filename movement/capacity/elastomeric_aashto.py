"""Elastomeric bearings by AASHTO LRFD: shear, method A (14.7.6), height, force."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from movement.capacity.bearing_inputs import AashtoEdition, Deformed, Loads, Pad
from movement.capacity.results import Check, Provenance, Rule, compare
from movement.checks import Floats, at_least_zero
from movement.errors import InputError
from movement.us_units import MPA_PER_KSI

NINTH = AashtoEdition.NINTH


class PadKind(StrEnum):
    """Kinds of pad that method A tells apart."""

    PLAIN = "plain"
    FIBREGLASS = "fibreglass-reinforced"
    COTTON_DUCK = "cotton duck"
    STEEL = "steel-reinforced"


METHOD_A_STRESS = {
    # (edition, kind): times G S (infinite: not used), largest stress [ksi].
    # Third edition: read in a published calculation.  Ninth: from memory; its steel row read
    # in a copy.
    (AashtoEdition.THIRD, PadKind.PLAIN): (np.inf, 0.80),
    (AashtoEdition.THIRD, PadKind.STEEL): (1.00, 1.00),
    (AashtoEdition.NINTH, PadKind.PLAIN): (1.00, 0.80),
    (AashtoEdition.NINTH, PadKind.FIBREGLASS): (1.25, 1.00),
    (AashtoEdition.NINTH, PadKind.COTTON_DUCK): (np.inf, 3.00),
    (AashtoEdition.NINTH, PadKind.STEEL): (1.25, 1.25),
}
SWAY_PREVENTED_FACTOR = 1.10  # 14.7.6.3.2, both editions; from memory
COTTON_DUCK_LIVE_KSI = 2.0  # 14.7.6.3.2, 9th ed.; from memory
SHEAR_DEFLECTION_FACTOR = 2.0  # 14.7.5.3.2-1, 14.7.6.3.4-1; read
COVER_SHARE = 0.70  # 14.7.5.1, 14.7.6.1; read
METHOD_A_ROTATION_WAIVED = (22.0, 16.0)  # 14.7.6.1, S^2/n rectangular (read) and round (memory)
HEIGHT_SHARE = (3.0, 4.0)  # 14.7.6.3.6: L/3 and W/3, D/4; from memory


def _rule(name: str, clause: str, unit: str, provenance: Provenance, edition: str = NINTH) -> Rule:
    return Rule(name, clause, str(edition), unit, provenance)


def shear_deflection(pad: Pad, found: Deformed, edition: AashtoEdition = NINTH) -> Check:
    """Shear deformation as found against half the elastomer: h_rt >= 2 D_s."""
    return compare(
        _rule("Shear deformation", "14.7.5.3.2-1, 14.7.6.3.4-1", "mm", Provenance.READ, edition),
        found.peak_offset_mm,
        pad.rubber_thickness_mm / SHEAR_DEFLECTION_FACTOR,
        {**found.peak_offset_needs, "rubber_thickness_mm": pad.rubber_thickness_mm},
    )


def cover_thickness(pad: Pad, edition: AashtoEdition = NINTH) -> Check:
    """Thickness of a cover layer against 0.70 of an interior layer."""
    return compare(
        _rule("Cover layer", "14.7.5.1, 14.7.6.1", "mm", Provenance.READ, edition),
        pad.cover_thickness_mm,
        COVER_SHARE * pad.layer_thickness_mm,
        {
            "cover_thickness_mm": pad.cover_thickness_mm,
            "layer_thickness_mm": pad.layer_thickness_mm,
        },
    )


def method_a_stress(
    pad: Pad,
    loads: Loads,
    kind: PadKind,
    edition: AashtoEdition,
    sway_prevented: ArrayLike = False,
) -> Check:
    """Mean compressive service stress against the smaller of c G S and a fixed stress.

    A plain pad is one layer, as thick as its elastomer.  Raises InputError where no limit
    of that kind and edition is held.
    """
    try:
        share, most_ksi = METHOD_A_STRESS[edition, kind]
    except KeyError:
        raise InputError(
            "edition",
            f"no limit of {kind} pads is held for {edition}",
            f"Choose {NINTH}, or enter the limit as the bearing's own figure.",
        ) from None
    layer, needs = _layer(pad, kind)
    needs = {**needs, **pad.plan_needs, "vertical_service_max_kn": loads.vertical_service_max_kn}
    capacity = np.full(np.shape(layer), most_ksi * MPA_PER_KSI)
    if np.isfinite(share):
        needs["shear_modulus_mpa"] = pad.shear_modulus_mpa
        capacity = np.minimum(capacity, share * pad.shear_modulus_mpa * pad.shape_factor(layer))
    else:
        needs.pop("layer_thickness_mm", None)
        needs.pop("rubber_thickness_mm", None)
    capacity = capacity * np.where(np.asarray(sway_prevented), SWAY_PREVENTED_FACTOR, 1.0)
    provenance = Provenance.READ if edition == AashtoEdition.THIRD else Provenance.MEMORY
    return compare(
        _rule("Compressive stress, method A", "14.7.6.3.2", "MPa", provenance, edition),
        pad.stress_mpa(loads.vertical_service_max_kn),
        capacity,
        needs,
    )


def cotton_duck_live_stress(pad: Pad, loads: Loads) -> Check:
    """Mean stress of live load on a cotton duck pad."""
    return compare(
        _rule("Live load stress, cotton duck", "14.7.6.3.2", "MPa", Provenance.MEMORY),
        pad.stress_mpa(loads.live_kn),
        COTTON_DUCK_LIVE_KSI * MPA_PER_KSI,
        {**pad.plan_needs, "live_kn": loads.live_kn},
    )


def method_a_applies(pad: Pad) -> Check:
    """S^2/n against the value below which method A needs no check of rotation."""
    rectangular, round_ = METHOD_A_ROTATION_WAIVED
    return compare(
        _rule("Method A without rotation, S²/n", "14.7.6.1", "-", Provenance.READ_IN_COPY),
        pad.shape_factor(pad.layer_thickness_mm) ** 2 / divisor_layers(pad),
        np.where(pad.is_round, round_, rectangular),
        {**layer_needs(pad), **count_needs(pad)},
    )


def total_height(pad: Pad) -> Check:
    """Height with plates against a third of the shorter side, or a quarter of the diameter."""
    side, diameter = HEIGHT_SHARE
    plates = (pad.interior_layers + 1.0) * pad.shim_thickness_mm
    return compare(
        _rule("Total height", "14.7.6.3.6", "mm", Provenance.MEMORY),
        pad.rubber_thickness_mm + plates,
        np.where(pad.is_round, pad.plan_diameter_mm / diameter, pad.least_side_mm / side),
        {
            **pad.plan_needs,
            "rubber_thickness_mm": pad.rubber_thickness_mm,
            "interior_layers": pad.interior_layers,
            "shim_thickness_mm": pad.shim_thickness_mm,
        },
    )


def shear_force(pad: Pad, found: Deformed, horizontal_along_kn: ArrayLike) -> Check:
    """Force that the sheared bearing puts on its support, H = G A D / h_rt, against design."""
    capacity = at_least_zero("horizontal_along_kn", horizontal_along_kn)
    force = pad.shear_modulus_mpa * pad.area_mm2 * found.offset_mm / pad.rubber_thickness_mm
    return compare(
        _rule("Horizontal force of shear", "14.6.3.1-2", "kN", Provenance.MEMORY),
        force / 1000.0,
        capacity,
        {
            **pad.plan_needs,
            **found.offset_needs,
            "rubber_thickness_mm": pad.rubber_thickness_mm,
            "shear_modulus_mpa": pad.shear_modulus_mpa,
            "horizontal_along_kn": capacity,
        },
    )


def divisor_layers(pad: Pad) -> Floats:
    """Effective layers; NaN where there are none, which the needs report."""
    layers = pad.effective_layers
    return np.where(layers > 0, layers, np.nan)


def count_needs(pad: Pad) -> dict[str, Floats]:
    known = pad.interior_layers
    return {
        "interior_layers": np.where(pad.effective_layers == 0, np.nan, known),
        "cover_thickness_mm": pad.cover_thickness_mm,
    }


def layer_needs(pad: Pad) -> dict[str, Floats]:
    return {**pad.plan_needs, "layer_thickness_mm": pad.layer_thickness_mm}


def _layer(pad: Pad, kind: PadKind) -> tuple[Floats, dict[str, Floats]]:
    """Thickness of the layer that gives the shape factor, and its name."""
    if kind == PadKind.PLAIN:
        return pad.rubber_thickness_mm, {"rubber_thickness_mm": pad.rubber_thickness_mm}
    return pad.layer_thickness_mm, {"layer_thickness_mm": pad.layer_thickness_mm}
