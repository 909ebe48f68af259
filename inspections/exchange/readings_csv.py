"""Readings from a CSV file: all of it or nothing, and the same file again changes nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import partial
from typing import IO

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction

from inspections.collecting import collecting_seldom
from inspections.exchange.put_aside import RowsPutAside
from inspections.exchange.readings_csv_by_visit import FileRows
from inspections.exchange.readings_csv_columns import NAMES, read_header
from inspections.exchange.readings_csv_visits import Visit, VisitKey
from inspections.lookups.parts import in_parts
from inspections.models import Inspection
from inspections.models.choices import InspectionState, Weather
from inspections.services import visits as visit_service
from inspections.services.judge import judge_bridges
from inspections.services.on_record import Devices
from inspections.services.readings import (
    Recorded,
    Recording,
    RowProblem,
    RowsRefused,
    VisitRows,
)
from inspections.services.writes_beside import WritesBeside
from inventory.exchange.file_rows import csv_cells
from inventory.exchange.problems import ImportRefused, Problem
from inventory.services.authorship import by_user

_COLUMN_OF = {
    "date": "inspection_date",
    "kind": "inspection_kind",
    "element": "element_code",
    "unit": "unit_code",
}
"""Column in which a field of a service stands, where the two are named differently."""
TOGETHER = 200
"""So many visits are written by the same queries."""
_OF_VALUE = {"value", "typed", "quantity", "axis", "temperature_c", "place"}


@dataclass(slots=True)
class ReadingsReport:
    """What an import did, or would do; ``without_value`` are lines that hold no value."""

    dry_run: bool
    inspections_opened: int = 0
    inspections_known: int = 0
    inspections_moved_on: int = 0
    added: int = 0
    already_there: int = 0
    bridges_judged: int = 0
    without_value: list[int] = field(default_factory=list)


@by_user
def import_readings(
    file_or_bytes: IO[bytes] | bytes | str,
    *,
    state: str = InspectionState.OPEN,
    dry_run: bool = False,
    user: AbstractBaseUser | None = None,
    progress: Callable[[int], None] = lambda count: None,
    expected: Callable[[int], None] = lambda count: None,
) -> ReadingsReport:
    """Record the readings and temperatures of a file in the inspections that it names.

    An inspection that is not there yet is opened.

    Parameters
    ----------
    file_or_bytes : file, bytes or str
        In the format ``ledger-readings/1``: see ``readings_csv_columns``.
    state : InspectionState
        State to leave the inspections in; one that is further on stays as it is.
    user : user, optional
        Who imports, kept with each row.
    progress : callable
        Told the bridges judged, one by one.
    expected : callable
        Told before that how many they will be.

    Raises
    ------
    ImportRefused
        With every row that cannot be taken.
    """
    problems: list[Problem] = []
    names, rows = csv_cells(file_or_bytes, problems)
    report = ReadingsReport(dry_run=dry_run)
    with collecting_seldom(), RowsPutAside() as aside, transaction.atomic():
        found = FileRows(read_header(names), names, rows, aside, problems)
        report.without_value = found.without_value
        with WritesBeside() as beside:
            touched = _write(found.visits(), InspectionState(state), user, report, problems, beside)
        if problems:
            raise ImportRefused(sorted(set(problems)))
        if dry_run:
            transaction.set_rollback(True)
        else:
            expected(len(touched))
            judge_bridges(touched, progress)
    report.bridges_judged = len(touched)
    return report


def _write(
    visits: Iterable[Visit],
    state: InspectionState,
    user: AbstractBaseUser | None,
    report: ReadingsReport,
    problems: list[Problem],
    beside: WritesBeside,
) -> set[int]:
    """Write some visits after the other; return the bridges in which something changed.

    Some are written while others are checked and the next are read: no inspection comes twice, so
    what stands on record for one does not rest on what is written of another.
    """
    touched = set()
    devices = Devices()
    for some in in_parts(visits, TOGETHER):
        present = _present(some)
        report.inspections_known += len(present)
        for visit in some:
            if visit.key in present:
                problems += _contradictions(visit, present[visit.key])
        opened = _open([each for each in some if each.key not in present], user, problems)
        report.inspections_opened += len(opened)
        there = present | opened
        ready = [each for each in some if each.key in there]
        rows = [VisitRows(there[each.key], each.readings, each.temperatures) for each in ready]
        recording = Recording.locking(rows, devices)
        beside.begin()
        recorded_of = recording.checked()
        beside.hold(partial(recording.write, user))
        if state != InspectionState.OPEN:
            beside.finish()  # only an inspection that holds rows can be handed in
        for visit, told in zip(ready, recorded_of, strict=True):
            try:
                recorded = _or_raise(told)
                moved_on = _move_on(there[visit.key], state, user)
            except RowsRefused as refused:
                problems += _at_their_cells(visit, refused)
                continue
            except ValidationError as error:
                problems += _at_the_visit(visit, error)
                continue
            report.added += recorded.added
            report.already_there += recorded.already_there
            report.inspections_moved_on += moved_on
            if recorded.added or moved_on:
                touched.add(visit.bridge.pk)
    return touched


def _or_raise(told: Recorded | RowsRefused | ValidationError) -> Recorded:
    if not isinstance(told, Recorded):
        raise told
    return told


def _present(visits: list[Visit]) -> dict[VisitKey, Inspection]:
    """Return the inspections that are on record for some visits."""
    rows = Inspection.objects.filter(
        bridge__in={visit.bridge.pk for visit in visits},
        date__in={visit.key.date for visit in visits},
    ).select_related("bridge")
    keys = {visit.key for visit in visits}
    found = {VisitKey(row.bridge.code, row.date, row.kind): row for row in rows}
    return {key: row for key, row in found.items() if key in keys}


def _open(
    visits: list[Visit], user: AbstractBaseUser | None, problems: list[Problem]
) -> dict[VisitKey, Inspection]:
    """Open the inspections of visits that are not on record."""
    named = [each for each in visits if each.team]
    message = "No row of this new visit names who made it. Write it on one of them."
    problems += [Problem(each.line, "team", message) for each in visits if not each.team]
    new = [
        Inspection(
            bridge=each.bridge,
            date=each.key.date,
            kind=each.key.kind,
            team=each.team,
            weather=each.weather or Weather.UNKNOWN.value,
        )
        for each in named
    ]
    opened = {}
    refusals = visit_service.open_several(visits=new, user=user)
    for visit, row, refusal in zip(named, new, refusals, strict=True):
        if refusal is None:
            opened[visit.key] = row
        else:
            problems += _at_the_visit(visit, refusal)
    return opened


def _contradictions(visit: Visit, inspection: Inspection) -> list[Problem]:
    """Tell what a file says of a visit otherwise than its record."""
    return [
        Problem(
            visit.said_on[name],
            name,
            f"«{getattr(visit, name)}» differs from «{getattr(inspection, name)}», on record for"
            " this inspection. Write the same, or leave it empty.",
        )
        for name in ("team", "weather")
        if getattr(visit, name) and getattr(visit, name) != getattr(inspection, name)
    ]


def _move_on(inspection: Inspection, state: InspectionState, user: AbstractBaseUser | None) -> bool:
    """Take an inspection to the state asked for; it never goes back."""
    moved_on = False
    if inspection.state == InspectionState.OPEN and state != InspectionState.OPEN:
        inspection = visit_service.submit(inspection=inspection, judge=False)
        moved_on = True
    if inspection.state == InspectionState.SUBMITTED and state == InspectionState.ACCEPTED:
        visit_service.accept(inspection=inspection, user=user, judge=False)
        moved_on = True
    return moved_on


def _at_their_cells(visit: Visit, refused: RowsRefused) -> list[Problem]:
    def problem(row: RowProblem, cells: list) -> Problem:
        line, header = cells[row.row]
        column = _COLUMN_OF.get(row.field, row.field)
        if row.field in _OF_VALUE or column not in NAMES:
            column = header
        return Problem(line, column, row.message)

    return [
        *(problem(each, visit.reading_cells) for each in refused.readings),
        *(problem(each, visit.temperature_cells) for each in refused.temperatures),
    ]


def _at_the_visit(visit: Visit, error: ValidationError) -> list[Problem]:
    if not hasattr(error, "error_dict"):
        return [Problem(visit.line, "", message) for message in error.messages]
    return [
        Problem(visit.line, _COLUMN_OF.get(name, name) if name != "__all__" else "", message)
        for name, messages in error.message_dict.items()
        for message in messages
    ]
