"""Take element data in: the rows of a file replace those of the same structures."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from django.db import transaction

from inspections.element_rows import ElementRow, StructureKey
from inspections.exchange.element_xml import read_structures
from inspections.lookups.parts import in_parts
from inspections.models import ElementDataRow
from inspections.selectors.element_data import stored_rows
from inventory.exchange.import_result import ImportResult
from inventory.exchange.problems import Problem
from inventory.models import Bridge

_AT_ONCE = 200
"""Structures that are compared with what is kept, and written, at a time."""


@transaction.atomic
def import_element_data(content: bytes, *, dry_run: bool = False) -> ImportResult:
    """Keep the rows of an element data file; a structure's rows before it are replaced.

    Condition states of the ledger's own elements stay what crews handed in: rows of joints and
    bearings are kept beside them, and reported where the ledger has nothing to tell.

    Raises
    ------
    ImportRefused
        With all that is wrong in the file; nothing was written then.
    """
    result = ImportResult(dry_run=dry_run)
    keys: list[StructureKey] = []
    for given in in_parts(read_structures(content), _AT_ONCE):
        new = {rows[0][0].structure: {row for row, _ in rows} for rows in given}
        keys += new
        _replace(new, result)
    result.notices = _notices(keys)
    return result


def _replace(given: Mapping[StructureKey, set[ElementRow]], result: ImportResult) -> None:
    """Keep the rows of some structures in place of those before, and count them."""
    before: dict[StructureKey, set[ElementRow]] = defaultdict(set)
    for row in stored_rows(list(given)):
        before[row.structure].add(row)
    changed = []
    for key, rows in given.items():
        counter = result.updated if key in before else result.created
        if rows == before.get(key):
            counter = result.unchanged
        else:
            changed.append(key)
        counter["structure"] += 1
        counter["row"] += len(rows)
    if result.dry_run:
        return
    for key in changed:
        if key in before:
            ElementDataRow.objects.filter(
                state_code=key.state, structure_number=key.number
            ).delete()
    ElementDataRow.objects.bulk_create(
        (_stored(row) for key in changed for row in given[key]), batch_size=500
    )


def _notices(keys: list[StructureKey]) -> list[Problem]:
    known = {
        (state.zfill(2), number)
        for state, number in Bridge.objects.exclude(inventory_number="").values_list(
            "inventory_state_code", "inventory_number"
        )
    }
    elsewhere = [key for key in keys if key not in known]
    if not elsewhere:
        return []
    some = ", ".join(" ".join(key) for key in elsewhere[:5])
    more = f" and {len(elsewhere) - 5} more" if len(elsewhere) > 5 else ""
    return [
        Problem(
            0,
            "STRUCNUM",
            f"No bridge on record has the state and number {some}{more}. Their rows are kept, and"
            " belong to a bridge as soon as it gets these.",
        )
    ]


def _stored(row: ElementRow) -> ElementDataRow:
    one, two, three, four = row.states
    return ElementDataRow(
        state_code=row.state,
        structure_number=row.number,
        element_number=row.element,
        parent_number=row.parent,
        total=row.total,
        cs1=one,
        cs2=two,
        cs3=three,
        cs4=four,
    )
