"""All supports of a bridge in one visit: supports as columns, lines as rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.deck_movements import line_names
from inspections.form_spec import FIELDS, point_words
from inspections.models import Verdict
from inspections.models.choices import ReadingQuantity
from inventory.models import Support, Unit
from inventory.models.choices import ElementKind, GapAxis
from inventory.words import in_sentence

_KINDS = {
    ElementKind.JOINT: mark("Joints"),
    ElementKind.BEARING: mark("Bearings"),
    ElementKind.RESTRAINT: mark("Restraints"),
}
_ROW_OF = {ReadingQuantity.TILT: ReadingQuantity.OFFSET_ALONG}
"""A rocker's tilt stands where others have their offset: both are its movement along."""
_NAMES = {ReadingQuantity.OFFSET_ALONG: mark("movement along, by offset or tilt")}


@dataclass(frozen=True, slots=True)
class UnitTemperature:
    """Effective temperature of a unit in a visit, and how it was got."""

    unit: Unit
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a group: a cell for each support, with the verdicts that stand there."""

    name: str
    cells: list[list[Verdict]]


@dataclass(frozen=True, slots=True)
class Group:
    """Rows of one kind of element and one quantity."""

    name: str
    rows: list[Row]


@dataclass(frozen=True, slots=True)
class SideBySide:
    """The table of one visit; supports at which nothing was read are left out."""

    supports: list[Support]
    groups: list[Group]
    temperatures: list[UnitTemperature]


def side_by_side(verdicts: Sequence[Verdict]) -> SideBySide:
    """Return the table of a visit's verdicts."""
    supports = {each.element.support_id: each.element.support for each in verdicts}
    along = sorted(supports.values(), key=lambda each: (each.station_m, each.pk))
    column = {each.pk: index for index, each in enumerate(along)}
    lines = line_names({each.element_id: each.element for each in verdicts}.values())
    groups: dict[tuple[int, int, str], dict[tuple[str, int], list[list[Verdict]]]] = {}
    for each in sorted(verdicts, key=_place):
        kind = list(_KINDS).index(ElementKind(each.element.kind))
        quantity = list(FIELDS).index(_ROW_OF.get(each.quantity, ReadingQuantity(each.quantity)))
        points = FIELDS[ReadingQuantity(each.quantity)].points
        row = (lines[each.element_id], points.index(each.point))
        rows = groups.setdefault((kind, quantity, each.axis), {})
        cells = rows.setdefault(row, [[] for _ in along])
        cells[column[each.element.support_id]].append(each)
    return SideBySide(
        along,
        [
            Group(
                _group_name(*key),
                [Row(_row_name(*row, key[1]), cells) for row, cells in sorted(rows.items())],
            )
            for key, rows in sorted(groups.items())
        ],
        _temperatures(verdicts),
    )


def _place(verdict: Verdict) -> tuple[float, str]:
    return verdict.element.station_m, verdict.element.code


def _group_name(kind: int, quantity: int, axis: str) -> str:
    of = list(FIELDS)[quantity]
    name = _(_NAMES[of]) if of in _NAMES else in_sentence(of.label)
    if axis:
        square = axis == GapAxis.SQUARE
        name += ", " + (_("square to the joint") if square else _("along the road"))
    return f"{_(list(_KINDS.values())[kind])}: {name}"


def _row_name(line: str, point: int, quantity: int) -> str:
    """Return the line and the point; the plain number of a place in the row is told as such."""
    points = FIELDS[list(FIELDS)[quantity]].points
    number = _("no. %(number)s") % {"number": line} if line.isdigit() else line
    return ", ".join(part for part in (number, point_words(points[point])) if part) or _("all")


def _temperatures(verdicts: Sequence[Verdict]) -> list[UnitTemperature]:
    """Return each unit's temperatures: those that stand for its readings, told apart to 0.1."""
    found: dict[tuple[int, float, int], UnitTemperature] = {}
    for each in verdicts:
        units = [unit for unit in (each.element.unit, each.element.unit_ahead) if unit]
        if len(units) != 1 or each.temperature_c is None:
            continue
        key = (units[0].pk, round(each.temperature_c, 1), each.temperature_way)
        found.setdefault(key, UnitTemperature(units[0], each))
    return sorted(
        found.values(), key=lambda each: (each.unit.start_station_m, each.verdict.taken_at)
    )
