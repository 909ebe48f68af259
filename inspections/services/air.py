"""Writes of a station's hourly shade air record."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Sequence

import numpy as np
from django.db import transaction
from django.utils import timezone

from inspections.models import AirTemperature
from inspections.models.readings import SUN, WIND
from inspections.services.air_records import (
    CLOCK_TOLERANCE,
    FIRST_HOUR,
    SAME_VALUE_K,
    AirHour,
    AirProblem,
    AirRecorded,
    AirRefused,
    bridges_touched,
    impossible_temperature,
)
from inspections.services.air_suspects import Series, told
from inspections.services.judge import judge_bridges
from movement.record_checks import HOURS

Key = tuple[str, dt.datetime]
BESIDE = dt.timedelta(hours=HOURS.longest_run_h)
"""How much of what is on record around new hours is looked at beside them."""
BESIDE_TEMPERATURE = {"sun_w_per_m2": SUN, "wind_m_per_s": WIND}
SAME_SHARE = 0.01


@transaction.atomic
def record_air(
    *,
    hours: Sequence[AirHour],
    keep_suspects: bool = False,
    judge: bool = True,
    progress: Callable[[int], None] = lambda count: None,
) -> AirRecorded:
    """Append a station's records; the same record twice is one.

    An hour on record may get the sun or the wind that it lacked.  Bridges that take their air
    from the station are judged again where they have a reading that the new hours bear on.

    Parameters
    ----------
    keep_suspects : bool
        Take what looks like a gross error, and tell of it.

    Raises
    ------
    AirRefused
        With every record that is impossible, or differs from the one of its hour; with what
        looks like a gross error, unless that is to be kept.
    """
    present = _present(hours)
    seen: dict[Key, AirTemperature] = dict(present)
    fresh: list[AirTemperature] = []
    rows: dict[Key, int] = {}
    completed: dict[Key, AirTemperature] = {}
    problems: list[AirProblem] = []
    now = timezone.now()
    for row, hour in enumerate(hours):
        key = hour.station, hour.time_utc
        wrong = _impossible(hour, now) or _differs(hour, seen.get(key))
        if wrong is not None:
            problems.append(AirProblem(row, *wrong))
        elif key not in seen:
            fresh.append(AirTemperature(**hour._asdict()))
            seen[key] = fresh[-1]
            rows[key] = row
        elif _completes(seen[key], hour) and key in present:
            completed[key] = present[key]
    doubts, notices = _suspects(rows, seen)
    if not keep_suspects:
        problems += doubts
    if problems:
        raise AirRefused(problems)
    AirTemperature.objects.bulk_create(fresh, batch_size=2000)
    AirTemperature.objects.bulk_update(completed.values(), [*BESIDE_TEMPERATURE], batch_size=1000)
    touched = bridges_touched(_spans([*fresh, *completed.values()]))
    if judge:
        judge_bridges(touched, progress)
    return AirRecorded(
        len(fresh),
        len(hours) - len(fresh) - len(completed),
        len(completed),
        len(touched),
        sorted([*doubts, *notices], key=lambda each: each.row),
    )


def _impossible(hour: AirHour, now: dt.datetime) -> tuple[str, str] | None:
    """Return the field that cannot be right and why; nothing where all can be."""
    if not FIRST_HOUR <= hour.time_utc <= now + CLOCK_TOLERANCE:
        return "time", (
            f"{hour.time_utc:%Y-%m-%d %H:%M} UTC lies in the future or before"
            f" {FIRST_HOUR:%Y}. Check the date and the offset."
        )
    if reason := impossible_temperature(hour.temperature_c):
        return "temperature", reason
    for name, quantity in BESIDE_TEMPERATURE.items():
        value = getattr(hour, name)
        if value is not None and not quantity.low <= value <= quantity.high:
            return name, (
                f"{value:.4g} {quantity.unit} is outside {quantity.low:g} to {quantity.high:g}."
                " Check the unit in the header, or leave the cell empty."
            )
    return None


def _differs(hour: AirHour, known: AirTemperature | None) -> tuple[str, str] | None:
    """Return the field in which a record contradicts the one of its hour, and both values."""
    if known is None:
        return None
    at = f"{hour.station} at {hour.time_utc:%Y-%m-%d %H:%M} UTC"
    remedy = "Find out which is right and give that one."
    if abs(known.temperature_c - hour.temperature_c) > SAME_VALUE_K:
        return "temperature", (
            f"{known.temperature_c:.2f} degC is on record for {at}, not"
            f" {hour.temperature_c:.2f}. {remedy}"
        )
    for name, quantity in BESIDE_TEMPERATURE.items():
        here, there = getattr(hour, name), getattr(known, name)
        if None not in (here, there) and abs(here - there) > max(0.05, SAME_SHARE * there):
            return name, (
                f"{there:g} {quantity.unit} is on record for {at}, not {here:g}. {remedy}"
            )
    return None


def _completes(known: AirTemperature, hour: AirHour) -> bool:
    """Give an hour the sun or wind that it lacks, and return whether there was any."""
    lacking = [
        name
        for name in BESIDE_TEMPERATURE
        if getattr(known, name) is None and getattr(hour, name) is not None
    ]
    for name in lacking:
        setattr(known, name, getattr(hour, name))
    return bool(lacking)


def _suspects(
    rows: dict[Key, int], seen: dict[Key, AirTemperature]
) -> tuple[list[AirProblem], list[AirProblem]]:
    """Return what of the fresh rows looks like a gross error, beside what is on record."""
    doubts: list[AirProblem] = []
    notices: list[AirProblem] = []
    times: dict[str, list[dt.datetime]] = defaultdict(list)
    for station, time_utc in sorted(seen):
        times[station].append(time_utc)
    for station in {station for station, _ in rows}:
        its = times[station]
        series = Series(
            station,
            "temperature",
            np.array([each.timestamp() / 3600.0 for each in its]),
            np.array([seen[station, each].temperature_c for each in its]),
            np.array([rows.get((station, each), -1) for each in its]),
            [f"{each:%Y-%m-%d %H:%M} UTC" for each in its],
            "hour",
        )
        found = told(series, HOURS)
        doubts += found[0]
        notices += found[1]
    return doubts, notices


def _spans(
    hours: Sequence[AirHour | AirTemperature],
) -> dict[str, tuple[dt.datetime, dt.datetime]]:
    """Return the first and the last hour of each station."""
    times: dict[str, list[dt.datetime]] = defaultdict(list)
    for hour in hours:
        times[hour.station].append(hour.time_utc)
    return {station: (min(each), max(each)) for station, each in times.items()}


def _present(hours: Sequence[AirHour]) -> dict[Key, AirTemperature]:
    """Return what is on record within the new hours and for some time around them."""
    found = {}
    for station, (first, last) in _spans(hours).items():
        # Within reason: an impossible year, refused later, must not overflow the calendar.
        start, end = max(first, FIRST_HOUR), min(last, timezone.now())
        for row in AirTemperature.objects.filter(
            station=station, time_utc__range=(start - BESIDE, max(start, end) + BESIDE)
        ):
            found[station, row.time_utc] = row
    return found
