"""Deck joints: openings as found and at both extremes, racking, skew.

The limits are those of AASHTO LRFD, of state manuals and of British practice; EN has none
of its own for joints.  Of several points across the road the worst counts.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from inspections.models.choices import ReadingQuantity
from inspections.services.capacity.devices import Devices
from inspections.services.capacity.found import Found, found
from inventory.models.choices import DeckType, GapAxis
from movement.capacity import joints, modular, preformed_seals, seals
from movement.capacity.results import Carried, Check
from movement.checks import Floats

_GAP = ReadingQuantity.GAP


def compression_seal(devices: Devices) -> list[Found]:
    """Return the checks of compression seals."""
    square, road = _gap(devices, True), _gap(devices, False)
    return [
        *_all(
            seals.compression_seal(
                square, road, devices.slip(), devices.skew_deg, devices.figure("seal_width_mm")
            )
        ),
        *_all(_small_movement(devices, square)),
        *_of_steel(devices, road),
        *_own_range(devices),
    ]


def strip_seal(devices: Devices) -> list[Found]:
    """Return the checks of strip seals; 15 % racking only where no figure of its own is known."""
    own = devices.given("racking_limit_mm")
    road = _gap(devices, False)
    checks = seals.strip_seal(
        _gap(devices, True),
        road,
        _opening(devices),
        devices.slip(),
        devices.skew_deg,
        devices.figure("opening_min_mm"),
        devices.figure("opening_max_mm"),
        devices.figure("racking_limit_mm"),
    )
    by_figure = {"Racking": own, "Racking without a graph": ~own}
    return [
        *(row for each in checks for row in found([each], applies=by_figure.get(each.name))),
        *_all([preformed_seals.preformed_skew(devices.skew_deg)]),
        *_of_steel(devices, road),
    ]


def poured(devices: Devices) -> list[Found]:
    """Return the checks of poured joints, their widths taken square to the joint."""
    square, road = _gap(devices, True), _gap(devices, False)
    return [
        *_all(
            seals.poured(square, road, _at_setting(devices), devices.figure("installed_width_mm"))
        ),
        *_all([preformed_seals.small_movement_skew(devices.skew_deg)]),
        *_of_steel(devices, road),
        *_own_range(devices),
    ]


def modular_joint(devices: Devices) -> list[Found]:
    """Return the checks of modular joints; the overall opening is taken along the road."""
    least = devices.figure("least_cell_gap_mm")
    return [
        *_all(
            modular.modular(
                _gap(devices, False),
                devices.figure("cells"),
                devices.figure("cell_movement_mm"),
                devices.figure("beam_width_mm"),
                np.nan_to_num(least),
            )
        ),
        *_own_range(devices),
    ]


def finger(devices: Devices) -> list[Found]:
    """Return the checks of finger joints; the overlap as set shrinks as the gap has opened."""
    road = _gap(devices, False)
    set_at = _at_setting(devices) / np.cos(np.radians(devices.skew_deg))
    checks = joints.finger(
        road,
        _opening(devices),
        devices.figure("opening_min_mm"),
        devices.figure("opening_max_mm"),
        devices.figure("finger_width_mm"),
        devices.figure("finger_overlap_mm") + set_at - road.now,
    )
    unset = np.isnan(set_at).all(axis=1) & devices.given("finger_overlap_mm")
    return [
        *found(checks, applies=~unset),
        *found(checks, applies=unset, names={"finger_overlap_mm": "setting_gap_mm"}),
    ]


def sliding_plate(devices: Devices) -> list[Found]:
    """Return the range of sliding plate joints."""
    return _all(
        joints.sliding_plate(
            _opening(devices),
            devices.figure("opening_min_mm"),
            devices.figure("opening_max_mm"),
        )
    )


def plug(devices: Devices) -> list[Found]:
    """Return the checks of plug joints."""
    return [
        *_all(seals.plug(_gap(devices, True), _at_setting(devices))),
        *_own_range(devices),
    ]


def open_joint(devices: Devices) -> list[Found]:
    """Return the checks of open joints."""
    road = _gap(devices, False)
    return [
        *_all(
            joints.open_joint(
                road,
                _opening(devices),
                devices.figure("opening_min_mm"),
                devices.figure("opening_max_mm"),
            )
        ),
        *_of_steel(devices, road),
    ]


other = sliding_plate
"""A joint of another kind has its own range alone."""


def racking(devices: Devices) -> list[Found]:
    """Return racking against its own figure, of joints that have one and no rule of it."""
    checks = joints.racking(devices.slip(), devices.figure("racking_limit_mm"))
    return found(checks, applies=devices.given("racking_limit_mm"))


def _all(checks: list[Check]) -> list[Found]:
    return found(checks)


def _small_movement(devices: Devices, square: Carried) -> list[Check]:
    return [
        preformed_seals.small_movement_skew(devices.skew_deg),
        preformed_seals.small_movement_total(square),
    ]


def _of_steel(devices: Devices, road: Carried) -> list[Found]:
    """Return the least gap between decks of which one is carried by steel."""
    on_steel = [
        any(
            unit is not None and unit.deck_type in (DeckType.STEEL, DeckType.COMPOSITE)
            for unit in (each.installation.element.unit, each.installation.element.unit_ahead)
        )
        for each in devices.rows
    ]
    return found(joints.least_gap_of_steel(road), applies=np.array(on_steel, dtype=bool))


def _own_range(devices: Devices) -> list[Found]:
    """Return the opening against the register's range, where there is one."""
    low, high = devices.figure("opening_min_mm"), devices.figure("opening_max_mm")
    return found(
        joints.design_range(_opening(devices), low, high),
        applies=devices.given("opening_min_mm", "opening_max_mm"),
    )


def _gap(devices: Devices, square: bool) -> Carried:
    """Return the gap square to the joint or along the road (n, points), however it was taken."""
    taken = devices.carried(_GAP, "gap_mm")
    return joints.gap_on_axis(taken, devices.skew_deg, _taken_square(devices, taken), square)


def _opening(devices: Devices) -> Carried:
    """Return the gap on the axis that the opening range is given on."""
    is_square = np.array([[each != GapAxis.ROAD] for each in devices.words("opening_axis")])
    square, road = _gap(devices, True), _gap(devices, False)

    def chosen(of: Callable[[Carried], Floats]) -> Floats:
        return np.where(is_square, of(square), of(road))

    return Carried.of(
        "gap_mm",
        chosen(lambda gap: gap.now),
        chosen(lambda gap: gap.at_min),
        chosen(lambda gap: gap.at_max),
    )


def _taken_square(devices: Devices, taken: Carried) -> np.ndarray:
    columns = taken.now.shape[-1]
    axes = [[verdict.axis != GapAxis.ROAD for verdict in row.of(_GAP)] for row in devices.rows]
    return np.array([[*each, *[True] * (columns - len(each))] for each in axes], dtype=bool)


def _at_setting(devices: Devices) -> Floats:
    """Return each point's gap at the setting, square to the joint (n, points)."""
    setting = Carried.of("gap_mm", devices.numbers(_GAP, "setting_value"))
    taken = _taken_square(devices, setting)
    return joints.gap_on_axis(setting, devices.skew_deg, taken, True).now
