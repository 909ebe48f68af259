"""Usual temperature of each month and hour at a bridge: of its station, or a rule of thumb."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
from django.core.cache import cache
from django.db.models import Avg, Count, Max, Q
from django.db.models.functions import ExtractHour, ExtractMonth
from django.utils.translation import gettext as _

from inspections.models import AirTemperature
from inventory.design_temperature import design_extremes
from inventory.models import Bridge
from inventory.station_records import StationRecords
from movement.best_time import HOURS, MONTHS
from movement.errors import InputError

RECORD_YEARS = 3
"""As much of a station's record is averaged, its latest."""
FEWEST_HOURS = 5
"""A month's hour with fewer records says nothing."""
CACHE_S = 24 * 3600
YEARLY_SHARE, DAILY_SHARE = 0.20, 0.06
"""Half swing of the monthly means over the year, and of the hours over a usual day, as shares of
the range of the design extremes.  A rule of thumb; judgement, no source."""
FULL_SEASONS_DEG = 30.0
"""Latitude from which the seasons are taken as full; nearer the equator they fade.  Judgement."""
HOTTEST_MONTH, HOTTEST_HOUR = 6.5, 16.0
"""Late July, north of the equator, and four in the afternoon: a deck lags behind the sun."""
Cell = dict[tuple[int, int], float]


@dataclass(frozen=True, slots=True, eq=False)
class Climate:
    """Temperatures (12, 24) in the hours of the bridge's clock [degC], and where they are from.

    ``source`` says it in full, ``by`` in two or three words.
    """

    table_c: np.ndarray
    source: str
    by: str
    rule_of_thumb: bool


def climates_of(
    bridges: Iterable[Bridge], records: StationRecords | None = None
) -> dict[int, Climate | None]:
    """Return the climate of each bridge, None where nothing is known of it.

    The bridges are to have ``temperature_basis`` selected and ``units`` prefetched with their
    sections.
    """
    wanted = {bridge.pk: bridge for bridge in bridges}
    tables = _station_tables({each.air_station for each in wanted.values() if each.air_station})
    records = records or StationRecords(each.air_station for each in wanted.values())
    return {
        pk: _of_station(bridge, tables.get(bridge.air_station)) or _rule_of_thumb(bridge, records)
        for pk, bridge in wanted.items()
    }


def _of_station(bridge: Bridge, in_utc: np.ndarray | None) -> Climate | None:
    if in_utc is None:
        return None
    table = np.stack(
        [np.roll(in_utc[month], _hours_ahead(bridge.time_zone, month + 1)) for month in range(12)]
    )
    return Climate(
        table,
        _(
            "hourly means of station %(station)s, shade air; a deck in the sun runs hotter,"
            " and follows the air by hours"
        )
        % {"station": bridge.air_station},
        _("station %(station)s") % {"station": bridge.air_station},
        rule_of_thumb=False,
    )


def _hours_ahead(time_zone: str, month: int) -> int:
    """Return by how many hours a zone's clock is ahead of UTC amid a month, rounded."""
    noon = dt.datetime(2024, month, 15, 12, tzinfo=dt.UTC).astimezone(ZoneInfo(time_zone))
    return round(noon.utcoffset().total_seconds() / 3600)


def _station_tables(stations: set[str]) -> dict[str, np.ndarray]:
    """Return the hourly means of each station with a record, in UTC; kept for a day."""
    latest = dict(
        AirTemperature.objects.filter(station__in=stations)
        .order_by()
        .values_list("station")
        .annotate(latest=Max("time_utc"))
    )
    keys = {station: _cache_key(station, at) for station, at in latest.items()}
    kept = cache.get_many(keys.values())
    tables = {station: kept[key] for station, key in keys.items() if key in kept}
    missing = {station: at for station, at in latest.items() if station not in tables}
    if missing:
        fresh = _averaged(missing)
        cache.set_many({keys[station]: table for station, table in fresh.items()}, CACHE_S)
        tables |= fresh
    return {station: table for station, table in tables.items() if np.isfinite(table).any()}


def _cache_key(station: str, latest: dt.datetime) -> str:
    # A station's code may hold what a key of the cache may not.
    told = f"{station}|{latest.isoformat()}"
    return f"climate-{hashlib.sha256(told.encode()).hexdigest()}"


def _averaged(latest: dict[str, dt.datetime]) -> dict[str, np.ndarray]:
    recent = Q()
    for station, at in latest.items():
        recent |= Q(station=station, time_utc__gt=at - dt.timedelta(days=365.25 * RECORD_YEARS))
    cells = (
        AirTemperature.objects.filter(recent)
        .order_by()
        .values_list(
            "station",
            ExtractMonth("time_utc", tzinfo=dt.UTC),
            ExtractHour("time_utc", tzinfo=dt.UTC),
        )
        .annotate(mean=Avg("temperature_c"), hours=Count("pk"))
    )
    tables = {station: np.full((MONTHS, HOURS), np.nan) for station in latest}
    for station, month, hour, mean, hours in cells:
        if hours >= FEWEST_HOURS:
            tables[station][month - 1, hour] = mean
    return tables


def _rule_of_thumb(bridge: Bridge, records: StationRecords) -> Climate | None:
    """Return two sine waves between the design extremes, the season by the latitude."""
    extremes = _design_range(bridge, records)
    if extremes is None or bridge.latitude_deg is None:
        return None
    low_c, high_c = extremes
    seasons = np.clip(bridge.latitude_deg / FULL_SEASONS_DEG, -1.0, 1.0)
    month = np.arange(MONTHS)[:, np.newaxis]
    hour = np.arange(HOURS)[np.newaxis]
    table = (
        (low_c + high_c) / 2
        + YEARLY_SHARE
        * (high_c - low_c)
        * seasons
        * np.cos(2 * np.pi * (month - HOTTEST_MONTH) / MONTHS)
        + DAILY_SHARE * (high_c - low_c) * np.cos(2 * np.pi * (hour - HOTTEST_HOUR) / HOURS)
    )
    return Climate(
        table,
        _(
            "a rule of thumb from the design temperatures and the latitude: no hourly record of the"
            " bridge's air station is here; import one for figures that can be relied on"
        ),
        _("a rule of thumb"),
        rule_of_thumb=True,
    )


def _design_range(bridge: Bridge, records: StationRecords) -> tuple[float, float] | None:
    basis = getattr(bridge, "temperature_basis", None)
    for unit in bridge.units.all():
        try:
            extremes = design_extremes(basis, unit, records)
        except InputError:
            # The bridge's page says what is wrong with its basis; here it is only not known.
            continue
        if extremes is not None:
            return float(extremes.min_c), float(extremes.max_c)
    return None
