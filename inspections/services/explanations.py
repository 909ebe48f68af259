"""What the readings of all elements of a unit say together, as rows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from inspections.lookups.parts import by_size
from inspections.models import AgencySettings, Explanation, UnitDiagnosis
from inspections.services.judged import Judged, finite
from inspections.services.unit_tables import Tables
from inspections.services.whole_unit import View, tables_of
from inventory.models import Unit
from movement import MODEL_VERSION
from movement.whole_bridge import Cause, Diagnosis, Explanations, Missing, Outcome, diagnose

MOVES_ALL = (Cause.SHORTENING, Cause.WRONG_TEMPERATURE, Cause.COEFFICIENT, Cause.FIXED_POINT)
"""Causes that move every element of a unit."""
ENOUGH_ELEMENTS = 3
"""Elements that must have been read until they bear out such a cause, beside which one alone
would seem to have stepped.  Judgement."""


AT_ONCE = 200_000
"""Readings that are read together in one go: what keeps the memory within bounds."""


class ToldUnit(NamedTuple):
    """The rows of one unit, and how many of its elements were read."""

    diagnosis: UnitDiagnosis
    explanations: list[Explanation]
    elements_read: int


class Asked(NamedTuple):
    """A view that a diagnosis is wanted of, made at an hour.

    ``every``: of each unit, with all that is told of it; else of the explained ones alone.
    """

    view: View
    now: dt.datetime
    every: bool


def diagnoses_of(
    found: Judged, asked: Sequence[Asked], agency: AgencySettings
) -> list[list[ToldUnit]]:
    """Return the diagnosis of every unit of some views, with its explanations.

    Ranks count from 0, the best first; a rival that fits as well as the second cause beside
    the first has rank 1 among those beside.
    """
    return [
        rows
        for some in by_size(asked, lambda each: each.view.rows.size, AT_ONCE)
        for rows in _diagnoses(found, some, agency)
    ]


def _diagnoses(
    found: Judged, asked: Sequence[Asked], agency: AgencySettings
) -> list[list[ToldUnit]]:
    # The last visit of a bridge and today see the same, unless a device was changed between.
    row_of: dict[tuple[object, ...], int] = {}
    views = []
    seen = []
    for site, rows, devices in (each.view for each in asked):
        key = (site, rows.tobytes(), devices)
        if key not in row_of:
            row_of[key] = len(views)
            views.append(View(site, rows, devices))
        seen.append(row_of[key])
    tables, said = _diagnosed(found, views, agency)
    sums = _Sums(found, tables, said)
    told = []
    for each, view in zip(asked, seen, strict=True):
        first = tables.first_unit[view]
        rows = range(first, first + len(each.view.site.units))
        told.append(
            [
                _told(unit, row, each.now, found, tables, said, sums)
                for unit, row in zip(each.view.site.units, rows, strict=True)
                if each.every or said.outcome[row] == Outcome.EXPLAINED
            ]
        )
    return told


def unread(units: Iterable[Unit], now: dt.datetime) -> list[ToldUnit]:
    """Return the diagnoses of units of a bridge that nobody has read."""
    return [ToldUnit(_unread(unit, now), [], 0) for unit in units]


def _diagnosed(
    found: Judged, views: Sequence[View], agency: AgencySettings
) -> tuple[Tables, Diagnosis]:
    tables = tables_of(found, views, agency)
    said = _diagnose(tables, agency)
    spoilt = moved_by_neighbours(tables, _moves_all(said))
    if spoilt.any():
        tables = tables.without(spoilt)
        again = np.zeros(len(tables.unit_ids), dtype=bool)
        again[tables.elements.unit[spoilt]] = True
        part, visits = tables.read_in(again)
        said = _in_place(said, _diagnose(part, agency), again, tables.elements.unit, visits)
    return tables, said


def _in_place(
    said: Diagnosis, anew: Diagnosis, units: np.ndarray, unit: np.ndarray, visits: np.ndarray
) -> Diagnosis:
    """Return what was said, with that of some units put in its place.

    ``unit`` is that of each element; ``visits`` are the rows that the new answer's visits have
    in the tables.
    """

    def sheet(name: str) -> Explanations:
        old, new = getattr(said, name), getattr(anew, name)
        columns = {}
        for each in fields(Explanations):
            values = getattr(new, each.name)
            if each.name in ("visit", "last_before"):
                values = np.where(values < 0, -1, np.append(visits, -1)[values])
            columns[each.name] = np.where(units[:, np.newaxis], values, getattr(old, each.name))
        return Explanations(**columns)

    return Diagnosis(
        *(
            np.where(units, getattr(anew, name), getattr(said, name))
            for name in ("outcome", "equal", "missing")
        ),
        *(sheet(name) for name in ("ranked", "beside", "beside_rival")),
        *(
            np.where(units[unit], getattr(anew, name), getattr(said, name))
            for name in ("u_response", "range_needed_k")
        ),
    )


def _diagnose(tables: Tables, agency: AgencySettings) -> Diagnosis:
    return diagnose(
        tables.units,
        tables.supports,
        tables.elements,
        tables.visits,
        tables.readings,
        agency.priors(),
    )


def _moves_all(said: Diagnosis) -> np.ndarray:
    """Return which units are explained by what moves all of their elements."""
    return np.asarray(
        (said.outcome == Outcome.EXPLAINED)
        & (
            np.isin(said.ranked.cause[:, 0], MOVES_ALL)
            | np.isin(said.beside.cause[:, 0], MOVES_ALL)
        )
    )


def moved_by_neighbours(tables: Tables, moves_all: np.ndarray) -> np.ndarray:
    """Return which elements are gaps that the unit on their other side has moved.

    A deck that shortened, say, shows in the joint that it shares: the unit beyond, which has
    nothing of the kind itself, is not to be told of a joint that was shifted.  ``moves_all``
    says of each unit whether such a cause explains it.
    """
    moved = moves_all & (tables.elements_read >= ENOUGH_ELEMENTS)
    beyond = tables.unit_beyond
    return np.asarray((beyond >= 0) & moved[beyond] & ~moved[tables.elements.unit])


def _unread(unit: Unit, now: dt.datetime) -> UnitDiagnosis:
    return UnitDiagnosis(
        unit=unit,
        outcome=int(Outcome.NOT_ENOUGH),
        missing=int(Missing.READINGS),
        model_version=MODEL_VERSION,
        judged_at=now,
    )


class _Sums:
    """What is counted of each unit: arrays (units,), over the readings that can be used."""

    def __init__(self, found: Judged, tables: Tables, said: Diagnosis) -> None:
        count = len(tables.unit_ids)
        element, visit = (
            each[tables.usable] for each in (tables.readings.element, tables.readings.visit)
        )
        self.readings = np.bincount(tables.elements.unit[element], minlength=count).tolist()
        self.elements = tables.elements_read.tolist()
        visits = np.unique(visit)
        unit = tables.visits.unit[visits]
        self.visits = np.bincount(unit, minlength=count).tolist()
        days = [found.points[row].visited_on.toordinal() for row in tables.point[visits].tolist()]
        coldest, hottest = _ends(count, unit, tables.visits.temperature_c[visits])
        self.spread_k = (hottest - coldest).tolist()
        self.first_day, self.last_day = (each.tolist() for each in _ends(count, unit, days))
        needed = np.full(count, np.inf)
        np.fmin.at(needed, tables.elements.unit, said.range_needed_k)
        self.range_needed_k = needed


def _ends(count: int, unit: np.ndarray, values: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
    """Return the least and the greatest of the values of each unit."""
    least, greatest = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(least, unit, values)
    np.maximum.at(greatest, unit, values)
    return least, greatest


def _told(
    unit: Unit,
    row: int,
    now: dt.datetime,
    found: Judged,
    tables: Tables,
    said: Diagnosis,
    sums: _Sums,
) -> ToldUnit:
    missing = int(said.missing[row])
    # Only where no element would show a frozen bearing is a range asked for: that of the
    # element which needs the least.
    dull = missing & Missing.TEMPERATURE_RANGE
    visited = sums.visits[row] > 0
    diagnosis = UnitDiagnosis(
        unit=unit,
        outcome=int(said.outcome[row]),
        equal=int(said.equal[row]),
        missing=missing,
        visits=sums.visits[row],
        readings=sums.readings[row],
        spread_k=finite(sums.spread_k[row]) if visited else None,
        range_needed_k=finite(sums.range_needed_k[row]) if dull else None,
        first_seen_on=dt.date.fromordinal(int(sums.first_day[row])) if visited else None,
        last_seen_on=dt.date.fromordinal(int(sums.last_day[row])) if visited else None,
        model_version=MODEL_VERSION,
        judged_at=now,
    )
    explanations = list(_explanations(diagnosis, row, found, tables, said))
    return ToldUnit(diagnosis, explanations, sums.elements[row])


def _explanations(
    diagnosis: UnitDiagnosis, row: int, found: Judged, tables: Tables, said: Diagnosis
) -> Iterator[Explanation]:
    for beside, sheets in ((False, [said.ranked]), (True, [said.beside, said.beside_rival])):
        told = [
            (sheet, column)
            for sheet in sheets
            for column in range(sheet.cause.shape[1])
            if sheet.cause[row, column] != Cause.HEALTHY
        ]
        for rank, (sheet, column) in enumerate(told):
            yield _explanation(diagnosis, rank, beside, sheet, (row, column), found, tables)


def _explanation(
    diagnosis: UnitDiagnosis,
    rank: int,
    beside: bool,
    sheet: Explanations,
    at: tuple[int, int],
    found: Judged,
    tables: Tables,
) -> Explanation:
    element, support = int(sheet.element[at]), int(sheet.support[at])
    place = tables.places[element] if element >= 0 else None
    key = found.keys[place.channel] if place else None
    size, low, high = (float(each[at]) for each in (sheet.size, sheet.low, sheet.high))
    if sheet.cause[at] == Cause.WRONG_TEMPERATURE:
        size, low, high = -size, -high, -low
    return Explanation(
        diagnosis=diagnosis,
        rank=rank,
        beside=beside,
        cause=int(sheet.cause[at]),
        element_id=key and found.installations[key.installation_id].element_id,
        quantity=key.quantity if key else "",
        support_id=tables.support_ids[support] if support >= 0 else None,
        visit_id=_visit(int(sheet.visit[at]), found, tables),
        last_before_id=_visit(int(sheet.last_before[at]), found, tables),
        odds_log=float(sheet.score[at]),
        log_ratio=finite(sheet.log_ratio[at]),
        size=finite(size),
        low=finite(low),
        high=finite(high),
    )


def _visit(row: int, found: Judged, tables: Tables) -> int | None:
    return None if row < 0 else found.points[tables.point[row]].key.inspection_id
