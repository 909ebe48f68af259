"""Shear keys, lock-up devices, restrainer cables, hold-downs, rod groups and clamps."""

from __future__ import annotations

import numpy as np

from inspections.form_spec import AS_UNITS_PART
from inspections.models.choices import ReadingQuantity
from inspections.services.capacity.devices import Devices
from inspections.services.capacity.found import Found, as_found, found, named
from movement.capacity import restraints, rods
from movement.capacity.restraints import Gap
from movement.capacity.results import Carried, Check, Provenance, Rule, compare
from movement.checks import Floats

_TENSION = ReadingQuantity.ROD_TENSION


def gaps(devices: Devices) -> list[Found]:
    """Return the gaps that temperature must not close, on the sides that the device has."""
    return _room(devices, ReadingQuantity.KEY_GAP, restraints.GAP_STAYS_OPEN)


def slack(devices: Devices) -> list[Found]:
    """Return the slack that temperature must not take up, on the sides that the cable has."""
    return _room(devices, ReadingQuantity.SLACK, restraints.SLACK_REMAINS)


def _room(devices: Devices, quantity: ReadingQuantity, what: str) -> list[Found]:
    """Return the checks of the sides that each device has.

    A side is one that was read or has a gap as set; where neither is known, all four are, but
    of a cable between two units the one on which it tightens.
    """
    one_side = np.array(
        [
            quantity == ReadingQuantity.SLACK
            and each.installation.element.unit_ahead_id is not None
            for each in devices.rows
        ],
        dtype=bool,
    )
    has = {
        side: devices.was_read(quantity, name) | devices.given(f"gap_{name}_mm")
        for side, name in restraints.GAP_FIELD.items()
    }
    none = ~np.any(list(has.values()), axis=0)
    margin = np.nan_to_num(devices.figure("gap_min_mm"))
    rows = []
    for side, name in restraints.GAP_FIELD.items():
        gap = devices.carried(quantity, f"{quantity}_{name}_mm", name)
        checks = restraints.key_or_lock_up({Gap(side): gap}, margin, what)
        may_have = ~one_side | (name == AS_UNITS_PART)
        rows += found(checks, applies=may_have & (has[side] | none))
    return rows


def horizontal(devices: Devices) -> list[Found]:
    """Return the horizontal force asked of a device against its own capacity."""
    demand, capacity = devices.figure("horizontal_demand_kn"), devices.figure("horizontal_kn")
    check = compare(
        Rule("Horizontal force", "design figure", "register", "kN", Provenance.DESIGN),
        demand,
        capacity,
        {"horizontal_demand_kn": demand, "horizontal_kn": capacity},
    )
    return found([check], applies=devices.given("horizontal_demand_kn", "horizontal_kn"))


def cables(devices: Devices) -> list[Found]:
    """Return the horizontal force asked of a restrainer against the yield of its cables."""
    check = restraints.cables_stay_elastic(
        devices.figure("horizontal_demand_kn"),
        devices.figure("cable_count"),
        devices.figure("cable_diameter_mm"),
    )
    return found([check], names={"horizontal_kn": "horizontal_demand_kn"})


def hold_down(devices: Devices) -> list[Found]:
    """Return uplift and whole rods of hold-downs."""
    return found(
        restraints.hold_down(
            devices.figure("uplift_demand_kn"),
            devices.figure("vertical_kn"),
            devices.figure("rod_count"),
            _broken(devices),
        )
    )


def projection(devices: Devices) -> list[Found]:
    """Return the change of each rod's projection since its setting, the greatest counting."""
    quantity = ReadingQuantity.PROJECTION
    value, setting = (devices.numbers(quantity, each) for each in ("value", "setting_value"))
    change = Carried.of("projection_change_mm", value - setting)
    checks = restraints.slip(change, devices.figure("slip_limit_mm"))
    was_read = devices.was_read(quantity)
    checks = [named(each, "Change of rod projection") for each in as_found(checks)]
    wanted = was_read | devices.given("slip_limit_mm", "projection_mm")
    return [
        *found(checks, applies=was_read, names={"projection_change_mm": "projection_mm"}),
        *found(
            checks, applies=wanted & ~was_read, names={"projection_change_mm": "projection_reading"}
        ),
    ]


def rod_group(devices: Devices) -> list[Found]:
    """Return tension of the worst rod and of the group, and whole rods."""
    tension, wanted = devices.numbers(_TENSION, "value"), devices.figure("rod_pretension_kn")
    count, broken = devices.figure("rod_count"), _broken(devices)
    return [
        *_by_grade(devices, tension),
        *found(
            [
                rods.pretension_kept(wanted, tension),
                rods.rods_whole(count, broken),
                rods.group_tension(count, wanted, broken, _mean_tension(devices)),
            ]
        ),
    ]


def rods_where_known(devices: Devices) -> list[Found]:
    """Return the same for devices that may or may not have rods."""
    known = (
        devices.given("rod_count", "rod_pretension_kn", "rod_diameter_mm")
        | devices.was_read(_TENSION)
        | devices.was_read(ReadingQuantity.BROKEN_RODS)
    )
    return [
        Found(
            each.check,
            applies=known if each.applies is None else known & each.applies,
            names=each.names,
        )
        for each in rod_group(devices)
    ]


def clamp(devices: Devices) -> list[Found]:
    """Return slip and friction of clamps.

    The clamping force is that of the rods as found, where their tension was read, else that
    of the register less its losses, and less the share of broken rods.
    """
    slip = devices.carried(ReadingQuantity.SLIP, "slip_mm")
    count, broken = devices.figure("rod_count"), np.nan_to_num(_broken(devices))
    whole = np.where(np.isnan(count), np.nan, rods.whole(count, broken))
    measured = _mean_tension(devices) * whole
    found_in_rods = ~np.isnan(measured)
    left = np.where(np.isnan(count), 1.0, whole / count)
    checks = restraints.clamp(
        slip,
        devices.figure("slip_limit_mm"),
        devices.figure("horizontal_demand_kn"),
        np.where(found_in_rods, measured, devices.figure("clamp_force_kn") * left),
        devices.figure("slip_coefficient"),
        np.where(found_in_rods, 0.0, devices.figure("clamp_loss_share")),
        devices.figure("faces"),
    )
    return found(as_found(checks), names={"horizontal_kn": "horizontal_demand_kn"})


def _by_grade(devices: Devices, tension: Floats) -> list[Found]:
    """Return what depends on the grade of a rod; a grade that is not known is asked for."""
    grades = [rods.grade_from_text(text) for text in devices.words("rod_grade")]
    diameter, threads = devices.figure("rod_diameter_mm"), devices.figure("threads_per_in")
    wanted = devices.figure("rod_pretension_kn")
    rows = []
    for grade in dict.fromkeys(each for each in grades if each is not None):
        checks = [
            rods.pretension_specified(grade, diameter, wanted, threads),
            rods.rod_overstress(grade, diameter, tension, threads),
        ]
        rows += found(checks, applies=np.array([each is grade for each in grades]))
    unknown = np.array([each is None for each in grades])
    return [*rows, *found([_unknown_grade(len(devices))], applies=unknown)]


def _unknown_grade(count: int) -> Check:
    nothing = np.full((count, 1), np.nan)
    rule = Rule(
        "Tension of a rod", "0.70 of tensile strength", "of its grade", "kN", Provenance.MEMORY
    )
    return compare(rule, nothing, nothing, {"rod_grade": nothing})


def _broken(devices: Devices) -> Floats:
    return devices.one(ReadingQuantity.BROKEN_RODS)


def _mean_tension(devices: Devices) -> Floats:
    """Return the mean tension of the rods that were read, else the mean as it was told (n, 1)."""
    means = []
    for row in devices.rows:
        single = [each.value for each in row.of(_TENSION) if each.point != "mean"]
        told = single or [each.value for each in row.of(_TENSION)]
        means.append(float(np.mean(told)) if told else np.nan)
    return np.array(means, dtype=np.float64).reshape(-1, 1)
