"""Writes of a station's hourly shade air record."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from django.db import transaction
from django.utils import timezone

from inspections.models import AirTemperature, Reading
from inspections.services.judge import judge_bridges
from movement.temperature import PRECEDING_HOURS

LOWEST_C, HIGHEST_C = -60.0, 60.0
"""What shade air can be where bridges stand; beyond it the unit or the sensor is wrong.

Judgement: just beyond the greatest air temperature ever recorded, 56.7 degC (WMO)."""
FIRST_HOUR = dt.datetime(1850, 1, 1, tzinfo=dt.UTC)
CLOCK_TOLERANCE = dt.timedelta(hours=1)
SAME_VALUE_K = 0.05
"""Two records of one hour closer than this are one, rounded in different units."""


class AirHour(NamedTuple):
    """One record of a station, on its way in."""

    station: str
    time_utc: dt.datetime
    temperature_c: float


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
    """What was written: records added, and records that stood there already."""

    added: int
    already_there: int
    bridges_judged: int


@transaction.atomic
def record_air(
    *,
    hours: Sequence[AirHour],
    judge: bool = True,
    progress: Callable[[int], None] = lambda count: None,
) -> AirRecorded:
    """Append a station's records; the same record twice is one.

    Bridges that take their air from the station are judged again where they have a
    reading that the new hours bear on.

    Raises
    ------
    AirRefused
        With every record that is impossible, or differs from the one of its hour.
    """
    present = _present(hours)
    fresh: list[AirTemperature] = []
    problems: list[AirProblem] = []
    now = timezone.now()
    for row, hour in enumerate(hours):
        field, problem = _impossible(hour, now)
        key = hour.station, hour.time_utc
        known = present.get(key)
        if problem is None and known is not None:
            if abs(known - hour.temperature_c) <= SAME_VALUE_K:
                continue
            problem = (
                f"{known:.2f} degC is on record for {hour.station} at"
                f" {hour.time_utc:%Y-%m-%d %H:%M} UTC, not {hour.temperature_c:.2f}. Find out which"
                " is right and give that one."
            )
        if problem is not None:
            problems.append(AirProblem(row, field, problem))
            continue
        present[key] = hour.temperature_c
        fresh.append(AirTemperature(**hour._asdict()))
    if problems:
        raise AirRefused(problems)
    AirTemperature.objects.bulk_create(fresh, batch_size=2000)
    touched = _bridges_touched(fresh)
    if judge:
        judge_bridges(touched, progress)
    return AirRecorded(len(fresh), len(hours) - len(fresh), len(touched))


def _impossible(hour: AirHour, now: dt.datetime) -> tuple[str, str | None]:
    """Return the field that cannot be right and why; no reason where both can be."""
    if not FIRST_HOUR <= hour.time_utc <= now + CLOCK_TOLERANCE:
        return "time", (
            f"{hour.time_utc:%Y-%m-%d %H:%M} UTC lies in the future or before"
            f" {FIRST_HOUR:%Y}. Check the date and the offset."
        )
    # Written so that NaN, which compares false, is refused as well.
    if not LOWEST_C <= hour.temperature_c <= HIGHEST_C:
        return "temperature", (
            f"{hour.temperature_c:.4g} degC is outside {LOWEST_C:g} to {HIGHEST_C:g}, what shade"
            " air can be. Check the unit in the header, or leave the cell empty."
        )
    return "temperature", None


def _spans(hours: Sequence[AirHour | AirTemperature]) -> dict[str, tuple[dt.datetime, dt.datetime]]:
    """Return the first and the last hour of each station."""
    times: dict[str, list[dt.datetime]] = defaultdict(list)
    for hour in hours:
        times[hour.station].append(hour.time_utc)
    return {station: (min(each), max(each)) for station, each in times.items()}


def _present(hours: Sequence[AirHour]) -> dict[tuple[str, dt.datetime], float]:
    return {
        (station, time_utc): temperature_c
        for station, span in _spans(hours).items()
        for time_utc, temperature_c in AirTemperature.objects.filter(
            station=station, time_utc__range=span
        ).values_list("time_utc", "temperature_c")
    }


def _bridges_touched(fresh: list[AirTemperature]) -> set[int]:
    longest = dt.timedelta(hours=max(PRECEDING_HOURS.values()))
    return {
        bridge_id
        for station, (first, last) in _spans(fresh).items()
        for bridge_id in Reading.objects.filter(
            inspection__bridge__air_station=station, taken_at__range=(first, last + longest)
        )
        .order_by()
        .values_list("inspection__bridge_id", flat=True)
        .distinct()
    }
