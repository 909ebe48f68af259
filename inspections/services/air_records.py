"""What every write of a station's air record shares: rows, problems, and what they touch."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from inspections.models import Reading
from inspections.services.air_ways import reaches_h
from inventory.models import Unit

LOWEST_C, HIGHEST_C = -60.0, 60.0
"""What shade air can be where bridges stand; beyond it the unit or the sensor is wrong.

Judgement: just beyond the greatest air temperature ever recorded, 56.7 degC (WMO)."""
FIRST_HOUR = dt.datetime(1850, 1, 1, tzinfo=dt.UTC)
CLOCK_TOLERANCE = dt.timedelta(hours=1)
SAME_VALUE_K = 0.05
"""Two records of one time closer than this are one, rounded in different units."""


class AirHour(NamedTuple):
    """One hour of a station, on its way in."""

    station: str
    time_utc: dt.datetime
    temperature_c: float
    sun_w_per_m2: float | None = None
    wind_m_per_s: float | None = None


class AirExtremes(NamedTuple):
    """One day of a station, on its way in."""

    station: str
    day: dt.date
    min_c: float
    max_c: float


@dataclass(frozen=True, slots=True)
class AirProblem:
    """What is wrong with one of the records handed in."""

    row: int
    field: str
    message: str


class AirRefused(Exception):  # noqa: N818 - reads as what happened; the problems are inside
    """Some records cannot be taken, so none was."""

    def __init__(self, problems: list[AirProblem]) -> None:
        self.problems = problems
        super().__init__(f"{len(problems)} records refused")


@dataclass(frozen=True, slots=True)
class AirRecorded:
    """What was written: records added, those that stood there already, those that got more.

    ``notices`` tell what looks like an error and was kept all the same, or may be weather.
    """

    added: int
    already_there: int
    completed: int = 0
    bridges_judged: int = 0
    notices: list[AirProblem] = field(default_factory=list)


def impossible_temperature(value_c: float) -> str | None:
    """Return why no shade air can have been so; nothing where it can."""
    # Written so that NaN, which compares false, is refused as well.
    if LOWEST_C <= value_c <= HIGHEST_C:
        return None
    return (
        f"{value_c:.4g} degC is outside {LOWEST_C:g} to {HIGHEST_C:g}, what shade air can be."
        " Check the unit in the header, or leave the cell empty."
    )


def bridges_touched(spans: Mapping[str, tuple[dt.datetime, dt.datetime]]) -> set[int]:
    """Return the bridges with a reading whose temperature new records bear on.

    Parameters
    ----------
    spans : mapping
        First and last new hour of each station.

    Notes
    -----
    A record bears on the readings of the hour before it, between which and itself their
    temperature lies, and on those of as many hours after it as the section of the unit
    needs to forget it, at least the span of the plain mean.
    """
    units = {
        unit.pk: unit
        for unit in Unit.objects.filter(bridge__air_station__in=spans).select_related("bridge")
    }
    if not units:
        return set()
    hour = dt.timedelta(hours=1)
    bears: dict[int, tuple[dt.datetime, dt.datetime]] = {}
    for unit_id, reach_h in reaches_h(units.values()).items():
        bridge = units[unit_id].bridge
        first, last = spans[bridge.air_station]
        _, before = bears.get(bridge.pk, (first, last))
        bears[bridge.pk] = (first - hour, max(before, last + reach_h * hour))
    within = (min(first for first, _ in bears.values()), max(last for _, last in bears.values()))
    rows = (
        Reading.objects.filter(inspection__bridge__in=bears, taken_at__range=within)
        .order_by()
        .values_list("inspection__bridge_id", "taken_at")
        .distinct()
    )
    return {
        bridge_id
        for bridge_id, taken_at in rows
        if bears[bridge_id][0] <= taken_at <= bears[bridge_id][1]
    }
