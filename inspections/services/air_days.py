"""Writes of the daily extremes of a station's shade air."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Sequence

import numpy as np
from django.db import transaction
from django.utils import timezone

from inspections.models import AirDay
from inspections.services.air_records import (
    FIRST_HOUR,
    SAME_VALUE_K,
    AirExtremes,
    AirProblem,
    AirRecorded,
    AirRefused,
    bridges_touched,
    impossible_temperature,
)
from inspections.services.air_suspects import Series, told
from inspections.services.judge import judge_bridges
from movement.record_checks import DAYS, Suspect, suspects

Key = tuple[str, dt.date]
FIELDS = {"min_c": "lowest", "max_c": "highest"}
BESIDE = dt.timedelta(days=10)
LARGEST_SWING_K = 45.0
"""Swing of one day beyond which one of its extremes is in doubt.  Judgement, no source."""
_ZONES = dt.timedelta(hours=14)  # a day of the station begins within this of that of UTC


@transaction.atomic
def record_air_days(
    *,
    days: Sequence[AirExtremes],
    keep_suspects: bool = False,
    judge: bool = True,
    progress: Callable[[int], None] = lambda count: None,
) -> AirRecorded:
    """Append daily extremes of stations; the same day twice is one.

    Bridges are judged again, and errors refused or kept, as by :func:`air.record_air`.

    Raises
    ------
    AirRefused
    """
    present = _present(days)
    seen: dict[Key, AirExtremes | AirDay] = dict(present)
    rows: dict[Key, int] = {}
    problems: list[AirProblem] = []
    tomorrow = timezone.now().date() + dt.timedelta(days=1)
    for row, day in enumerate(days):
        key = day.station, day.day
        wrong = _impossible(day, tomorrow) or _differs(day, seen.get(key))
        if wrong is not None:
            problems.append(AirProblem(row, *wrong))
        elif key not in seen:
            seen[key] = day
            rows[key] = row
    doubts, notices = _suspects(rows, seen)
    if not keep_suspects:
        problems += doubts
    if problems:
        raise AirRefused(problems)
    fresh = [AirDay(**days[row]._asdict()) for row in rows.values()]
    AirDay.objects.bulk_create(fresh, batch_size=2000)
    touched = bridges_touched(_hours(fresh))
    if judge:
        judge_bridges(touched, progress)
    notices = sorted([*doubts, *notices], key=lambda each: each.row)
    return AirRecorded(
        len(fresh), len(days) - len(fresh), bridges_judged=len(touched), notices=notices
    )


def _impossible(day: AirExtremes, tomorrow: dt.date) -> tuple[str, str] | None:
    if not FIRST_HOUR.date() <= day.day <= tomorrow:
        return "day", f"{day.day} lies in the future or before {FIRST_HOUR:%Y}. Check the date."
    for name in FIELDS:
        if reason := impossible_temperature(getattr(day, name)):
            return name, reason
    if day.min_c > day.max_c:
        return "min_c", (
            f"{day.min_c:.1f} degC is above the highest of the day, {day.max_c:.1f}. Check the"
            " sign of both; the columns may be swapped."
        )
    return None


def _differs(day: AirExtremes, known: AirExtremes | AirDay | None) -> tuple[str, str] | None:
    for name, word in FIELDS.items() if known is not None else ():
        here, there = getattr(day, name), getattr(known, name)
        if abs(here - there) > SAME_VALUE_K:
            return name, (
                f"{there:.2f} degC is on record as the {word} of {day.day} at {day.station}, not"
                f" {here:.2f}. Find out which is right and give that one."
            )
    return None


def _suspects(
    rows: dict[Key, int], seen: dict[Key, AirExtremes | AirDay]
) -> tuple[list[AirProblem], list[AirProblem]]:
    """Return what of the fresh days looks like a gross error, beside what is on record."""
    doubts: list[AirProblem] = []
    notices: list[AirProblem] = []
    by_station: dict[str, list[dt.date]] = defaultdict(list)
    for station, day in sorted(seen):
        by_station[station].append(day)
    for station in {station for station, _ in rows}:
        its = by_station[station]
        row = np.array([rows.get((station, each), -1) for each in its])
        columns = [
            Series(
                station,
                name,
                np.array([each.toordinal() * 24.0 for each in its]),
                np.array([getattr(seen[station, each], name) for each in its]),
                row,
                [str(each) for each in its],
                "day",
            )
            for name in FIELDS
        ]
        # One extreme may well be the same for days in a warm sea; both together are not.
        low, high = (suspects(each.at_h, each.value_c, DAYS) for each in columns)
        stuck = (low & high & np.uint8(int(Suspect.STUCK))).any()
        for each, also in zip(columns, (Suspect.STUCK if stuck else Suspect.NONE, Suspect.NONE),
                              strict=True):  # fmt: skip
            only = Suspect.SIGN | Suspect.FAHRENHEIT | Suspect.CELSIUS | Suspect.SPIKE
            found = told(each, DAYS, only | Suspect.JUMP | also)
            doubts += found[0]
            notices += found[1]
        doubts += _wide(columns, {problem.row for problem in doubts})
    return doubts, notices


def _wide(columns: list[Series], told_already: set[int]) -> list[AirProblem]:
    low, high = columns
    wide = np.flatnonzero((high.value_c - low.value_c > LARGEST_SWING_K) & (low.row >= 0))
    return [
        AirProblem(
            int(low.row[place]),
            "max_c",
            f"{high.value_c[place]:.1f} degC at {high.station}, {high.when[place]}, is more than"
            f" {LARGEST_SWING_K:g} K above the lowest of the day, {low.value_c[place]:.1f}. Check"
            " sign and unit of both.",
        )
        for place in wide
        if int(low.row[place]) not in told_already
    ]


def _present(days: Sequence[AirExtremes]) -> dict[Key, AirDay]:
    found = {}
    by_station: dict[str, list[dt.date]] = defaultdict(list)
    for day in days:
        by_station[day.station].append(day.day)
    for station, its in by_station.items():
        # Within reason: an impossible year, refused later, must not overflow the calendar.
        first = max(min(its), FIRST_HOUR.date())
        last = max(first, min(max(its), timezone.now().date()))
        for row in AirDay.objects.filter(
            station=station, day__range=(first - BESIDE, last + BESIDE)
        ):
            found[station, row.day] = row
    return found


def _hours(days: Sequence[AirDay]) -> dict[str, tuple[dt.datetime, dt.datetime]]:
    """Return the hours of each station that its new days can bear on, in whatever zone.

    The night before a day leans on its lowest, the night after on the next day's.
    """
    found: dict[str, tuple[dt.datetime, dt.datetime]] = {}
    day_h = dt.timedelta(hours=24)
    for day in days:
        start = dt.datetime.combine(day.day, dt.time(), dt.UTC)
        first, last = start - day_h - _ZONES, start + 2 * day_h + _ZONES
        before = found.get(day.station, (first, last))
        found[day.station] = min(first, before[0]), max(last, before[1])
    return found
