"""The key of a plan of movement, and its words for those who cannot see it."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from inspections.drawing.arrows import filled_arrow, open_arrow
from inspections.drawing.labels import width_of
from inspections.drawing.marks import WORST_FIRST, verdict_mark
from inspections.drawing.shapes import Circle, Line, Shape, Text
from inspections.models.choices import VerdictWord
from inspections.plan_of_movement import At, Moved, PlanOfMovement
from inspections.wording_figures import grouped
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence

FLAGGED = (VerdictWord.OUT_OF_RANGE, VerdictWord.WATCH)


def key_of(plan: PlanOfMovement, factor: float, y: float) -> list[Shape]:
    """Return the key: both arrows, the fixed point, the factor and the marks."""
    shapes: list[Shape] = []
    x = 8.0
    start, step = (x, y - 4.0), (24.0, 0.0)
    shapes += open_arrow(start, step)
    x = _worded(shapes, x + 30.0, y, _("expected since the setting"))
    shapes += filled_arrow((x, y - 4.0), step, "mark-in-range")
    x = _worded(
        shapes, x + 30.0, y, _("measured") if plan.at == At.VISIT else _("measured, carried there")
    )
    shapes += fixed_sign(x + 8.0, y - 4.0)
    x = _worded(shapes, x + 20.0, y, _("thermal fixed point"))
    x = 8.0
    for word in WORST_FIRST:
        shapes += verdict_mark(word, x + 7.0, y + 16.0, 5.0)
        x = _worded(shapes, x + 18.0, y + 20.0, in_sentence(word.label))
    told = _("movements %(factor)s times larger; across not to scale") % {"factor": grouped(factor)}
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
        _("%(element)s %(verdict)s: expected %(expected)s, measured %(measured)s")
        % {
            "element": each.element.code,
            "verdict": in_sentence(VerdictWord(each.verdict).label),
            "expected": shown(each.expected_mm, Dimension.LENGTH, system, sign=True),
            "measured": shown(each.measured_mm, Dimension.LENGTH, system, sign=True),
        }
        for each in rows
        if each.verdict in FLAGGED
    ]
    read = sum(each.measured_mm is not None for each in rows)
    parts = [
        _(
            "%(units)s units and %(supports)s supports from above, increasing station to the"
            " right; movements of %(read)s of %(count)s bearings and joints, drawn %(factor)s"
            " times larger; plus is towards increasing station."
        )
        % {
            "units": len(plan.units),
            "supports": len(plan.supports),
            "read": read,
            "count": len(rows),
            "factor": grouped(factor),
        }
    ]
    if told:
        parts.append(_("Flagged: %(elements)s.") % {"elements": "; ".join(told)})
    return " ".join(parts)


def when_words(plan: PlanOfMovement) -> str:
    """Return the temperature that the plan is of."""
    return {
        At.VISIT: _("in the visit"),
        At.COLDEST: _("at the coldest design temperature"),
        At.HOTTEST: _("at the hottest design temperature"),
    }[plan.at]


def fixed_sign(x: float, y: float) -> list[Shape]:
    """Return a ring with a cross: what does not move with temperature."""
    return [
        Circle(x, y, 6.5, "fixed"),
        Line(x - 6.5, y, x + 6.5, y, "fixed"),
        Line(x, y - 6.5, x, y + 6.5, "fixed"),
    ]
