"""What to measure next on a bridge to tell its explanations apart.  Nothing is stored."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from inspections.lookups.devices import stands_now
from inspections.lookups.explanation_pairs import Explained, pairs_of
from inspections.lookups.usual_temperatures import MayFind, may_find
from inspections.models import AgencySettings, Explanation, UnitDiagnosis
from inspections.models.choices import DiagnosisWord
from inspections.services.device_figures import NAN, ChannelKey
from inspections.services.explanations import MOVES_ALL, moved_by_neighbours
from inspections.services.judged import Judged, judged, rows_of
from inspections.services.points import points_of
from inspections.services.shortening import shortening_of
from inspections.services.unit_places import Site, mm_per_unit
from inspections.services.unit_tables import Tables
from inspections.services.whole_unit import View, tables_of
from inventory.models import Bridge, Element, Unit
from inventory.station_records import StationRecords
from movement.whole_bridge.causes import OF_ELEMENT, OF_SUPPORT, Cause
from movement.whole_bridge.next_visit import Claim, NextVisit
from movement.whole_bridge.tell_apart import Apart, tell_apart

_K95 = 1.959964
_DATED = (Cause.STEP, Cause.BLUNDER, Cause.SUPPORT_MOVED, Cause.WRONG_TEMPERATURE)


@dataclass(frozen=True, slots=True)
class ToMeasure:
    """One reading that would tell two explanations apart.

    Numbers are in the unit of the quantity; ``right`` is the chance that it names the right
    one of the two, if both were equally likely before it.
    """

    element: Element
    key: ChannelKey
    at: MayFind
    if_first: float
    if_second: float
    u_first: float
    u_second: float
    right: float


@dataclass(frozen=True, slots=True)
class Pair:
    """Two explanations of a unit, and what would tell them apart, the clearest first.

    ``second`` is None where the rival is that nothing is wrong.  ``log_odds`` is by how much
    the first fits better already.  ``together`` is the best temperature for measuring all
    elements in one visit, and its chance.
    """

    first: Explanation
    second: Explanation | None
    log_odds: float
    separable: bool
    to_measure: list[ToMeasure]
    together: tuple[MayFind, float]


def to_tell_apart(
    bridge: Bridge,
    diagnoses: Iterable[UnitDiagnosis],
    units: Sequence[Unit],
    elements: Sequence[Element],
    extremes: dict[int, tuple[float, float]],
    months: Sequence[MayFind],
    today: dt.date,
    records: StationRecords | None = None,
) -> dict[int, list[Pair]]:
    """Return by unit what would tell its explanations apart.

    Parameters
    ----------
    diagnoses
        Of the bridge's units, with their explanations.
    units
        All units of the bridge along its stations.
    elements
        All its elements, with their supports.
    extremes : dict
        Coldest and hottest design temperature by unit [degC].
    months
        A usual day of each month, where that is known.
    records
        The years of air stations, where they have been read.
    """
    told = list(diagnoses)
    wanted = {each.unit_id: pairs for each in told if (pairs := pairs_of(each))}
    if not wanted:
        return {}
    agency = AgencySettings.current()
    points = points_of(bridge.pk, agency)
    if not points:
        return {}
    found = judged(points, agency, records)
    here = View(
        Site(units, elements),
        np.flatnonzero(found.handed_in),
        frozenset(pk for pk, device in found.installations.items() if stands_now(device)),
    )
    tables = tables_of(found, [here], agency)
    moves_all = np.isin(tables.unit_ids, [each.unit_id for each in told if _moves_all(each)])
    tables = tables.without(moved_by_neighbours(tables, moves_all))
    return {
        unit_id: _Unit(found, tables, unit_id, agency).pairs(
            pairs, extremes.get(unit_id), months, today
        )
        for unit_id, pairs in wanted.items()
    }


def _moves_all(diagnosis: UnitDiagnosis) -> bool:
    return diagnosis.outcome == DiagnosisWord.EXPLAINED and any(
        each.rank == 0 and each.cause in MOVES_ALL for each in diagnosis.explanations.all()
    )


class _Unit:
    """One unit with the tables of its bridge."""

    def __init__(self, found: Judged, tables: Tables, unit_id: int, agency: AgencySettings) -> None:
        self._found, self._tables, self._agency = found, tables, agency
        self._unit = tables.unit_ids.index(unit_id)

    def pairs(
        self,
        wanted: Sequence[tuple[Explained, Explained]],
        extremes: tuple[float, float] | None,
        months: Sequence[MayFind],
        today: dt.date,
    ) -> list[Pair]:
        """Return the pairs whose explanations still fit the readings, and what tells them apart."""
        claims = [(pair, self._claims(pair[0]), self._claims(pair[1])) for pair in wanted]
        known = [each for each in claims if each[1] is not None and each[2] is not None]
        finds = may_find(extremes, months, self._seen())
        if not known or not finds:
            return []
        day = float((today - dt.date(1970, 1, 1)).days)
        tables = self._tables
        apart = tell_apart(
            tables.units,
            tables.supports,
            tables.elements,
            tables.visits,
            tables.readings,
            self._unit,
            [(one, other) for _, one, other in known],
            self._next_visit(np.array([each.temperature_c for each in finds]), day),
            self._agency.priors(),
        )
        return [
            self._pair(pair, each, finds) for (pair, _, _), each in zip(known, apart, strict=True)
        ]

    def _claims(self, explained: Explained) -> list[Claim] | None:
        """Return explanations by rows of the tables; None where one names what is not there."""
        claims = [self._claim(each) for each in explained if each is not None]
        return None if None in claims else [each for each in claims if each is not None]

    def _claim(self, row: Explanation) -> Claim | None:
        cause = Cause(row.cause)
        element, support, visit = (-1, -1, -1)
        if cause in OF_ELEMENT:
            element = self._element(row)
        if cause in OF_SUPPORT:
            support = self._support(row)
        if row.visit_id is not None:
            visit = self._visit(row.visit_id)
        lost = (
            (cause in OF_ELEMENT and element < 0)
            or (cause in OF_SUPPORT and support < 0)
            or ((cause in _DATED or row.visit_id is not None) and visit < 0)
        )
        if lost:
            return None
        ends = NAN if row.low is None or row.high is None else abs(row.high - row.low)
        size = NAN if row.size is None else row.size
        if cause == Cause.WRONG_TEMPERATURE:
            size = -size  # stored as how much too high it was written
        return Claim(cause, element, support, visit, size, ends / (2.0 * _K95))

    def _element(self, row: Explanation) -> int:
        for index, place in enumerate(self._tables.places):
            key = self._found.keys[place.channel]
            installation = self._found.installations[key.installation_id]
            same = installation.element_id == row.element_id and key.quantity == row.quantity
            if same and place.unit == self._unit:
                return index
        return -1

    def _support(self, row: Explanation) -> int:
        own = self._tables.supports.unit == self._unit
        for index, support_id in enumerate(self._tables.support_ids):
            if own[index] and support_id == row.support_id:
                return index
        return -1

    def _visit(self, inspection_id: int) -> int:
        for index in np.flatnonzero(self._tables.visits.unit == self._unit):
            point = self._found.points[int(self._tables.point[index])]
            if point.key.inspection_id == inspection_id:
                return int(index)
        return -1

    def _seen(self) -> list[tuple[float, dt.date]]:
        visits = self._tables.visits
        own = (visits.unit == self._unit) & ~np.isnan(visits.temperature_c)
        return [
            (
                float(visits.temperature_c[index]),
                self._found.points[int(self._tables.point[index])].visited_on,
            )
            for index in np.flatnonzero(own)
        ]

    def _next_visit(self, at_c: np.ndarray, day: float) -> NextVisit:
        """Return what a visit could measure, with the means of the visits so far."""
        tables = self._tables
        own = tables.visits.unit == self._unit
        u_k = np.nanmedian(np.where(own, tables.visits.u_temperature_k, NAN))
        u_mm = np.full(len(tables.places), NAN)
        known = np.zeros((len(tables.places), at_c.size))
        u_strain = np.zeros(len(tables.places))
        for index, place in enumerate(tables.places):
            read = (tables.readings.element == index) & tables.usable
            if place.unit != self._unit or not read.any():
                continue
            u_mm[index] = np.median(tables.readings.u_value_mm[read])
            known[index], u_strain[index] = self._known(place.channel, place.side, at_c, day)
        return NextVisit.of(at_c, float(u_k), day, u_mm, known, u_strain)

    def _known(
        self, channel: int, side: int, at_c: np.ndarray, day: float
    ) -> tuple[np.ndarray, float]:
        """Return what is accounted for on a day: shortening, and the unit beyond a gap."""
        found = self._found
        last = np.flatnonzero(found.of_point == channel)[-1:]
        shortens = shortening_of(
            [found.channels.units[channel]], found.set_day[last], np.array([day]), self._agency
        )
        scale = mm_per_unit(found, np.array([channel]))[0]
        sides = rows_of(found.sides, last)
        part = float(np.nan_to_num(shortens.part_of(sides)[0])[0]) * scale
        beyond = sides.lever[0, 1 - side] * scale * sides.expansion_per_c[0, 1 - side]
        set_c = np.nan_to_num(found.setting.temperature_c[last])[0]
        of_beyond = beyond * (at_c - set_c) if beyond else 0.0
        return part + of_beyond, float(shortens.u_strain[0, side])

    def _pair(
        self, pair: tuple[Explained, Explained], apart: Apart, finds: Sequence[MayFind]
    ) -> Pair:
        first, second = pair[0][0], pair[1][0]
        if first is None:
            raise ValueError("a pair begins with an explanation")
        clearest = sorted(
            range(len(finds)),
            key=lambda at: (-round(float(apart.right_together[at]), 2), finds[at].rare),
        )
        return Pair(
            first=first,
            second=second,
            log_odds=first.odds_log - (second.odds_log if second is not None else 0.0),
            separable=apart.separable,
            to_measure=[
                self._to_measure(apart, element, at, finds[at])
                for element, at in apart.ranked([each.rare for each in finds])
            ],
            together=(finds[clearest[0]], float(apart.right_together[clearest[0]])),
        )

    def _to_measure(self, apart: Apart, element: int, at: int, find: MayFind) -> ToMeasure:
        place = self._tables.places[int(apart.elements[element])]
        key = self._found.keys[place.channel]
        per_mm = 1.0 / float(mm_per_unit(self._found, np.array([place.channel]))[0])
        where = element, at
        return ToMeasure(
            self._found.installations[key.installation_id].element,
            key,
            find,
            if_first=float(apart.first.value_mm[where]) * per_mm,
            if_second=float(apart.second.value_mm[where]) * per_mm,
            u_first=math.fabs(float(apart.first.u_mm[where]) * per_mm),
            u_second=math.fabs(float(apart.second.u_mm[where]) * per_mm),
            right=float(apart.right[where]),
        )
