"""The plan of movement: the deck from above, with two arrows at every element.

An open arrow is what temperature and age call for, a filled one in the shape and colour of
its verdict what was measured, both since the setting and drawn larger by one factor.  Along
the bridge the plan is to scale; across it the lines are only set apart.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inspections.drawing.alignment import Place
from inspections.drawing.arrows import filled_arrow, open_arrow
from inspections.drawing.chart_labels import Spots, placed_labels
from inspections.drawing.labels import width_of
from inspections.drawing.marks import NAMES, verdict_mark
from inspections.drawing.plan_key import FLAGGED, description_of, fixed_sign, key_of, when_words
from inspections.drawing.plan_sheet import LONGEST, WIDTH, Sheet, along_skew
from inspections.drawing.shapes import XY, Drawing, Line, Polygon, Polyline, Shape
from inspections.plan_of_movement import Moved, PlanOfMovement
from inventory.models import Unit
from inventory.models.choices import ElementKind
from inventory.units import System

LINE_STEP = 19.0
"""Between the lines of bearings, where there is room."""
WIDEST = 160.0
"""Of all lines together."""
TOP = 10.0
EDGE = 12.0
"""From the outer lines to the edges of the deck."""
BESIDE = 3.4
"""From an element to each of its two arrows, across."""
CLEAR = 5.5
"""From the middle of its mark to where they begin."""
OF_TWO_UNITS = 9.0
"""From the station to the bearings of either unit that share a pier."""
SEEN = 2.0
"""A shorter arrow is left out: it would be but a speck."""
HIDDEN_MM = 0.05


def plan_view(plan: PlanOfMovement, system: System) -> Drawing | None:
    """Draw the plan; None where the register has no unit and no support."""
    if not plan.units and not plan.supports:
        return None
    step = min(LINE_STEP, WIDEST / max(len(_names(plan.rows)) - 1, 1))
    half = step * max(len(_names(plan.rows)) - 1, 0) / 2 + EDGE
    sheet = Sheet(plan, half)
    factor = _factor(plan.rows, sheet.px_per_m)
    body = _body(plan, sheet, half, step, factor)
    # Only what is drawn tells how high it reaches: what stands at a skewed end of a curve, say.
    sheet.lower(TOP - body.top)
    body = _body(plan, sheet, half, step, factor)
    foot = body.bottom + 10.0
    inside = (2.0, 2.0, WIDTH - 2.0, foot + 18.0)
    clear = [*body.marks, *_along(body.arrows)]
    shapes = [
        *body.under,
        *body.arrows,
        *placed_labels(body.labels, clear, inside, []),
        *key_of(plan, factor, foot + 38.0),
    ]
    title = _("Plan of movement of %(code)s, %(when)s") % {
        "code": plan.code,
        "when": when_words(plan),
    }
    return Drawing(WIDTH, foot + 68.0, tuple(shapes), title, description_of(plan, factor, system))


@dataclass(slots=True)
class _Body:
    """The deck with its elements; ``marks`` are their middles."""

    under: list[Shape]
    arrows: list[Shape]
    marks: list[XY]
    labels: list[Spots]

    @property
    def top(self) -> float:
        return min(y for _, y in self._reach())

    @property
    def bottom(self) -> float:
        return max(y for _, y in self._reach())

    def _reach(self) -> list[XY]:
        found = [(x, y + side * 6.0) for x, y in self.marks for side in (-1.0, 1.0)]
        for each in (*self.under, *self.arrows):
            if isinstance(each, Line):
                found += [(each.x1, each.y1), (each.x2, each.y2)]
            elif isinstance(each, Polygon | Polyline):
                found += each.points
        return found


def _body(plan: PlanOfMovement, sheet: Sheet, half: float, step: float, factor: float) -> _Body:
    px_per_mm = factor * sheet.px_per_m / 1000.0
    body = _Body([_deck(unit, plan, sheet, half) for unit in plan.units], [], [], [])
    for support in plan.supports:
        body.under += _support(support.station_m, plan.skew_by_support[support.pk], sheet, half)
    for unit in plan.units:
        body.under += _fixed_point(unit, sheet)
    for row, root in _roots(plan, _lines(plan.rows, step), sheet, half):
        place = sheet.place(row.element.station_m)
        body.arrows += _arrows(row, root, place, px_per_mm)
        body.under += verdict_mark(row.verdict, *root, 4.4)
        body.marks.append(root)
        if row.verdict in FLAGGED:
            body.labels.append(_label(row.element.code, root))
    body.labels += [
        _support_label(each.code, sheet.at(each.station_m, -half - 16.0)) for each in plan.supports
    ]
    return body


def _along(arrows: Iterable[Shape]) -> list[XY]:
    """Return points along arrows, for labels to keep clear of."""
    ends: list[tuple[XY, XY]] = []
    for each in arrows:
        if isinstance(each, Line):
            ends.append(((each.x1, each.y1), (each.x2, each.y2)))
        elif isinstance(each, Polygon):
            ends.append((each.points[0], each.points[3]))
    return [
        (x1 + (x2 - x1) * share, y1 + (y2 - y1) * share)
        for (x1, y1), (x2, y2) in ends
        for share in (0.25, 0.6, 1.0)
    ]


def _names(rows: Iterable[Moved]) -> list[str]:
    """Return the lines of bearings by their names."""
    return sorted(
        {each.line for each in rows if each.element.kind == ElementKind.BEARING},
        key=lambda name: (len(name), name),
    )


def _lines(rows: Iterable[Moved], step: float) -> dict[str, float]:
    """Return how far to the left each line of bearings lies."""
    names = _names(rows)
    middle = (len(names) - 1) / 2
    return {name: step * (middle - index) for index, name in enumerate(names)}


def _factor(rows: Iterable[Moved], px_per_m: float) -> float:
    """Return the round factor by which movements are drawn larger, so that the longest fits."""
    sizes = [
        math.hypot(along or 0.0, across or 0.0)
        for each in rows
        for along, across in (
            (each.expected_mm, each.expected_across_mm),
            (each.measured_mm, each.measured_across_mm),
        )
    ]
    greatest = max(sizes, default=0.0)
    if greatest < HIDDEN_MM:
        return 1.0
    most = LONGEST / (greatest * px_per_m / 1000.0)
    power = 10.0 ** math.floor(math.log10(most))
    steps = (8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0)
    return next(step * power for step in steps if step * power <= most * (1 + 1e-9))


def _deck(unit: Unit, plan: PlanOfMovement, sheet: Sheet, half: float) -> Shape:
    """Return the outline of a unit, its ends as skewed as the supports there."""
    steps = 1 if unit.plan_radius_m is None else 24
    length = unit.end_station_m - unit.start_station_m
    stations = [unit.start_station_m + length * n / steps for n in range(steps + 1)]
    skews = {each.station_m: plan.skew_by_support[each.pk] for each in plan.supports}
    ends = [skews.get(each, 0.0) for each in (stations[0], stations[-1])]
    skew = [ends[0], *([0.0] * (steps - 1)), ends[1]]
    both = list(zip(stations, skew, strict=True))
    left = [sheet.at(station, half, angle) for station, angle in both]
    right = [sheet.at(station, -half, angle) for station, angle in reversed(both)]
    return Polygon((*left, *right), "deck")


def _support(station_m: float, skew_deg: float, sheet: Sheet, half: float) -> list[Shape]:
    ends = (sheet.at(station_m, half + 6.0, skew_deg), sheet.at(station_m, -half - 6.0, skew_deg))
    return [Line(*ends[0], *ends[1], "carried")]


def _fixed_point(unit: Unit, sheet: Sheet) -> list[Shape]:
    """A ring with a cross: what does not move with temperature."""
    if unit.fixed_station_m is None:
        return []
    return fixed_sign(*sheet.at(unit.fixed_station_m))


def _roots(
    plan: PlanOfMovement, lines: dict[str, float], sheet: Sheet, half: float
) -> list[tuple[Moved, XY]]:
    """Return every element with its place: bearings on their lines, a joint beside the deck."""
    found = []
    units_at: dict[int, set[int | None]] = defaultdict(set)
    for row in plan.rows:
        if row.element.kind == ElementKind.BEARING:
            units_at[row.element.support_id].add(row.element.unit_id)
    starts = {each.pk: each.start_station_m for each in plan.units}
    for row in plan.rows:
        element = row.element
        skew = plan.skew_by_support.get(element.support_id, 0.0)
        if element.kind == ElementKind.JOINT:
            found.append((row, sheet.at(element.station_m, half + 14.0, skew)))
            continue
        across = lines.get(row.line, 0.0)
        shift = 0.0
        if len(units_at[element.support_id]) > 1:
            ahead = starts.get(element.unit_id) == element.station_m
            shift = OF_TWO_UNITS if ahead else -OF_TWO_UNITS
        place = sheet.place(element.station_m)
        along = shift + along_skew(across, skew)
        found.append((row, sheet.beside(place, along, across)))
    return found


def _arrows(row: Moved, root: XY, place: Place, px_per_mm: float) -> list[Shape]:
    """Return both arrows of an element, side by side."""
    shapes: list[Shape] = []
    angle = place.heading + math.radians(row.direction_deg)
    expected = _vector(row.expected_mm, row.expected_across_mm, angle, px_per_mm)
    measured = _vector(row.measured_mm, row.measured_across_mm, angle, px_per_mm)
    normal = (-math.sin(angle), -math.cos(angle))
    if expected is not None:
        shapes += open_arrow(_start(root, normal, BESIDE, expected), expected)
    if measured is not None:
        start = _start(root, normal, -BESIDE, measured)
        shapes += filled_arrow(start, measured, f"mark-{NAMES[row.verdict]}")
    return shapes


def _start(root: XY, normal: XY, beside: float, step: XY) -> XY:
    """Return where an arrow begins: beside the axis, clear of the mark."""
    size = math.hypot(*step) / CLEAR
    return (
        root[0] + beside * normal[0] + step[0] / size,
        root[1] + beside * normal[1] + step[1] / size,
    )


def _vector(
    along_mm: float | None, across_mm: float | None, angle: float, px_per_mm: float
) -> XY | None:
    """Return a movement as a step on the drawing; None where none is known or to be seen."""
    if along_mm is None:
        return None
    across = across_mm or 0.0
    x = (along_mm * math.cos(angle) - across * math.sin(angle)) * px_per_mm
    y = -(along_mm * math.sin(angle) + across * math.cos(angle)) * px_per_mm
    return (x, y) if math.hypot(x, y) > SEEN else None


def _label(code: str, root: XY) -> Spots:
    half = width_of(code, "label") / 2
    x, y = root
    return Spots(
        code,
        "label",
        tuple(
            (x + dx, y + dy)
            for dx, dy in (
                (0.0, -8.0), (0.0, 16.0), (-half - 9.0, 4.0), (half + 9.0, 4.0),
                (half + 9.0, -8.0), (-half - 9.0, -8.0),
            )
        ),
    )  # fmt: skip


def _support_label(code: str, place: XY) -> Spots:
    return Spots(code, "label-strong", (place, (place[0], place[1] + 12.0)))
