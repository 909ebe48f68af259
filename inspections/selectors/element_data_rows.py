"""Element data page by page: which structures come before a page is counted, not read."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Collection, Iterator
from itertools import accumulate

from django.db import connections
from django.db.models import Case, Count, IntegerField, Q, QuerySet, When
from django.db.models.functions import Collate
from django.utils.functional import cached_property

from inspections.element_rows import ElementRow, StructureKey
from inspections.models import ElementDataRow
from inspections.paging import MadeRows
from inspections.selectors.element_data import (
    HAS_KEY,
    keyed_bridges,
    owned_rows,
    place_of,
    row_key,
    stored_rows,
    told_of,
)
from inventory.element_numbers import NAMES
from inventory.models import Bridge

_ROWS_A_PART = 5_000
_MAY_REPLACE = Q(element_number__in=NAMES, parent_number__isnull=True)


class ElementRows(MadeRows):
    """The rows of ``element_data``, of which only those of a slice are read."""

    def __init__(self, bridges: QuerySet[Bridge] | None = None) -> None:
        self._bridges = bridges

    def counted(self, most: int) -> int:
        """Return how many there are, ``most`` of more."""
        if self._bridges is None and _kept()[:most].count() == most:
            return most
        return min(len(self._all), most)

    def __len__(self) -> int:
        return len(self._all)

    def __iter__(self) -> Iterator[ElementRow]:
        for start in range(0, len(self), _ROWS_A_PART):
            yield from self._all[start : start + _ROWS_A_PART]

    def __getitem__(self, wanted: slice) -> list[ElementRow]:  # type: ignore[override] # slices
        if self._bridges is not None or "_all" in self.__dict__:
            return self._all[wanted]
        # So many kept rows belong to structures up to this one: the wanted rows end there at last.
        columns = ("state_code", "structure_number")
        kept = _by_letter(_kept()).order_by("state", "number").values_list(*columns)
        at_end = kept[wanted.stop - 1 : wanted.stop]
        last = next((StructureKey(*each) for each in at_end), None)
        return (self._all if last is None else _RowsUpTo(None, last))[wanted]

    @cached_property
    def _all(self) -> _RowsUpTo:
        return _RowsUpTo(self._bridges, None)


class _RowsUpTo:
    """The rows of all structures, or up to the ``last`` one in their order."""

    def __init__(self, bridges: QuerySet[Bridge] | None, last: StructureKey | None) -> None:
        rows = Bridge.objects.all() if bridges is None else bridges
        keyed, _ = keyed_bridges(rows.filter(HAS_KEY))
        self._keyed = {pk: each for pk, each in keyed.items() if last is None or each[1] <= last}
        self._told, _ = told_of(self._keyed)
        own = {(self._keyed[pk][1], number) for pk, number in self._told}
        counts = Counter(key for key, _ in own)
        wanted = None if bridges is None else {key for _, key in self._keyed.values()}
        for key, number, count in _stored_counts(wanted, last):
            if number is None or (key, number) not in own:
                counts[key] += count
        self._structures = sorted(key for key, count in counts.items() if count)
        self._ends = [*accumulate(counts[key] for key in self._structures)]

    def __len__(self) -> int:
        return self._ends[-1] if self._ends else 0

    def __getitem__(self, wanted: slice) -> list[ElementRow]:
        first, last, _ = wanted.indices(len(self))
        if first >= last:
            return []
        begin, end = bisect_right(self._ends, first), bisect_left(self._ends, last) + 1
        keys = self._structures[begin:end]
        here = {*keys}
        keyed = {pk: each for pk, each in self._keyed.items() if each[1] in here}
        told = {place: codes for place, codes in self._told.items() if place[0] in keyed}
        rows = {row_key(row): row for row in stored_rows(keys)} | owned_rows(keyed, told)
        before = self._ends[begin - 1] if begin else 0
        return sorted(rows.values(), key=place_of)[first - before : last - before]


def _by_letter(rows: QuerySet[ElementDataRow]) -> QuerySet[ElementDataRow]:
    """Return rows with state and number, which compare as here, whatever the database's order."""
    order = "C" if connections[rows.db].vendor == "postgresql" else "BINARY"
    return rows.alias(state=Collate("state_code", order), number=Collate("structure_number", order))


def _kept() -> QuerySet[ElementDataRow]:
    """Return the rows that the ledger replaces nowhere."""
    return ElementDataRow.objects.exclude(_MAY_REPLACE)


def _stored_counts(
    wanted: Collection[StructureKey] | None,
    last: StructureKey | None,
) -> Iterator[tuple[StructureKey, int | None, int]]:
    """Yield how many rows were given of each structure, those the ledger may replace by number."""
    may_replace = Case(When(_MAY_REPLACE, then="element_number"), output_field=IntegerField())
    rows = ElementDataRow.objects.order_by()
    if wanted is not None:
        rows = rows.filter(structure_number__in={key.number for key in wanted})
    if last is not None:
        here = Q(state=last.state, number__lte=last.number)
        rows = _by_letter(rows).filter(Q(state__lt=last.state) | here)
    counted = rows.values_list("state_code", "structure_number", may_replace).annotate(Count("pk"))
    for state, structure, number, count in counted:
        key = StructureKey(state, structure)
        if wanted is None or key in wanted:
            yield key, number, count
