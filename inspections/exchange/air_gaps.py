"""Hours or days that a station's file does not tell of."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

_HOUR, _DAY = dt.timedelta(hours=1), dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Gap:
    """Hours in a row that are missing, between a station's first and its last."""

    station: str
    first: dt.datetime
    last: dt.datetime
    counted = "hour"

    @property
    def count(self) -> int:
        """Return how many are missing."""
        return round((self.last - self.first) / _HOUR) + 1

    @property
    def span(self) -> str:
        """Return its hours in UTC, the day of the last one only where it is another."""
        if self.count == 1:
            return f"{self.first:%Y-%m-%d %H:%M}"
        same_day = self.first.date() == self.last.date()
        last = f"{self.last:%H:%M}" if same_day else f"{self.last:%Y-%m-%d %H:%M}"
        return f"{self.first:%Y-%m-%d %H:%M} to {last}"

    def __str__(self) -> str:
        return f"{self.station}: {self.span} UTC, {_counted(self)}"


@dataclass(frozen=True, slots=True)
class DayGap:
    """Days in a row that are missing, between a station's first and its last."""

    station: str
    first: dt.date
    last: dt.date
    counted = "day"

    @property
    def count(self) -> int:
        """Return how many are missing."""
        return (self.last - self.first).days + 1

    @property
    def span(self) -> str:
        """Return its days."""
        return str(self.first) if self.count == 1 else f"{self.first} to {self.last}"

    def __str__(self) -> str:
        return f"{self.station}: {self.span}, {_counted(self)}"


def hour_gaps(told: Iterable[tuple[str, dt.datetime]]) -> list[Gap]:
    """Return the gaps of each station, given every hour that has a row, blank or not."""
    present: dict[str, set[dt.datetime]] = defaultdict(set)
    for station, time_utc in told:
        present[station].add(time_utc.replace(minute=0, second=0, microsecond=0))
    return [
        Gap(station, before + _HOUR, after - _HOUR)
        for station, hours in sorted(present.items())
        for before, after in pairwise(sorted(hours))
        if after - before > _HOUR
    ]


def day_gaps(told: Iterable[tuple[str, dt.date]]) -> list[DayGap]:
    """Return the gaps of each station, given every day that has a row, blank or not."""
    present: dict[str, set[dt.date]] = defaultdict(set)
    for station, day in told:
        present[station].add(day)
    return [
        DayGap(station, before + _DAY, after - _DAY)
        for station, days in sorted(present.items())
        for before, after in pairwise(sorted(days))
        if after - before > _DAY
    ]


def _counted(gap: Gap | DayGap) -> str:
    return f"{gap.count} {gap.counted}{'' if gap.count == 1 else 's'}"
