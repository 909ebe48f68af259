"""Invented bridges with nothing wrong, each off its register by what the register allows.

True temperatures at the setting, positions, coefficient, fixed point and shortening are drawn
from the standard uncertainties that the product assumes, and so are the errors of what a crew
reads.  Movements are worked out here from the geometry alone.
"""

import datetime as dt
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from inspections.models import AgencySettings
from inspections.services import readings as reading_service
from inspections.services import visits
from inspections.services.judge import judge_bridges
from inspections.services.shortening import day_of, shortening_of
from inventory.models import Element, Unit
from tests.inspections.over_years import make_bearing, make_joint
from tests.make import UTC, make_bridge, make_concrete, make_inspection, make_unit

SET_ON = dt.date(2010, 1, 1)
COEFFICIENT = {"steel": 11.7e-6, "composite": 11.7e-6, "concrete": 10.8e-6}
GAP_MM = 75.0


class Place(NamedTuple):
    """What is read of one element; ``way`` is +1 where it shows the deck ahead."""

    element: Element
    quantity: str
    points: tuple[str, ...]
    station_m: float
    way: float
    set_mm: float


@dataclass
class Register:
    """A bridge of one unit, held at its start, as it is on record."""

    unit: Unit
    drawings: bool
    set_c: float
    places: list[Place]


def make_register(seed, deck_type, source):
    """Return a unit of two to four spans with bearings on all supports but the first."""
    rng = np.random.default_rng(seed)
    bridge = make_bridge()
    stations = np.round(np.cumsum(rng.uniform(25.0, 60.0, rng.integers(2, 5))), 1)
    unit = make_unit(
        bridge,
        deck_type=deck_type,
        end_station_m=stations[-1],
        expansion_per_c=COEFFICIENT[deck_type],
    )
    if deck_type == "concrete":
        make_concrete(unit)
        unit = Unit.objects.select_related("concrete").get(pk=unit.pk)
    set_c = float(np.round(rng.normal(12.0, 5.0), 1))
    known = {"setting_source": source, "setting_temperature_c": set_c}
    places = [
        Place(make_bearing(unit, at, known=known), "offset_along", ("",), at, 1.0, 0.0)
        for at in stations
        for _ in range(rng.integers(2, 4))
    ]
    joint = make_joint(unit, known, GAP_MM, station_m=stations[-1])
    across = ("left", "centre", "right")
    places.append(Place(joint, "gap", across, stations[-1], -1.0, GAP_MM))
    return Register(unit, source == "drawings", set_c, places)


def read_and_judge(register, seed):
    """Let a crew read a bridge that is off its register in 4 to 10 visits, and judge it."""
    rng, agency, unit = np.random.default_rng(seed), AgencySettings.current(), register.unit
    drawings = register.drawings
    u_mm = agency.u_setting_drawings_mm if drawings else agency.u_setting_measured_mm
    u_k = agency.u_setting_drawings_k if drawings else agency.u_setting_measured_k
    alpha = unit.expansion_per_c + rng.normal(0.0, agency.u_expansion_per_c(unit.deck_type))
    set_c = register.set_c + rng.normal(0.0, u_k)
    held_m = rng.normal(0.0, agency.u_fixed_station_m)
    set_mm = [place.set_mm + rng.normal(0.0, u_mm) for place in register.places]
    by_rule = rng.normal()
    for date in _dates(rng):
        season = 12.0 - 14.0 * np.cos(2.0 * np.pi * (date.timetuple().tm_yday - 15) / 365.25)
        true_c = season + rng.normal(0.0, 5.0)
        strain = alpha * (true_c - set_c) - _shortened(unit, date, by_rule, agency)
        rows = []
        for place, at_mm in zip(register.places, set_mm, strict=True):
            shown = at_mm + place.way * 1000.0 * (place.station_m - held_m) * strain
            rows += [
                (place, point, shown + rng.normal(0.0, agency.accuracy_mm / np.sqrt(3.0)))
                for point in place.points
            ]
        _read(unit.bridge, date, true_c + rng.normal(0.0, agency.u_shaded_surface_k), rows)
    judge_bridges([unit.bridge_id])


def _shortened(unit, date, by_rule, agency):
    """Strain of a deck that lies as many standard uncertainties off its rule."""
    found = shortening_of([(unit, None)], np.array([day_of(SET_ON)]), day_of(date), agency)
    return float(found.strain[0, 0] + by_rule * found.u_strain[0, 0])


def _dates(rng):
    start = dt.date(2012, 1, 1) + dt.timedelta(days=int(rng.integers(0, 1500)))
    days = np.sort(rng.choice(3000, size=rng.integers(4, 11), replace=False))
    return [start + dt.timedelta(days=int(day)) for day in days]


def _read(bridge, date, temperature_c, rows):
    inspection = make_inspection(bridge, date)
    at = dt.datetime.combine(date, dt.time(8), UTC)
    taken = round(float(temperature_c), 1)
    reading_service.record(
        inspection=inspection,
        readings=[
            reading_service.NewReading(
                place.element, place.quantity, round(float(value), 1), f"{value:.1f}", at,
                **({"point": point, "axis": "square"} if point else {}),
            )
            for place, point, value in rows
        ],
        temperatures=[reading_service.NewTemperature("girder_web", taken, f"{taken}", at)],
        judge=False,
    )  # fmt: skip
    inspection = visits.submit(inspection=inspection, judge=False)
    visits.accept(inspection=inspection, user=None, judge=False)
