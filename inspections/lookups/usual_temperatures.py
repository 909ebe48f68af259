"""Temperatures that a visit to a bridge may well find, and the rare ones at the ends."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from inspections.lookups.plan_climate import Climate

ALIKE_K = 1.0
"""Temperatures nearer than this are one."""


class Origin(StrEnum):
    """Why a temperature is thought of."""

    COLDEST = "coldest"
    HOTTEST = "hottest"
    MONTH = "month"
    VISIT = "visit"


@dataclass(frozen=True, slots=True)
class MayFind:
    """An effective temperature that a visit may find.

    ``month`` is that of a usual day of it, ``seen_on`` the day of a visit that found it.
    """

    temperature_c: float
    origin: Origin
    month: int | None = None
    seen_on: dt.date | None = None

    @property
    def rare(self) -> bool:
        """True for a design extreme, which may not come for years."""
        return self.origin in (Origin.COLDEST, Origin.HOTTEST)


def usual_months(climate: Climate | None) -> list[MayFind]:
    """Return a usual day of each month: the mean over its hours stands for a deck."""
    if climate is None:
        return []
    return [
        MayFind(float(np.nanmean(hours)), Origin.MONTH, month=month)
        for month, hours in enumerate(climate.table_c, 1)
        if np.isfinite(hours).any()
    ]


def may_find(
    extremes: tuple[float, float] | None,
    months: Iterable[MayFind],
    seen: Iterable[tuple[float, dt.date]],
) -> list[MayFind]:
    """Return temperatures from the coldest to the hottest; of nearly equal ones one.

    Parameters
    ----------
    extremes : (coldest, hottest), optional
        Design temperatures of the unit.
    months : of MayFind
    seen : of (temperature, day)
        What the visits so far found; the coldest and the hottest of them may come again.
    """
    visits = sorted(seen)
    ends = dict.fromkeys([*visits[:1], *visits[-1:]])
    wanted = [*months, *(MayFind(at_c, Origin.VISIT, seen_on=day) for at_c, day in ends)]
    if extremes is not None:
        wanted += [
            MayFind(extremes[0], Origin.COLDEST),
            MayFind(extremes[1], Origin.HOTTEST),
        ]
    kept: list[MayFind] = []
    for each in sorted(wanted, key=lambda each: (each.rare, each.origin != Origin.VISIT)):
        if all(abs(each.temperature_c - other.temperature_c) >= ALIKE_K for other in kept):
            kept.append(each)
    return sorted(kept, key=lambda each: each.temperature_c)
