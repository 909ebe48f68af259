"""The rows of a readings file, sorted by visit.

They are put aside until it is known which visit each belongs to: what is in memory does not
grow with the readings of a file.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator

from inspections.exchange.put_aside import RowsPutAside, in_order, no_places
from inspections.exchange.readings_csv_columns import Header
from inspections.exchange.readings_csv_rows import FileRow
from inspections.exchange.readings_csv_times import Times
from inspections.exchange.readings_csv_visits import Known, Visit, VisitKey
from inventory.exchange.problems import Problem

_OF_VISIT = ("bridge_code", "inspection_date", "inspection_kind")


class FileRows:
    """The rows of a file, sorted by visit; ``without_value`` are lines that hold no value."""

    def __init__(
        self,
        header: Header,
        rows: Iterable[tuple[int, dict[str, str]]],
        aside: RowsPutAside,
        problems: list[Problem],
    ) -> None:
        self.without_value: list[int] = []
        self._header = header
        self._aside = aside
        self._problems = problems
        self._times = Times()
        self._names: tuple[str, ...] = ()
        self._places: dict[VisitKey, array[int]] = {}
        by_head = self._put_aside(rows)
        self._known = Known.of({bridge for bridge, *_ in by_head})
        self._sort(by_head)

    def visits(self) -> Iterator[Visit]:
        """Yield the visits in the order of the file, with what their rows tell.

        One that has neither readings nor temperatures is left out: each of its rows has a
        problem that is told already.
        """
        for key, places in self._places.items():
            visit = None
            for row in self._rows(places):
                visit = visit or Visit(self._known.bridges[key.bridge_code], key, row.line)
                row.into(visit)
                self._problems += row.problems
            if visit and (visit.readings or visit.temperatures):
                yield visit

    def _put_aside(
        self, rows: Iterable[tuple[int, dict[str, str]]]
    ) -> dict[tuple[str, ...], array[int]]:
        """Put rows aside; return their places by what they say of bridge, day and kind."""
        values = [each.header for each in self._header.values]
        said = [self._header.text.get(name) for name in _OF_VISIT]
        found: dict[tuple[str, ...], array[int]] = {}
        for line, cells in rows:
            self._names = self._names or tuple(cells)
            if not any(cells[each] for each in values):
                self.without_value.append(line)
                continue
            head = tuple(cells[name] if name else "" for name in said)
            places = found.get(head)
            if places is None:
                places = found[head] = no_places()
            self._aside.add(places, line, tuple(cells.values()))
        return found

    def _sort(self, by_head: dict[tuple[str, ...], array[int]]) -> None:
        """Gather the places of each visit; tell of rows that name none."""
        for places in by_head.values():
            key = next(self._rows(places)).key()
            if key is None:
                for row in self._rows(places):
                    row.belongs_nowhere()
                    self._problems += row.problems
            elif key in self._places:
                self._places[key] = in_order(self._places[key], places)
            else:
                self._places[key] = places

    def _rows(self, places: array[int]) -> Iterator[FileRow]:
        for line, cells in self._aside.at(places):
            told = dict(zip(self._names, cells, strict=True))
            yield FileRow(line, told, self._header, self._known, self._times)
