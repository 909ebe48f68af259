"""An invented bridge of as many elements as wanted: four bearings and a joint at each support."""

from __future__ import annotations

import random

from inventory.models import Bridge
from tests.inspections.over_years import MEASURED, WINTERS_AND_SUMMERS, free_mm, visit
from tests.make import judged_once, make_bridge, make_element, make_unit

SUPPORTS, LINES, SPAN_M = 5, 4, 30.0
UNIT_ELEMENTS = SUPPORTS * (LINES + 1)
FROZEN_SHARE = 0.04


def make_long_bridge(elements: int, visits: int = 6) -> Bridge:
    """Return a bridge of so many elements, read at so many visits; one bearing in 25 is frozen."""
    dice = random.Random(20261126)
    bridge = make_bridge("LONG-1")
    with judged_once():
        # (element, quantity, point, distance from the fixed point, is it frozen)
        places = []
        for number in range(elements // UNIT_ELEMENTS):
            start_m = number * (SUPPORTS + 1) * SPAN_M
            unit = make_unit(
                bridge,
                f"U{number + 1}",
                start_station_m=start_m,
                end_station_m=start_m + SUPPORTS * SPAN_M,
                fixed_station_m=start_m,
            )
            for support in range(1, SUPPORTS + 1):
                places += _support(unit, start_m, SPAN_M * support, number, dice)
        for date, temperature_c in WINTERS_AND_SUMMERS[-visits:]:
            rows = [
                (element, quantity, _read(quantity, from_fixed_m, temperature_c, frozen), point)
                for element, quantity, point, from_fixed_m, frozen in places
            ]
            visit(bridge, date, temperature_c, rows)
    return bridge


def _support(unit, start_m: float, from_fixed_m: float, number: int, dice: random.Random) -> list:
    station_m = start_m + from_fixed_m
    bearings = [
        make_element(
            unit,
            code=f"B{station_m:g}-{line}",
            station_m=station_m,
            place={"line": f"G{line}"},
            installation=MEASURED | {"setting_offset_along_mm": 0.0},
            design={
                "movement_back_mm": 120.0,
                "movement_ahead_mm": 120.0,
                "vertical_service_max_kn": 2000.0,
            },
        )
        for line in range(1, LINES + 1)
    ]
    joint = make_element(
        unit,
        "strip_seal",
        code=f"J{station_m:g}",
        station_m=station_m,
        installation=MEASURED | {"setting_gap_mm": 80.0},
        design={"opening_min_mm": 5.0, "opening_max_mm": 200.0},
    )
    return [
        *(
            (each, "offset_along", "", from_fixed_m, dice.random() < FROZEN_SHARE)
            for each in bearings
        ),
        (joint, "gap", "centre", from_fixed_m, False),
    ]


def _read(quantity: str, from_fixed_m: float, temperature_c: float, frozen: bool) -> float:
    free = free_mm(from_fixed_m, temperature_c)
    if quantity == "gap":
        return round(80.0 - free) * 1.0
    return 0.0 if frozen else round(free) * 1.0
