"""Every device type with every input known, so that one input at a time can be changed."""

from collections.abc import Callable

import numpy as np

from movement.capacity import elastomeric, joints, modular, restraints, rocker_roller, rotation
from movement.capacity import seals as seal_checks
from movement.capacity import sliding as sliding_checks
from movement.capacity.bearing_inputs import Deformed, Loads, Pad
from movement.capacity.ptfe_tables import EnSheet, Ptfe, SlidingSurface
from movement.capacity.results import Carried, Check
from movement.capacity.rods import RodGrade
from movement.capacity.sliding import Slider

Inputs = dict[str, float]
Device = Callable[..., list[Check]]

LOADS = {
    "permanent_kn": 600.0,
    "live_kn": 300.0,
    "vertical_service_min_kn": 450.0,
    "vertical_service_max_kn": 900.0,
    "vertical_strength_max_kn": 1300.0,
}
PAD = {
    "plan_length_mm": 300.0,
    "plan_width_mm": 400.0,
    "layer_thickness_mm": 10.0,
    "cover_thickness_mm": 5.0,
    "rubber_thickness_mm": 60.0,
    "interior_layers": 5.0,
    "shear_modulus_mpa": 0.9,
    "shim_thickness_mm": 3.0,
    "shim_yield_mpa": 235.0,
    "side_cover_mm": 5.0,
}
DEFORMED = {
    "offset_along_mm": 20.0,
    "offset_across_mm": -6.0,
    "rotation_along_mrad": 4.0,
    "rotation_across_mrad": -1.0,
    "live_rotation_mrad": 1.5,
    "live_offset_mm": 2.0,
}
SLIDER = {
    "ptfe_area_mm2": 60_000.0,
    "ptfe_thickness_mm": 5.5,
    "movement_back_mm": 60.0,
    "movement_ahead_mm": 80.0,
    "sliding_plate_length_mm": 500.0,
    "ptfe_length_mm": 300.0,
    "horizontal_along_kn": 90.0,
    "edge_to_mean_stress": 1.4,
}


def split(inputs: Inputs, *groups: dict[str, float]) -> list[Inputs]:
    return [{name: inputs[name] for name in group} for group in groups]


def carried(inputs: Inputs, name: str) -> Carried:
    return Carried.of(name, inputs[name], inputs[f"{name}_at_min"], inputs[f"{name}_at_max"])


def three(name: str, now: float, at_min: float, at_max: float) -> Inputs:
    return {name: now, f"{name}_at_min": at_min, f"{name}_at_max": at_max}


def _pad(family: Device, **more: str):
    def checks(**inputs: float) -> list[Check]:
        pad, loads, found = split(inputs, PAD, LOADS, DEFORMED)
        extra = {argument: inputs[argument] for argument in more}
        return family(Pad.of(**pad), Loads.of(**loads), Deformed.of(**found), **extra)

    return checks


def _sliding_aashto(**inputs: float) -> list[Check]:
    slider, loads = split(inputs, SLIDER, LOADS)
    return sliding_checks.sliding_aashto(
        Slider.of(**slider, ptfe=Ptfe.FILLED, surface=SlidingSurface.FILLED),
        Loads.of(**loads),
        carried(inputs, "offset_mm"),
        inputs["temperature_c"],
    )


def _sliding_en(**inputs: float) -> list[Check]:
    slider, loads = split(inputs, SLIDER, LOADS)
    return sliding_checks.sliding_en(
        Slider.of(**slider, sheet=EnSheet.PTFE_MAIN),
        Loads.of(**loads),
        carried(inputs, "offset_mm"),
        inputs["temperature_c"],
        inputs["protrusion_mm"],
    )


def _rotation(**inputs: float) -> list[Check]:
    loads = Loads.of(**split(inputs, LOADS)[0])
    found, most = inputs["rotation_mrad_found"], inputs["rotation_mrad"]
    diameter, live = inputs["plan_diameter_mm"], inputs["live_rotation_mrad"]
    return [
        *rotation.pot_aashto(loads, found, most, diameter, inputs["rubber_thickness_mm"], live),
        *rotation.disc_aashto(loads, found, most, diameter, live),
        *rotation.spherical_aashto(found, most, live),
    ]


def _pot_en(**inputs: float) -> list[Check]:
    loads = Loads.of(**split(inputs, LOADS)[0])
    return rotation.pot_en(
        loads,
        inputs["rotation_mrad_found"],
        inputs["rotation_mrad"],
        inputs["plan_diameter_mm"],
        2.0,
    )


def _rolling(**inputs: float) -> list[Check]:
    loads = Loads.of(**split(inputs, LOADS)[0])
    tilt, limit = carried(inputs, "tilt_deg"), inputs["tilt_limit_deg"]
    radius, length = inputs["rocker_radius_mm"], inputs["contact_length_mm"]
    return [
        *rocker_roller.rocker_roller_aashto(
            loads, tilt, limit, radius, length, inputs["yield_mpa"]
        ),
        *rocker_roller.rocker_roller_en(
            loads, tilt, True, limit, radius, length, inputs["ultimate_mpa"]
        ),
        rocker_roller.point_contact_en(loads, radius, inputs["ultimate_mpa"]),
    ]


def _sealed(**inputs: float) -> list[Check]:
    gap, slip = carried(inputs, "gap_mm"), carried(inputs, "slip_mm")
    low, high = inputs["opening_min_mm"], inputs["opening_max_mm"]
    skew = inputs["skew_deg"]
    return [
        *seal_checks.compression_seal(gap, gap, slip, skew, inputs["seal_width_mm"]),
        *seal_checks.strip_seal(gap, gap, gap, slip, skew, low, high, inputs["racking_limit_mm"]),
        *seal_checks.poured(gap, gap, inputs["gap_at_setting_mm"], inputs["installed_width_mm"]),
        *seal_checks.plug(gap, inputs["gap_at_setting_mm"]),
    ]


def _steel_joints(**inputs: float) -> list[Check]:
    gap = carried(inputs, "gap_mm")
    low, high = inputs["opening_min_mm"], inputs["opening_max_mm"]
    return [
        *joints.open_joint(gap, gap, low, high),
        *joints.sliding_plate(gap, low, high),
        *joints.least_gap_of_steel(gap),
        *joints.finger(gap, gap, low, high, inputs["finger_width_mm"], inputs["finger_overlap_mm"]),
        *modular.modular(
            gap,
            inputs["cells"],
            inputs["cell_movement_mm"],
            inputs["beam_width_mm"],
            1.0,
        ),
    ]


def _restraints(**inputs: float) -> list[Check]:
    count, broken = inputs["rod_count"], inputs["rods_broken"]
    return [
        *restraints.key_or_lock_up(
            {restraints.Gap.AHEAD: carried(inputs, "gap_mm")}, inputs["gap_min_mm"]
        ),
        restraints.cables_stay_elastic(
            inputs["horizontal_kn"], inputs["cable_count"], inputs["cable_diameter_mm"]
        ),
        *restraints.hold_down(inputs["uplift_kn"], inputs["vertical_kn"], count, broken),
        *restraints.anchor_rods(
            RodGrade.A354_BD,
            inputs["rod_diameter_mm"],
            inputs["rod_tension_kn"],
            inputs["rod_pretension_kn"],
            count,
            broken,
        ),
        *restraints.clamp(
            carried(inputs, "slip_mm"),
            inputs["slip_limit_mm"],
            inputs["horizontal_kn"],
            inputs["clamp_force_kn"],
            inputs["slip_coefficient"],
            inputs["losses_share"],
            inputs["faces"],
        ),
    ]


BEARING = {**PAD, **LOADS, **DEFORMED}
ROTATION = {
    **LOADS,
    "rotation_mrad_found": 6.0,
    "rotation_mrad": 20.0,
    "plan_diameter_mm": 350.0,
}
GAP = three("gap_mm", 50.0, 80.0, 30.0)
OPENING = {"opening_min_mm": 15.0, "opening_max_mm": 95.0}

DEVICES: dict[str, tuple[Device, Inputs]] = {
    "plain pad": (
        _pad(elastomeric.plain_aashto, horizontal_along_kn=""),
        {**BEARING, "horizontal_along_kn": 60.0},
    ),
    "reinforced pad": (
        _pad(elastomeric.reinforced_aashto, horizontal_along_kn=""),
        {**BEARING, "horizontal_along_kn": 60.0},
    ),
    "reinforced pad, TxDOT": (
        _pad(elastomeric.reinforced_txdot, grade="", compressive_deflection_mm=""),
        {**BEARING, "grade": 0.02, "compressive_deflection_mm": 1.5},
    ),
    "reinforced pad, EN": (
        _pad(elastomeric.reinforced_en, friction_factor=""),
        {**BEARING, "friction_factor": 0.6},
    ),
    "plain pad, EN": (
        _pad(lambda pad, loads, found: elastomeric.plain_en(pad, found)),
        BEARING,
    ),
    "cotton duck": (
        _pad(lambda pad, loads, found: elastomeric.cotton_duck_aashto(pad, loads)),
        BEARING,
    ),
    "sliding": (
        _sliding_aashto,
        {**SLIDER, **LOADS, **three("offset_mm", 20.0, -40.0, 65.0), "temperature_c": -20.0},
    ),
    "sliding, EN": (
        _sliding_en,
        {
            **SLIDER,
            **LOADS,
            **three("offset_mm", 20.0, -40.0, 65.0),
            "temperature_c": 36.0,
            "protrusion_mm": 2.0,
        },
    ),
    "pot, disc, spherical": (
        _rotation,
        {**ROTATION, "rubber_thickness_mm": 40.0, "live_rotation_mrad": 2.0},
    ),
    "pot, EN": (_pot_en, ROTATION),
    "rocker, roller": (
        _rolling,
        {
            **LOADS,
            **three("tilt_deg", 1.0, -2.0, 3.0),
            "tilt_limit_deg": 5.0,
            "rocker_radius_mm": 150.0,
            "contact_length_mm": 400.0,
            "yield_mpa": 250.0,
            "ultimate_mpa": 400.0,
        },
    ),
    "seals": (
        _sealed,
        {
            **GAP,
            **three("slip_mm", 5.0, -9.0, 12.0),
            **OPENING,
            "skew_deg": 15.0,
            "seal_width_mm": 90.0,
            "racking_limit_mm": 20.0,
            "gap_at_setting_mm": 55.0,
            "installed_width_mm": 60.0,
        },
    ),
    "steel joints": (
        _steel_joints,
        {
            **GAP,
            **OPENING,
            "finger_width_mm": 45.0,
            "finger_overlap_mm": 90.0,
            "cells": 1.0,
            "cell_movement_mm": 75.0,
            "beam_width_mm": 60.0,
        },
    ),
    "restraints": (
        _restraints,
        {
            **GAP,
            **three("slip_mm", 1.0, -1.5, 2.0),
            "gap_min_mm": 5.0,
            "cable_count": 10.0,
            "cable_diameter_mm": 19.0,
            "uplift_kn": 50.0,
            "vertical_kn": 120.0,
            "rod_diameter_mm": 76.2,
            "rod_tension_kn": 2400.0,
            "rod_pretension_kn": 2500.0,
            "rod_count": 8.0,
            "rods_broken": 1.0,
            "slip_limit_mm": 3.0,
            "horizontal_kn": 200.0,
            "clamp_force_kn": 900.0,
            "slip_coefficient": 0.4,
            "losses_share": 0.2,
            "faces": 2.0,
        },
    ),
}

NAN = np.nan
