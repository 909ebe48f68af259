"""The rows of a readings file, sorted by visit.

They are put aside until it is known which visit each belongs to: what is in memory does not
grow with the readings of a file.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from heapq import merge

from inspections.exchange.put_aside import Row, RowsPutAside
from inspections.exchange.readings_csv_before import RowsBefore, RowsOfVisit, picked
from inspections.exchange.readings_csv_columns import Header
from inspections.exchange.readings_csv_rows import FileRow
from inspections.exchange.readings_csv_visits import Known, Visit, VisitKey
from inventory.exchange.problems import Problem

_OF_VISIT = ("bridge_code", "inspection_date", "inspection_kind")
Head = tuple[str, ...]
"""What a row says of bridge, day and kind, as it is written."""


class FileRows:
    """The rows of a file, sorted by visit; ``without_value`` are lines that hold no value."""

    def __init__(
        self,
        header: Header,
        names: Sequence[str],
        rows: Iterable[Row],
        aside: RowsPutAside[Head],
        problems: list[Problem],
    ) -> None:
        self.without_value: list[int] = []
        self._header = header
        self._names = names
        self._aside = aside
        self._problems = problems
        self._of_visit = [header.text[name] for name in _OF_VISIT if name in header.text]
        self._put_aside(rows)
        self._known = Known.of({bridge for bridge, *_ in aside.groups()})
        self._heads = self._sorted()

    def visits(self) -> Iterator[Visit]:
        """Yield the visits in the order of the file, with what their rows tell.

        One that has neither readings nor temperatures is left out: each of its rows has a
        problem that is told already.
        """
        before = RowsBefore(self._header, self._names, self._known)
        for key, heads in self._heads.items():
            visit = Visit(self._known.bridges[key.bridge_code], key, 0)
            of_visit = RowsOfVisit(before, visit)
            for line, cells in merge(*(self._aside.of(head) for head in heads)):
                visit.line = visit.line or line
                self._problems += of_visit.read(line, cells)
            if visit.readings or visit.temperatures:
                yield visit

    def _put_aside(self, rows: Iterable[Row]) -> None:
        """Put rows aside by what they say of bridge, day and kind."""
        values = picked(self._names, [each.header for each in self._header.values])
        head = picked(self._names, self._of_visit)
        for row in rows:
            if any(values(row[1])):
                self._aside.add(head(row[1]), row)
            else:
                self.without_value.append(row[0])

    def _sorted(self) -> dict[VisitKey, list[Head]]:
        """Return how each visit is written; tell of rows that name none."""
        found: dict[VisitKey, list[Head]] = {}
        for head in self._aside.groups():
            told = dict.fromkeys(self._names, "") | dict(zip(self._of_visit, head, strict=True))
            key = FileRow(0, told, self._header, self._known).key()
            if key is not None:
                found.setdefault(key, []).append(head)
                continue
            for line, cells in self._aside.of(head):
                told = dict(zip(self._names, cells, strict=True))
                row = FileRow(line, told, self._header, self._known)
                row.belongs_nowhere()
                self._problems += row.problems
        return found
