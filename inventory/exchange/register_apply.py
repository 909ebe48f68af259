"""Lay the rows of a file over what is stored, in memory, and say what does not fit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from django.db import models

from inventory.exchange.columns import (
    BRIDGE_CODE,
    ELEMENT_CODE,
    KEYS,
    MODELS,
    OF_RECORD,
    Column,
    Record,
)
from inventory.exchange.problems import Problem
from inventory.exchange.register_reading import RegisterFile, Row
from inventory.exchange.register_stock import Stock
from inventory.models import DESIGN_OF_KIND, Element, Installation


@dataclass(slots=True, eq=False)
class Draft:
    """A row of a table on its way into the database, and the row of the file it comes from."""

    source: Row
    target: models.Model
    is_new: bool
    changed: set[str] = field(default_factory=set)

    @property
    def is_touched(self) -> bool:
        """True if there is anything to write."""
        return self.is_new or bool(self.changed)


class Overlay:
    """A register as the file would leave it.

    Attributes
    ----------
    drafts : list of Draft
        By the order of the tables; untouched ones among them.
    created, updated, unchanged : Counter
        Rows of the file by record.
    unplaced : set of tuple
        Places of which some device's row cannot be told from others.
    """

    def __init__(self, read: RegisterFile, stock: Stock) -> None:
        self.read = read
        self.stock = stock
        self.drafts: list[Draft] = []
        self.created: Counter[str] = Counter()
        self.updated: Counter[str] = Counter()
        self.unchanged: Counter[str] = Counter()
        self.unplaced: set[tuple[Any, ...]] = set()
        self._draft_of: dict[int, Draft] = {}
        self._lacking: dict[tuple[Record, str], list[int]] = {}

    def lay(self, progress: Callable[[int], None], expected: Callable[[int], None]) -> None:
        """Apply every row, parents before what stands on them, in whatever order they come."""
        rows: dict[Record, list[Row]] = {record: [] for record in Record}
        first: dict[tuple[Record, tuple[Any, ...]], int] = {}
        for row in self.read.rows:
            if not row.key:
                if row.record == Record.INSTALLATION:
                    self.unplaced.add((row.values.get(BRIDGE_CODE), row.values.get(ELEMENT_CODE)))
                continue
            line = first.setdefault((row.record, row.key), row.line)
            if line == row.line:
                rows[row.record].append(row)
            else:
                message = f"The same {row.record} stands on line {line}. Keep one of the two rows."
                self.read.report(row, KEYS[row.record][-1], message)
        expected(sum(map(len, rows.values())))
        for record in Record:
            for row in rows[record]:
                self._lay_row(row)
                progress(1)
        self._report_lacking_columns()

    def draft_of(self, target: models.Model, source: Row) -> Draft:
        """Return the draft of a row; where the file has none, a new one caused by ``source``."""
        draft = self._draft_of.get(id(target))
        if draft is None:
            draft = self._add(Draft(source, target, is_new=False))
        return draft

    def source_of(self, target: models.Model) -> Row | None:
        """Return the row of the file that a row comes from, None where the file has none."""
        draft = self._draft_of.get(id(target))
        return None if draft is None else draft.source

    def is_touched(self, target: models.Model) -> bool:
        """Return whether a row is new or changed."""
        draft = self._draft_of.get(id(target))
        return draft is not None and draft.is_touched

    def _add(self, draft: Draft) -> Draft:
        self.drafts.append(draft)
        self._draft_of[id(draft.target)] = draft
        return draft

    def _lay_row(self, row: Row) -> None:
        references = self._references(row)
        model = MODELS[row.record][0]
        stored = self.stock.find(row.record, row.key)
        draft = Draft(row, model() if stored is None else stored, stored is None)
        self._fill(draft, references)
        if isinstance(draft.target, Element) and "kind" in draft.changed:
            self.read.report(
                row,
                "kind",
                "A place keeps its kind. Give a device of another kind a place of its own, with"
                " another code.",
            )
        if draft.is_new:
            self._remember(row, draft.target)
        parts = [each for each in self._parts(row, draft.target) if each is not None]
        for each in (draft, *parts):
            self._add(each)
        if draft.is_new:
            self.created[row.record] += 1
        elif any(each.is_touched for each in (draft, *parts)):
            self.updated[row.record] += 1
        else:
            self.unchanged[row.record] += 1

    def _references(self, row: Row) -> dict[str, models.Model | None]:
        """Return the rows that a row names, by column; one that does not exist is reported."""
        found: dict[str, models.Model | None] = {}
        for name, column in OF_RECORD[row.record].items():
            code = row.values.get(name)
            if not column.is_reference or name not in row.values:
                continue
            found[name] = None
            if code is None:
                continue
            record = Record(column.field.related_model._meta.model_name)
            in_bridge = len(KEYS[record]) > 1
            key = (row.values.get(BRIDGE_CODE), code) if in_bridge else (code,)
            found[name] = self.stock.find(record, key)
            if found[name] is None:
                row.failed.add(name)
                # What stands on a row that is wrong itself is not reported once more.
                if all(key) and not (in_bridge and self._is_unknown(Record.BRIDGE, key[:1])):
                    where = f"bridge {key[0]}" if in_bridge else "the register"
                    self.read.report(
                        row,
                        name,
                        f"There is no {record} «{code}» in {where} or in this file. Correct the"
                        f" code, or add a {record} row for it.",
                    )
        return found

    def _is_unknown(self, record: Record, key: tuple[Any, ...]) -> bool:
        return self.stock.find(record, key) is None

    def _fill(self, draft: Draft, references: dict[str, models.Model | None]) -> None:
        row = draft.source
        for name, column in OF_RECORD[row.record].items():
            if not isinstance(draft.target, column.model):
                continue
            if name in row.values and name not in row.failed:
                value = references[name] if name in references else row.values[name]
                if draft.is_new:
                    setattr(draft.target, column.attribute, value)
                elif column.written(draft.target) != column.cell.write(row.values[name]):
                    setattr(draft.target, column.attribute, value)
                    draft.changed.add(column.attribute)
            elif draft.is_new and column.needed and name not in row.failed:
                row.failed.add(name)
                if not column.is_key:
                    self._lacking.setdefault((row.record, name), []).append(row.line)

    def _remember(self, row: Row, target: models.Model) -> None:
        self.stock.rows[row.record][row.key] = target
        if isinstance(target, Installation):
            self.stock.devices.setdefault(row.key[:2], []).append(target)

    def _parts(self, row: Row, target: models.Model) -> Iterable[Draft | None]:
        for model in MODELS[row.record][1:]:
            columns = [each for each in OF_RECORD[row.record].values() if each.model is model]
            if isinstance(target, Installation):
                yield self._design(row, target, model, columns)
            else:
                yield self._attached(row, target, model, columns)

    def _attached(
        self, row: Row, target: models.Model, model: type[models.Model], columns: list[Column]
    ) -> Draft | None:
        """Return the draft of a bridge's basis or of a unit's concrete or section.

        Where all its cells are empty it is left alone.
        """
        given = [each.name for each in columns if each.name in row.given]
        if not given:
            return None
        draft = self._part(row, model(**{row.record.value: target}), model)
        for column in columns:
            empty = getattr(draft.target, column.attribute) in (None, "")
            if column.needed_in_part and empty and column.name not in row.failed:
                message = f"Empty, but needed with {given[0]}. Fill it in."
                self.read.report(row, column.name, message)
        return draft

    def _design(
        self, row: Row, target: Installation, model: type[models.Model], columns: list[Column]
    ) -> Draft | None:
        """Return the draft of a device's capacities, if they are those of its kind."""
        element = self.stock.find(Record.ELEMENT, row.key[:2])
        kind = element.kind if isinstance(element, Element) else ""
        given = [each.name for each in columns if each.name in row.given]
        if kind and DESIGN_OF_KIND[kind] is not model:
            for name in given:
                self.read.report(
                    row,
                    name,
                    f"Only a {model._meta.model_name.removesuffix('design')} has it; «{row.key[1]}»"
                    f" is a {kind}. Leave it empty.",
                )
            return None
        if not kind or not (given or row.key in self.stock.parts[model]):
            return None
        return self._part(row, model(installation=target), model)

    def _part(self, row: Row, new: models.Model, model: type[models.Model]) -> Draft:
        stored = self.stock.parts[model].get(row.key)
        draft = Draft(row, new if stored is None else stored, stored is None)
        self._fill(draft, {})
        return draft

    def _report_lacking_columns(self) -> None:
        for (record, name), lines in self._lacking.items():
            more = f" and {len(lines) - 1} more" if len(lines) > 1 else ""
            self.read.problems.append(
                Problem(
                    1,
                    name,
                    f"The column is missing, and a new {record} needs it (line {lines[0]}{more})."
                    " Add it.",
                )
            )
