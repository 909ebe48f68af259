"""A crew that comes back to an invented unit over the years, and what the unit shows it.

Movements are worked out here from the geometry alone: 11.7 millionths a degree from the fixed
point at station 0, set at 20 degrees.
"""

import datetime as dt
import random

from inspections.services import readings as reading_service
from inspections.services import visits
from tests.make import UTC, make_element, make_inspection

SET_C = 20.0
MEASURED = {"setting_source": "measured", "setting_temperature_c": SET_C}
DRAWINGS = {"setting_source": "drawings", "setting_temperature_c": SET_C}
WINTERS_AND_SUMMERS = [
    (dt.date(2016, 2, 3), -9.0),
    (dt.date(2016, 8, 9), 33.0),
    (dt.date(2018, 1, 24), -12.0),
    (dt.date(2019, 7, 16), 35.0),
    (dt.date(2021, 2, 10), -7.0),
    (dt.date(2022, 8, 2), 31.0),
    (dt.date(2024, 1, 30), -10.0),
    (dt.date(2025, 7, 22), 34.0),
]


def free_mm(station_m: float, temperature_c: float) -> float:
    """Movement of a free deck at a station since its setting."""
    return 11.7e-6 * station_m * 1000.0 * (temperature_c - SET_C)


def make_bearing(unit, station_m=100.0, known=MEASURED, device="pot", **fields):
    """Return a bearing set at zero offset, with movement capacity of 90 mm either way."""
    is_known = known["setting_source"] != "unknown"
    return make_element(
        unit,
        device,
        station_m=station_m,
        installation=known | ({"setting_offset_along_mm": 0.0} if is_known else {}),
        design={"movement_back_mm": 90.0, "movement_ahead_mm": 90.0},
        **fields,
    )


def make_rocker(unit, station_m=100.0, **fields):
    """Return a rocker of 400 mm radius, set upright."""
    return make_element(
        unit,
        "rocker",
        station_m=station_m,
        installation={**MEASURED, "setting_tilt_deg": 0.0},
        design={"rocker_radius_mm": 400.0, "tilt_limit_deg": 15.0},
        **fields,
    )


def make_joint(unit, known=MEASURED, gap_mm=60.0, **fields):
    """Return a joint at the end of the unit that may open from 5 to 150 mm."""
    return make_element(
        unit,
        "strip_seal",
        installation={**known, "setting_gap_mm": gap_mm},
        design={"opening_min_mm": 5.0, "opening_max_mm": 150.0},
        **fields,
    )


def visit(bridge, date, temperature_c, rows, state="accepted", judge=True):
    """Read (element, quantity, value, point) in one visit, with one girder temperature."""
    inspection = make_inspection(bridge, date)
    at = dt.datetime.combine(date, dt.time(8), UTC)
    reading_service.record(
        inspection=inspection,
        readings=[
            reading_service.NewReading(
                element, quantity, value, f"{value}", at,
                **({"point": point, "axis": "square"} if quantity == "gap" else {}),
            )
            for element, quantity, value, point in rows
        ],
        temperatures=[
            reading_service.NewTemperature("girder_web", temperature_c, f"{temperature_c}", at)
        ],
        judge=judge and state == "open",
    )  # fmt: skip
    if state != "open":
        inspection = visits.submit(inspection=inspection, judge=judge and state == "submitted")
    if state == "accepted":
        inspection = visits.accept(inspection=inspection, user=None, judge=judge)
    return inspection


def dice() -> random.Random:
    """Return the same small errors of reading in every run."""
    return random.Random(20260911)
