"""Effective temperature of each unit at the hour of each reading."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from inspections.models import AgencySettings, TemperatureReading
from inspections.models.choices import TemperaturePlace
from inspections.services.air_ways import from_air
from inventory.models import Unit
from movement.temperature import EffectiveTemperature, Way, best_of, from_surfaces

DECK = (TemperaturePlace.DECK_TOP, TemperaturePlace.DECK_SOFFIT)
GIRDER = (
    # the first shaded one stands alone where no deck temperature was taken
    TemperaturePlace.GIRDER_WEB,
    TemperaturePlace.GIRDER_BOTTOM,
    TemperaturePlace.GIRDER_TOP,
)
Taken = tuple[int | None, str, bool, float, dt.datetime]
EQUAL_SHARE = 0.5


class Hour(NamedTuple):
    """One unit in one visit at one time."""

    inspection_id: int
    unit_id: int
    taken_at: dt.datetime


def effective_temperatures(
    hours: list[Hour], agency: AgencySettings, units: Mapping[int, Unit] | None = None
) -> EffectiveTemperature:
    """Return the effective temperature for each hour by the best way that was measured.

    A temperature counts for readings taken within the agency's window around it; of
    several at one place the nearest in time is taken.  ``units``: with their bridges and
    sections, where they have been read.
    """
    if units is None:
        rows = Unit.objects.filter(pk__in={hour.unit_id for hour in hours})
        units = {unit.pk: unit for unit in rows.select_related("bridge", "section")}
    taken = _taken({hour.inspection_id for hour in hours})
    window_s = agency.temperature_window_h * 3600.0
    places = [*TemperaturePlace]
    # One row an hour, one column a place; the second table has shaded ones only.
    every = np.full((len(hours), len(places)), np.nan)
    shaded = np.full_like(every, np.nan)
    for row, hour in enumerate(hours):
        for place, sunlit, value in _nearest(taken[hour.inspection_id], hour, window_s):
            column = places.index(place)
            if not sunlit or np.isnan(every[row, column]):
                every[row, column] = value
            if not sunlit:
                shaded[row, column] = value

    def columns(table: np.ndarray, wanted: tuple[TemperaturePlace, ...]) -> np.ndarray:
        return table[:, [places.index(place) for place in wanted]]

    def part(wanted: tuple[TemperaturePlace, ...]) -> np.ndarray:
        """Surfaces of a part; none where all of them lay in the sun, which runs far ahead."""
        some_shade = ~np.isnan(columns(shaded, wanted)).all(axis=-1, keepdims=True)
        return np.where(some_shade, columns(every, wanted), np.nan)

    share = np.array(
        [
            EQUAL_SHARE if unit.deck_share is None else unit.deck_share
            for unit in (units[hour.unit_id] for hour in hours)
        ]
    )
    girder_shade = columns(shaded, GIRDER)
    first_known = (~np.isnan(girder_shade)).argmax(axis=-1)[:, np.newaxis]
    figures = agency.way_uncertainty()
    air = from_air(
        [hour.unit_id for hour in hours],
        [hour.taken_at for hour in hours],
        units,
        figures.air_history_k,
    )
    return best_of(
        {
            Way.EMBEDDED: columns(every, (TemperaturePlace.EMBEDDED,))[:, 0],
            Way.SURFACES: from_surfaces(part(DECK), part(GIRDER), share),
            Way.SHADED_SURFACE: np.take_along_axis(girder_shade, first_known, axis=1)[:, 0],
            **air.temperature_c,
            Way.SHADE_AIR: columns(shaded, (TemperaturePlace.AIR_SHADE,))[:, 0],
        },
        figures,
        air.u_temperature_k,
    )


def _taken(inspection_ids: set[int]) -> dict[int, list[Taken]]:
    rows = defaultdict(list)
    for inspection_id, *row in TemperatureReading.objects.filter(
        inspection_id__in=inspection_ids, corrected_by__isnull=True
    ).values_list("inspection_id", "unit_id", "place", "sunlit", "temperature_c", "taken_at"):
        rows[inspection_id].append(tuple(row))
    return rows


def _nearest(rows: list[Taken], hour: Hour, window_s: float) -> list[tuple[str, bool, float]]:
    """Return (place, sunlit, value), the last of each place being the one to use.

    Those of the unit itself count before those for all units, then the nearer in time.
    """
    near = [
        (unit_id is not None, -abs((at - hour.taken_at).total_seconds()), place, sunlit, value)
        for unit_id, place, sunlit, value, at in rows
        if unit_id in (None, hour.unit_id) and abs((at - hour.taken_at).total_seconds()) <= window_s
    ]
    return [(place, sunlit, value) for _, _, place, sunlit, value in sorted(near)]
