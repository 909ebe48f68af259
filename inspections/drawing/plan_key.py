"""The key of a plan of movement, and its words for those who cannot see it."""

from __future__ import annotations

from collections.abc import Sequence

from inspections.drawing.arrows import filled_arrow, open_arrow
from inspections.drawing.labels import width_of
from inspections.drawing.marks import WORST_FIRST, verdict_mark
from inspections.drawing.shapes import Circle, Line, Shape, Text
from inspections.models.choices import VerdictWord
from inspections.plan_of_movement import At, Moved, PlanOfMovement
from inventory.units import Dimension, System, shown

FLAGGED = (VerdictWord.OUT_OF_RANGE, VerdictWord.WATCH)


def key_of(plan: PlanOfMovement, factor: float, y: float) -> list[Shape]:
    """Return the key: both arrows, the fixed point, the factor and the marks."""
    shapes: list[Shape] = []
    x = 8.0
    start, step = (x, y - 4.0), (24.0, 0.0)
    shapes += open_arrow(start, step)
    x = _worded(shapes, x + 30.0, y, "expected since the setting")
    shapes += filled_arrow((x, y - 4.0), step, "mark-in-range")
    x = _worded(
        shapes, x + 30.0, y, "measured" if plan.at == At.VISIT else "measured, carried there"
    )
    shapes += fixed_sign(x + 8.0, y - 4.0)
    x = _worded(shapes, x + 20.0, y, "thermal fixed point")
    x = 8.0
    for word in WORST_FIRST:
        shapes += verdict_mark(word, x + 7.0, y + 16.0, 5.0)
        x = _worded(shapes, x + 18.0, y + 20.0, word.label.lower())
    told = f"movements {factor:,.0f} times larger; across not to scale"
    shapes.append(Text(x, y + 20.0, told, "label-muted"))
    return shapes


def _worded(shapes: list[Shape], x: float, y: float, text: str) -> float:
    """Write a word of the key and return where the next sign may begin."""
    shapes.append(Text(x, y, text, "label"))
    return x + width_of(text, "label") + 16.0


def description_of(plan: PlanOfMovement, factor: float, system: System) -> str:
    """Return the plan in words, what is flagged with its numbers."""
    rows: Sequence[Moved] = plan.rows
    told = [
        f"{each.element.code} {VerdictWord(each.verdict).label.lower()}:"
        f" expected {shown(each.expected_mm, Dimension.LENGTH, system, sign=True)},"
        f" measured {shown(each.measured_mm, Dimension.LENGTH, system, sign=True)}"
        for each in rows
        if each.verdict in FLAGGED
    ]
    read = sum(each.measured_mm is not None for each in rows)
    parts = [
        f"{len(plan.units)} units and {len(plan.supports)} supports from above, increasing station"
        f" to the right; movements of {read} of {len(rows)} bearings and joints, drawn"
        f" {factor:,.0f} times larger; plus is towards increasing station."
    ]
    if told:
        parts.append(f"Flagged: {'; '.join(told)}.")
    return " ".join(parts)


def when_words(plan: PlanOfMovement) -> str:
    """Return the temperature that the plan is of."""
    return {
        At.VISIT: "in the visit",
        At.COLDEST: "at the coldest design temperature",
        At.HOTTEST: "at the hottest design temperature",
    }[plan.at]


def fixed_sign(x: float, y: float) -> list[Shape]:
    """Return a ring with a cross: what does not move with temperature."""
    return [
        Circle(x, y, 6.5, "fixed"),
        Line(x - 6.5, y, x + 6.5, y, "fixed"),
        Line(x, y - 6.5, x, y + 6.5, "fixed"),
    ]
