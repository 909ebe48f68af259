"""Effective temperatures from a station's air: the heat balance, and the mean of the hours before.

Rows of one station and one solar time go through the model together.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from inspections.services.station_air import StationAir, solar_offset_h, station_air
from inventory.models import Bridge, Unit, UnitSection
from inventory.thermal_section import layers_of
from movement.errors import InputError
from movement.heat_balance.daily import REBUILT_U_K
from movement.heat_balance.effective import HourNote, effective_temperature, longest_warm_up_h
from movement.heat_balance.sections import Layer, cut
from movement.heat_balance.sun import usual_sun_w_per_m2
from movement.temperature import (
    PLAIN_MEAN_U_K,
    PRECEDING_HOURS,
    DeckType,
    Way,
    mean_of_preceding,
)

LONGEST_PLAIN_H = max(PRECEDING_HOURS.values())
BALANCES = (Way.HEAT_BALANCE, Way.HEAT_BALANCE_AIR, Way.HEAT_BALANCE_DAYS)
AIR_WAYS = (*BALANCES, Way.AIR_HISTORY)


@dataclass(frozen=True, slots=True, eq=False)
class FromAir:
    """Temperature and its standard uncertainty at each hour asked, by each way; NaN for none."""

    temperature_c: dict[Way, np.ndarray]
    u_temperature_k: dict[Way, np.ndarray]


class _Place(NamedTuple):
    """Rows that share a record and the sun."""

    station: str
    solar_offset_h: float
    latitude_deg: float | None

    @classmethod
    def of(cls, bridge: Bridge, time: dt.datetime) -> _Place:
        latitude = bridge.latitude_deg
        # A tenth of a degree is nothing to the sun, and lets neighbours share a computation.
        rounded = None if latitude is None else round(latitude, 1)
        return cls(bridge.air_station, solar_offset_h(bridge, time), rounded)


def from_air(
    unit_ids: Sequence[int],
    times: Sequence[dt.datetime],
    units: Mapping[int, Unit],
    least_u_k: float,
) -> FromAir:
    """Return what the air before each time says of a unit.

    Parameters
    ----------
    unit_ids, times : sequence (n,)
    units : mapping
        Those units, with bridge and section.
    least_u_k : float
        The agency's uncertainty of the plain mean, which is never stated better [K].
    """
    count = len(times)
    found = FromAir(
        {way: np.full(count, np.nan) for way in AIR_WAYS},
        {way: np.full(count, np.nan) for way in AIR_WAYS},
    )
    sections = _sections(units)
    reach_h = dict(
        zip(sections, longest_warm_up_h(cut([*sections.values()])).tolist(), strict=True)
        if sections
        else ()
    )
    rows_at: dict[_Place, list[int]] = defaultdict(list)
    for row, (unit_id, time) in enumerate(zip(unit_ids, times, strict=True)):
        bridge = units[unit_id].bridge
        if bridge.air_station:
            rows_at[_Place.of(bridge, time)].append(row)
    for place, rows in rows_at.items():
        its_reach = max([LONGEST_PLAIN_H, *(reach_h.get(unit_ids[row], 0.0) for row in rows)])
        air = station_air(
            place.station, [times[row] for row in rows], its_reach, place.solar_offset_h
        )
        if air is None:
            continue
        at_h = np.array([times[row].timestamp() / 3600.0 for row in rows])
        decks = [DeckType(units[unit_ids[row]].deck_type) for row in rows]
        _put_plain(found, np.array(rows), air, at_h, decks, least_u_k)
        with_section = [index for index, row in enumerate(rows) if unit_ids[row] in sections]
        if with_section:
            chosen = np.array(with_section)
            _put_balance(
                found,
                np.array(rows)[chosen],
                air,
                at_h[chosen],
                [decks[index] for index in with_section],
                {
                    unit_id: sections[unit_id]
                    for unit_id in (unit_ids[rows[index]] for index in with_section)
                },
                [unit_ids[rows[index]] for index in with_section],
                place,
                int(np.ceil(max(reach_h[unit_ids[rows[index]]] for index in with_section))),
            )
    return found


def reaches_h(units: Iterable[Unit]) -> dict[int, float]:
    """Return how long before a reading the air bears on the temperature of each unit [h]."""
    known = {unit.pk: unit for unit in units}
    sections = _sections(known)
    reach = dict.fromkeys(known, LONGEST_PLAIN_H)
    if sections:
        for unit_id, warm_up in zip(
            sections, longest_warm_up_h(cut([*sections.values()])), strict=True
        ):
            reach[unit_id] = max(LONGEST_PLAIN_H, float(warm_up))
    return reach


def _sections(units: Mapping[int, Unit]) -> dict[int, list[Layer]]:
    """Return the layers of those units that have a section of possible sizes."""
    found = {}
    for section in UnitSection.objects.filter(unit_id__in=units):
        try:
            found[section.unit_id] = layers_of(section)
        except InputError:
            continue  # the plain mean stands in, and the verdict says that it does
    return found


def _put_plain(
    found: FromAir,
    rows: np.ndarray,
    air: StationAir,
    at_h: np.ndarray,
    decks: list[DeckType],
    least_u_k: float,
) -> None:
    """Fill in the mean of the hours before, of rebuilt hours where the record is too thin."""
    span_h = [PRECEDING_HOURS[deck] for deck in decks]
    recorded = mean_of_preceding(air.record_h, air.record_c, at_h, span_h)
    rebuilt = mean_of_preceding(air.first_h + np.arange(air.air_c.size), air.air_c, at_h, span_h)
    found.temperature_c[Way.AIR_HISTORY][rows] = np.where(np.isnan(recorded), rebuilt, recorded)
    found.u_temperature_k[Way.AIR_HISTORY][rows] = np.maximum(
        [PLAIN_MEAN_U_K[deck] for deck in decks], least_u_k
    )


def _put_balance(
    found: FromAir,
    rows: np.ndarray,
    air: StationAir,
    at_h: np.ndarray,
    decks: list[DeckType],
    sections: dict[int, list[Layer]],
    unit_ids: list[int],
    place: _Place,
    reach_h: int,
) -> None:
    """Fill in the heat balance at each time, between the whole hours around it."""
    # Readings of one unit within one hour, many in a visit, are one row of weather.
    before_h = np.floor(at_h).astype(np.intp)
    order = {unit_id: index for index, unit_id in enumerate(sections)}
    of_section = np.array([order[unit_id] for unit_id in unit_ids])
    pairs, which = np.unique(np.stack([of_section, before_h]), axis=1, return_inverse=True)
    which = which.ravel()
    # From a warm-up before the hour to the hour after it.
    places = pairs[1][:, np.newaxis] - air.first_h + np.arange(-reach_h, 2)
    inside = (places >= 0) & (places < air.air_c.size)

    def around(values: np.ndarray) -> np.ndarray:
        return np.where(inside, values[np.clip(places, 0, air.air_c.size - 1)], np.nan)

    air_c, sun, wind = (around(each) for each in (air.air_c, air.sun_w_per_m2, air.wind_m_per_s))
    known = ~np.isnan(air_c).all(axis=-1)
    if not known.any():
        return
    history = effective_temperature(
        cut([*sections.values()]).of(pairs[0][known]),
        air_c[known],
        sun[known],
        None if np.isnan(wind).all() else wind[known],
        usual_sun_w_per_m2=_usual_sun(place, air.first_h + places[known]),
    )
    row_of = np.cumsum(known) - 1
    chosen = np.flatnonzero(known[which])
    table_row = row_of[which[chosen]]
    share = at_h[chosen] - before_h[chosen]
    this, after = np.full(chosen.size, reach_h), np.full(chosen.size, reach_h + 1)
    values = [
        _between(table[table_row, this], table[table_row, after], share)
        for table in (history.temperature_c, history.u_temperature_k)
    ]
    # What the warm-up of the section itself reaches back to decides which way it was.
    hour = np.arange(air_c.shape[1])
    bears = hour > reach_h - history.warm_up_h[:, np.newaxis]
    bears[:, reach_h + 1] = False
    from_days = ((around(air.rebuilt.astype(float))[known] > 0) & bears).any(axis=-1)[table_row]
    no_sun = (history.notes & np.uint8(HourNote.SUN_NOT_KNOWN)) > 0
    sunless = (no_sun & bears).any(axis=-1)[table_row]
    way = np.where(
        from_days,
        Way.HEAT_BALANCE_DAYS,
        np.where(sunless, Way.HEAT_BALANCE_AIR, Way.HEAT_BALANCE),
    )
    rebuilt_k = np.where(from_days, [REBUILT_U_K[decks[index]] for index in chosen], 0.0)
    u_k = np.hypot(values[1], rebuilt_k)
    for each in BALANCES:
        found.temperature_c[each][rows[chosen]] = np.where(way == each, values[0], np.nan)
        found.u_temperature_k[each][rows[chosen]] = np.where(way == each, u_k, np.nan)


def _usual_sun(place: _Place, at_h: np.ndarray) -> np.ndarray | None:
    """Return the usual sun of hours since 1970, none where the latitude is not known."""
    if place.latitude_deg is None:
        return None
    solar_h = at_h + place.solar_offset_h
    days = np.floor(solar_h / 24.0).astype("datetime64[D]")
    day_of_year = (days - days.astype("datetime64[Y]")).astype(float) + 1.0
    return usual_sun_w_per_m2(day_of_year, solar_h % 24.0, place.latitude_deg)


def _between(this: np.ndarray, after: np.ndarray, share: np.ndarray) -> np.ndarray:
    """Return the value a share of the way to the next hour; where that is not known, this."""
    return np.where(np.isnan(after), this, this + share * (after - this))
