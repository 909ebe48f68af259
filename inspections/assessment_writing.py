"""An assessment written as JSON and as CSV, in the fields that are documented."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from inspections import wording
from inspections.assessment import (
    CSV_COLUMNS,
    DECIDING_FIELDS,
    DOCUMENT_FIELDS,
    ELEMENT_FIELDS,
    Assessment,
)
from inspections.models import ElementStatus, Verdict


def element_record(status: ElementStatus) -> dict[str, Any]:
    """Return the documented object of one element; ``deciding`` is null if never read."""
    record = {field.name: _value(field.take(status)) for field in ELEMENT_FIELDS}
    record["deciding"] = _deciding_record(status.deciding)
    return record


def _deciding_record(verdict: Verdict | None) -> dict[str, Any] | None:
    if verdict is None:
        return None
    unit = wording.dimension_of(verdict).value
    return {field.named(unit): _value(field.take(verdict)) for field in DECIDING_FIELDS}


def json_text(assessment: Assessment, statuses: Iterable[ElementStatus]) -> Iterator[str]:
    """Yield the document in whole lines, one an element, so that its length needs no memory."""
    head = {field.name: _value(field.take(assessment)) for field in DOCUMENT_FIELDS if field.take}
    yield json.dumps(head, indent=1, allow_nan=False).removesuffix("\n}") + ',\n "elements": [\n'
    line = ""
    for status in statuses:
        if line:
            yield f"{line},\n"
        line = json.dumps(element_record(status), ensure_ascii=False, allow_nan=False)
    yield f"{line}\n]}}\n"


def csv_cells(status: ElementStatus, neutralise: Callable[[str], str]) -> list[Any]:
    """Return an element's row in the order of ``CSV_COLUMNS``; text goes through ``neutralise``."""
    record = element_record(status)
    record |= record.pop("deciding") or {}
    record["reasons"] = " ".join(record["reasons"])
    cells = (record.get(column) for column in CSV_COLUMNS)
    return [neutralise(cell) if isinstance(cell, str) else cell for cell in cells]


def _value(value: Any) -> Any:
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value.isoformat() if hasattr(value, "isoformat") else value
