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
from numpy.typing import ArrayLike

from inspections.services.station_air import StationAir, solar_offset_h, station_air
from inventory.models import Bridge, Unit
from inventory.thermal_section import layers_of
from movement.errors import InputError
from movement.heat_balance.daily import REBUILT_U_K
from movement.heat_balance.effective import (
    HourNote,
    TemperatureHistory,
    effective_temperature,
    longest_warm_up_h,
)
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
MOST_AT_ONCE = 1000
"""Readings in one call: some 100 MB of weather at their warm-ups."""


@dataclass(frozen=True, slots=True, eq=False)
class FromAir:
    """Temperature and its standard uncertainty at each hour asked, by each way; NaN for none."""

    temperature_c: dict[Way, np.ndarray]
    u_temperature_k: dict[Way, np.ndarray]

    @classmethod
    def nothing(cls, count: int) -> FromAir:
        """Return a table with nothing in it."""
        return cls(*({way: np.full(count, np.nan) for way in AIR_WAYS} for _ in range(2)))

    def put(self, way: Way, rows: np.ndarray, temperature_c: ArrayLike, u_k: ArrayLike) -> None:
        """Fill in what a way says of some rows."""
        self.temperature_c[way][rows] = temperature_c
        self.u_temperature_k[way][rows] = u_k


class _Place(NamedTuple):
    """What rows share that have the same record and sun."""

    station: str
    solar_offset_h: float
    latitude_deg: float | None

    @classmethod
    def of(cls, bridge: Bridge, time: dt.datetime) -> _Place:
        latitude = bridge.latitude_deg
        # A tenth of a degree is nothing to the sun, and lets neighbours share a computation.
        rounded = None if latitude is None else round(latitude, 1)
        return cls(bridge.air_station, solar_offset_h(bridge, time), rounded)


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """Rows of one place; ``at_h`` in hours since 1970."""

    rows: np.ndarray
    unit_ids: np.ndarray
    times: list[dt.datetime]
    at_h: np.ndarray
    decks: list[DeckType]

    @classmethod
    def of(
        cls,
        rows: list[int],
        unit_ids: Sequence[int],
        times: Sequence[dt.datetime],
        units: Mapping[int, Unit],
    ) -> _Asked:
        its = [times[row] for row in rows]
        return cls(
            np.array(rows),
            np.array([unit_ids[row] for row in rows]),
            its,
            np.array([each.timestamp() / 3600.0 for each in its]),
            [DeckType(units[unit_ids[row]].deck_type) for row in rows],
        )

    def only(self, places: np.ndarray) -> _Asked:
        """Return the rows at those places."""
        return _Asked(
            self.rows[places],
            self.unit_ids[places],
            [self.times[place] for place in places],
            self.at_h[places],
            [self.decks[place] for place in places],
        )


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
        Those units, with their bridges and sections.
    least_u_k : float
        The agency's uncertainty of the plain mean, which is never stated better [K].
    """
    found = FromAir.nothing(len(times))
    sections = _sections(units)
    reach_h = _warm_ups_h(sections)
    rows_at: dict[_Place, list[int]] = defaultdict(list)
    for row, (unit_id, time) in enumerate(zip(unit_ids, times, strict=True)):
        bridge = units[unit_id].bridge
        if bridge.air_station:
            rows_at[_Place.of(bridge, time)].append(row)
    for place, rows in rows_at.items():
        asked = _Asked.of(rows, unit_ids, times, units)
        longest_h = max([LONGEST_PLAIN_H, *(reach_h.get(each, 0.0) for each in asked.unit_ids)])
        air = station_air(place.station, asked.times, longest_h, place.solar_offset_h)
        if air is None:
            continue
        _put_plain(found, asked, air, least_u_k)
        with_section = np.flatnonzero(np.isin(asked.unit_ids, [*sections]))
        for first in range(0, with_section.size, MOST_AT_ONCE):
            some = asked.only(with_section[first : first + MOST_AT_ONCE])
            _put_balance(found, some, air, place, sections, reach_h)
    return found


def reaches_h(units: Iterable[Unit]) -> dict[int, float]:
    """Return how long before a reading the air bears on the temperature of each unit [h]."""
    known = {unit.pk: unit for unit in units}
    warm_ups = _warm_ups_h(_sections(known))
    return {pk: max(LONGEST_PLAIN_H, warm_ups.get(pk, 0.0)) for pk in known}


def _sections(units: Mapping[int, Unit]) -> dict[int, list[Layer]]:
    """Return the layers of those units that have a section of possible sizes."""
    found = {}
    for unit_id, unit in units.items():
        section = getattr(unit, "section", None)
        if section is None:
            continue
        try:
            found[unit_id] = layers_of(section)
        except InputError:
            continue  # the plain mean stands in, and the verdict says that it does
    return found


def _warm_ups_h(sections: Mapping[int, list[Layer]]) -> dict[int, float]:
    if not sections:
        return {}
    longest = longest_warm_up_h(cut([*sections.values()]))
    return dict(zip(sections, longest.tolist(), strict=True))


def _put_plain(found: FromAir, asked: _Asked, air: StationAir, least_u_k: float) -> None:
    """Fill in the mean of the hours before, of rebuilt hours where the record is too thin."""
    span_h = [PRECEDING_HOURS[deck] for deck in asked.decks]
    recorded = mean_of_preceding(air.record_h, air.record_c, asked.at_h, span_h)
    whole_h = air.first_h + np.arange(air.air_c.size)
    rebuilt = mean_of_preceding(whole_h, air.air_c, asked.at_h, span_h)
    u_k = np.maximum([PLAIN_MEAN_U_K[deck] for deck in asked.decks], least_u_k)
    mean_c = np.where(np.isnan(recorded), rebuilt, recorded)
    found.put(Way.AIR_HISTORY, asked.rows, mean_c, u_k)


def _put_balance(
    found: FromAir,
    asked: _Asked,
    air: StationAir,
    place: _Place,
    sections: Mapping[int, list[Layer]],
    reach_h: Mapping[int, float],
) -> None:
    """Fill in the heat balance at each time, between the whole hours around it."""
    back_h = int(np.ceil(max(reach_h[each] for each in asked.unit_ids)))
    before_h = np.floor(asked.at_h).astype(np.intp)
    # Readings of one unit within one hour, many in a visit, are one row of weather.
    pairs, row_of = np.unique(np.stack([asked.unit_ids, before_h]), axis=1, return_inverse=True)
    hours = pairs[1][:, np.newaxis] + np.arange(-back_h, 2)  # to the hour after a time
    air_c = air.at(air.air_c, hours)
    some = ~np.isnan(air_c).all(axis=-1)
    if not some.any():
        return
    wind = air.at(air.wind_m_per_s, hours[some])
    history = effective_temperature(
        cut([sections[each] for each in pairs[0][some]]),
        air_c[some],
        air.at(air.sun_w_per_m2, hours[some]),
        None if np.isnan(wind).all() else wind,
        usual_sun_w_per_m2=_usual_sun(place, hours[some]),
    )
    with_air = some[row_of.ravel()]
    told = asked.only(np.flatnonzero(with_air))
    row = (np.cumsum(some) - 1)[row_of.ravel()[with_air]]
    share = told.at_h - before_h[with_air]
    temperature_c, u_k = (
        _between(table[row, back_h], table[row, back_h + 1], share)
        for table in (history.temperature_c, history.u_temperature_k)
    )
    rebuilt = air.at(air.rebuilt.astype(np.float64), hours[some]) > 0
    way = _ways(history, rebuilt, back_h)[row]
    # An hour rebuilt from the extremes of its day is off by more than one on record.
    lost_k = np.array([REBUILT_U_K[deck] for deck in told.decks])
    u_k = np.where(way == Way.HEAT_BALANCE_DAYS, np.hypot(u_k, lost_k), u_k)
    for each in BALANCES:
        its = way == each
        found.put(each, told.rows[its], temperature_c[its], u_k[its])


def _ways(history: TemperatureHistory, rebuilt: np.ndarray, back_h: int) -> np.ndarray:
    """Return which balance each row is, by the hours that its section has not forgotten."""
    hour = np.arange(rebuilt.shape[1])
    bears = hour > back_h - history.warm_up_h[:, np.newaxis]
    bears[:, back_h + 1] = False
    no_sun = (history.notes & np.uint8(HourNote.SUN_NOT_KNOWN)) > 0
    return np.select(
        [(rebuilt & bears).any(axis=-1), (no_sun & bears).any(axis=-1)],
        [Way.HEAT_BALANCE_DAYS, Way.HEAT_BALANCE_AIR],
        Way.HEAT_BALANCE,
    )


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
