"""What the readings of all elements of a unit say together, as rows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from inspections.models import AgencySettings, Explanation, UnitDiagnosis
from inspections.selectors.devices import Stands, stands_now
from inspections.services.device_figures import NAN
from inspections.services.judged import Judged, finite
from inspections.services.standing_register import StandingRegister
from inspections.services.whole_unit import Tables, tables_of
from inventory.models import Unit
from movement import MODEL_VERSION
from movement.whole_bridge import Cause, Diagnosis, Explanations, Missing, Outcome, diagnose

MOVES_ALL = (Cause.SHORTENING, Cause.WRONG_TEMPERATURE, Cause.COEFFICIENT, Cause.FIXED_POINT)
"""Causes that move every element of a unit."""
ENOUGH_ELEMENTS = 3
"""Elements that must have been read until they bear out such a cause, beside which one alone
would seem to have stepped.  Judgement."""


class ToldUnit(NamedTuple):
    """The rows of one unit, and how many of its elements were read."""

    diagnosis: UnitDiagnosis
    explanations: list[Explanation]
    elements_read: int


def diagnoses_of(
    register: StandingRegister,
    found: Judged | None,
    agency: AgencySettings,
    now: dt.datetime,
    stands: Stands = stands_now,
) -> list[ToldUnit]:
    """Return the diagnosis of every unit of a bridge, with its explanations.

    Ranks count from 0, the best first; a rival that fits as well as the second cause beside
    the first has rank 1 among those beside.
    """
    if found is None:
        return [ToldUnit(_unread(unit, now), [], 0) for unit in register.units]
    tables = tables_of(found, register.units, register.elements, agency, stands)
    said = _diagnose(tables, agency)
    spoilt = moved_by_neighbours(tables, _moves_all(said))
    if spoilt.any():
        tables = tables.without(spoilt)
        said = _diagnose(tables, agency)
    rows = []
    for row, unit in enumerate(register.units):
        diagnosis = _diagnosis(unit, row, found, tables, said, now)
        explanations = list(_explanations(diagnosis, row, found, tables, said))
        rows.append(ToldUnit(diagnosis, explanations, _elements_read(tables, row)))
    return rows


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
    units = np.arange(moves_all.size)
    enough = np.array([_elements_read(tables, row) for row in units]) >= ENOUGH_ELEMENTS
    moved = moves_all & enough
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


def _diagnosis(
    unit: Unit, row: int, found: Judged, tables: Tables, said: Diagnosis, now: dt.datetime
) -> UnitDiagnosis:
    used = _used(tables, row)
    visits = np.unique(tables.readings.visit[used])
    temperatures = tables.visits.temperature_c[visits]
    days = [found.points[point].visited_on for point in tables.point[visits]]
    needed = said.range_needed_k[tables.elements.unit == row]
    missing = int(said.missing[row])
    # Only where no element would show a frozen bearing is a range asked for: that of the
    # element which needs the least.
    dull = missing & Missing.TEMPERATURE_RANGE and not np.isnan(needed).all()
    return UnitDiagnosis(
        unit=unit,
        outcome=int(said.outcome[row]),
        equal=int(said.equal[row]),
        missing=missing,
        visits=visits.size,
        readings=int(used.sum()),
        spread_k=finite(np.ptp(temperatures)) if visits.size else None,
        range_needed_k=finite(np.nanmin(needed) if dull else NAN),
        first_seen_on=min(days, default=None),
        last_seen_on=max(days, default=None),
        model_version=MODEL_VERSION,
        judged_at=now,
    )


def _used(tables: Tables, row: int) -> np.ndarray:
    """Return which readings are of a unit and can be used."""
    return (tables.elements.unit[tables.readings.element] == row) & tables.usable


def _elements_read(tables: Tables, row: int) -> int:
    return np.unique(tables.readings.element[_used(tables, row)]).size


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
