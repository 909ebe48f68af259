"""A station's air, sun and wind on whole hours, from its record and its daily extremes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import or_
from zoneinfo import ZoneInfo

import numpy as np
from django.db.models import Q

from inspections.models import AirDay, AirTemperature
from inventory.models import Bridge
from movement.heat_balance.climate import Exchange, length_of_hole, on_regular_hours
from movement.heat_balance.daily import hours_from_days

Span = tuple[dt.datetime, dt.datetime]
_UNIX_DAY = dt.date(1970, 1, 1).toordinal()
_MOST_SPANS = 200  # in one query; a database limits the depth of a condition
_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True, eq=False)
class StationAir:
    """What is known of a station around some readings.

    Attributes
    ----------
    record_h, record_c : array (m,)
        The record as it is, rising [h since 1970 UTC; degC].
    first_h : int
        Whole hour of the first place of the following arrays.
    air_c, sun_w_per_m2, wind_m_per_s : array (hours,)
        NaN where not known.
    rebuilt : array of bool (hours,)
        Whether the air comes from the extremes of the day.
    """

    record_h: np.ndarray
    record_c: np.ndarray
    first_h: int
    air_c: np.ndarray
    sun_w_per_m2: np.ndarray
    wind_m_per_s: np.ndarray
    rebuilt: np.ndarray

    def at(self, values: np.ndarray, hours: np.ndarray) -> np.ndarray:
        """Return one of the arrays at some whole hours since 1970; NaN outside of it."""
        places = hours - self.first_h
        inside = (places >= 0) & (places < values.size)
        return np.where(inside, values[np.clip(places, 0, values.size - 1)], np.nan)


def station_air(
    station: str, times: Sequence[dt.datetime], reach_h: float, solar_offset_h: float
) -> StationAir | None:
    """Return the air before each of some times, none where nothing of it is on record.

    Parameters
    ----------
    reach_h : float
        How long before each time [h].
    solar_offset_h : float
        What the sun's time at the station is ahead of UTC [h].
    """
    reach, hour = dt.timedelta(hours=float(reach_h)), dt.timedelta(hours=1)
    spans = _joined((time - reach, time + hour) for time in times)
    rows = _within(spans, "time_utc", AirTemperature.objects.filter(station=station)).values_list(
        "time_utc", "temperature_c", "sun_w_per_m2", "wind_m_per_s"
    )
    record = np.array(
        [(at.timestamp() / 3600.0, *values) for at, *values in rows.order_by("time_utc")],
        dtype=np.float64,
    ).reshape(-1, 4)
    day_spans = [((start - _DAY).date(), (end + _DAY).date()) for start, end in spans]
    days = list(
        _within(day_spans, "day", AirDay.objects.filter(station=station))
        .order_by("day")
        .values_list("day", "min_c", "max_c")
    )
    if not len(record) and not days:
        return None
    first_h = int(np.floor(spans[0][0].timestamp() / 3600.0))
    count = int(np.ceil(spans[-1][1].timestamp() / 3600.0)) - first_h + 1
    at_h, *columns = record.T
    air, sun, wind = (on_regular_hours(at_h, each, first_h, count) for each in columns)
    rebuilt = np.zeros(count, dtype=bool)
    if days:
        # A short hole of the record is better bridged by a line than filled from the extremes.
        long = length_of_hole(np.isnan(air)[np.newaxis])[0] > Exchange().longest_bridged_h
        filled = hours_from_days(
            [day.toordinal() - _UNIX_DAY for day, *_ in days],
            [low for _, low, _ in days],
            [high for *_, high in days],
            first_h + np.arange(count) + solar_offset_h,
        )
        rebuilt = long & ~np.isnan(filled)
        air = np.where(rebuilt, filled, air)
    return StationAir(at_h, columns[0], first_h, air, sun, wind, rebuilt)


def solar_offset_h(bridge: Bridge, at: dt.datetime) -> float:
    """Return what the sun's time at a bridge is ahead of UTC: by its longitude, else its zone."""
    if bridge.longitude_deg is not None:
        return round(bridge.longitude_deg / 15.0, 1)
    local = at.astimezone(ZoneInfo(bridge.time_zone))
    ahead = (local.utcoffset() or dt.timedelta()) - (local.dst() or dt.timedelta())
    return ahead / dt.timedelta(hours=1)


def _joined(spans: Iterable[Span]) -> list[Span]:
    """Return spans in order, those that touch as one."""
    found: list[Span] = []
    for start, end in sorted(spans):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((start, end))
    return found


def _within(spans: Sequence[tuple], field: str, rows):
    """Return the rows within any of some spans; of very many spans, all from first to last."""
    if len(spans) > _MOST_SPANS:
        return rows.filter(**{f"{field}__range": (spans[0][0], spans[-1][1])})
    return rows.filter(reduce(or_, (Q(**{f"{field}__range": span}) for span in spans)))
