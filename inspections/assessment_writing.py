"""An assessment written as JSON and as CSV, in the fields that are documented."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from inspections import wording
from inspections.assessment import CSV_COLUMNS, CSV_HISTORY, DOCUMENT_FIELDS, Assessment
from inspections.assessment_elements import DECIDING_FIELDS, ELEMENT_FIELDS
from inspections.assessment_fields import Field
from inspections.assessment_findings import CHECK_FIELDS, HISTORY_FIELDS, check_unit
from inspections.assessment_units import EXPLANATION_FIELDS, UNIT_FIELDS
from inspections.models import ElementHistory, ElementStatus, UnitDiagnosis
from inspections.selectors.findings import deciding_history
from inspections.wording_capacity import tell_checks
from inspections.wording_explanation import tell_unit
from inventory.units import System


def element_record(status: ElementStatus, near: float) -> dict[str, Any]:
    """Return the documented object of one element; ``deciding`` is null if never read.

    The status comes from ``selectors.assessment``, with its histories and checks read; a
    check is near its capacity from the use ``near`` on.
    """
    record = _record(ELEMENT_FIELDS, status)
    deciding = status.deciding
    record["deciding"] = deciding and _record(
        DECIDING_FIELDS, deciding, wording.dimension_of(deciding).value
    )
    record["histories"] = [history_record(each) for each in status.element.told_histories]
    record["capacity"] = [
        _record(CHECK_FIELDS, told, check_unit(told.check))
        for told in tell_checks(status.element.told_checks, System.SI, near)
    ]
    return record


def history_record(history: ElementHistory) -> dict[str, Any]:
    """Return the documented object of one history."""
    return _record(HISTORY_FIELDS, history, wording.dimension_of(history).value)


def unit_record(diagnosis: UnitDiagnosis) -> dict[str, Any]:
    """Return the documented object of one unit."""
    record = _record(UNIT_FIELDS, tell_unit(diagnosis, System.SI))
    record["explanations"] = [
        _record(EXPLANATION_FIELDS, each)
        for each in sorted(diagnosis.explanations.all(), key=lambda row: (row.beside, row.rank))
    ]
    return record


def json_text(
    assessment: Assessment, statuses: Iterable[ElementStatus], diagnoses: Iterable[UnitDiagnosis]
) -> Iterator[str]:
    """Yield the document in whole lines, one an element or unit, so that its length needs no
    memory."""
    head = {field.name: _value(field.take(assessment)) for field in DOCUMENT_FIELDS if field.take}
    yield json.dumps(head, indent=1, allow_nan=False).removesuffix("\n}") + ',\n "elements": [\n'
    near = assessment.thresholds["watch_use"]
    yield from _lines(element_record(status, near) for status in statuses)
    yield '],\n "units": [\n'
    yield from _lines(unit_record(each) for each in diagnoses)
    yield "]}\n"


def csv_cells(status: ElementStatus, neutralise: Callable[[str], str]) -> list[Any]:
    """Return an element's row in the order of ``CSV_COLUMNS``; text goes through ``neutralise``."""
    record = _record(ELEMENT_FIELDS, status)
    if status.deciding is not None:
        unit = wording.dimension_of(status.deciding).value
        record |= _record(DECIDING_FIELDS, status.deciding, unit)
    history = deciding_history(status)
    if history is not None:
        record |= {f"{CSV_HISTORY}{name}": value for name, value in history_record(history).items()}
    return [_cell(record.get(column), neutralise) for column in CSV_COLUMNS]


def _record(fields: Sequence[Field], row: object, unit: str = "") -> dict[str, Any]:
    return {field.named(unit): _value(field.take(row)) for field in fields if field.take}


def _lines(records: Iterable[dict[str, Any]]) -> Iterator[str]:
    line = ""
    for record in records:
        if line:
            yield f"{line},\n"
        line = json.dumps(record, ensure_ascii=False, allow_nan=False)
    if line:
        yield f"{line}\n"


def _value(value: Any) -> Any:
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value.isoformat() if hasattr(value, "isoformat") else value


def _cell(value: Any, neutralise: Callable[[str], str]) -> Any:
    if isinstance(value, list):
        value = " ".join(value)
    return neutralise(value) if isinstance(value, str) else value
