"""The plot of a chart of one channel: its frame, its axes, its limits and extremes."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from inspections import wording
from inspections.drawing.chart_labels import Spots
from inspections.drawing.scales import Scale, ticks
from inspections.drawing.shapes import Line, Lines, Rect, Shape, Text
from inspections.models import Verdict
from inventory.units import Dimension, System, shown

LEFT, RIGHT, TOP, BOTTOM = 62.0, 14.0, 40.0, 54.0
LANE = 74.0
"""Width of the side lane of readings without a temperature."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Where the plot lies on the drawing."""

    x: Scale
    y: Scale
    left: float
    right: float
    top: float
    bottom: float
    lane_x: float | None


def value_axis(frame: Frame, name: str, dimension: Dimension, system: System) -> list[Shape]:
    """Return the axis of values with its grid, its unit and its name."""
    shapes: list[Shape] = []
    wanted = max(int((frame.bottom - frame.top) / 24.0), 2)
    found, unit = ticks(frame.y.low, frame.y.high, dimension, system, wanted)
    for value, text in found:
        y = frame.y.at(value)
        shapes += [
            Line(frame.left, y, frame.right, y, "grid"),
            Text(frame.left - 6.0, y + 3.6, text, "label-tick", "end"),
        ]
    shapes.append(Text(4.0, 13.0, f"{name} [{unit}]" if unit else name, "label-strong"))
    return shapes


def axes(frame: Frame, basis: Verdict, system: System) -> list[Shape]:
    """Return both axes, and the lane beside the plot where there is one."""
    shapes = value_axis(frame, wording.name_of(basis), wording.dimension_of(basis), system)
    wanted = max(int((frame.right - frame.left) / 80.0), 2)
    found, unit = ticks(frame.x.low, frame.x.high, Dimension.TEMPERATURE, system, wanted)
    for value, text in found:
        x = frame.x.at(value)
        shapes += [
            Line(x, frame.bottom, x, frame.bottom + 4.0, "tick"),
            Text(x, frame.bottom + 15.0, text, "label-tick", "middle"),
        ]
    middle = (frame.left + frame.right) / 2
    title = _("Effective temperature [%(unit)s]") % {"unit": unit}
    shapes += [
        Text(middle, frame.bottom + 30.0, title, "label", "middle"),
        Line(frame.left, frame.top, frame.left, frame.bottom, "axis"),
        Line(frame.left, frame.bottom, frame.right, frame.bottom, "axis"),
    ]
    if frame.lane_x is not None:
        middle = (frame.right + frame.lane_x) / 2
        shapes += [
            Rect(frame.right + 4.0, frame.top, LANE - 4.0, frame.bottom - frame.top, "lane"),
            Text(middle, frame.bottom + 15.0, _("without"), "label-tick", "middle"),
            Text(middle, frame.bottom + 27.0, _("temperature"), "label-tick", "middle"),
        ]
    return shapes


def extremes(frame: Frame, basis: Verdict, system: System) -> list[Shape]:
    """Return the design extremes of the effective temperature."""
    shapes: list[Shape] = []
    for word, at_c, anchor, shift in (
        (_("coldest"), basis.design_min_c, "start", -3.0),
        (_("hottest"), basis.design_max_c, "end", 3.0),
    ):
        if at_c is None:
            continue
        x = frame.x.at(at_c)
        text = f"{word} {shown(at_c, Dimension.TEMPERATURE, system)}"
        shapes += [
            Line(x, frame.top - 8.0, x, frame.bottom, "extreme"),
            Text(x + shift, frame.top - 11.0, text, "label-muted", anchor),
        ]
    return shapes


def limits(frame: Frame, basis: Verdict) -> list[Shape]:
    """Return the limits, each hatched on its outer side."""
    shapes: list[Shape] = []
    for limit, outward in limits_of(basis):
        y = frame.y.at(limit)
        count = int((frame.right - frame.left) / 8.0)
        ends = [
            end
            for x in (frame.left + 8.0 * n for n in range(count))
            for end in ((x, y), (x + 6.0, y + 6.0 * outward))
        ]
        shapes += [Lines(tuple(ends), "hatch"), Line(frame.left, y, frame.right, y, "limit")]
    return shapes


def limits_of(verdict: Verdict) -> list[tuple[float, float]]:
    """Return each limit with the side that its hatch lies on (1: below, -1: above)."""
    return [
        (limit, outward)
        for limit, outward in ((verdict.limit_lower, 1.0), (verdict.limit_upper, -1.0))
        if limit is not None
    ]


def limit_labels(frame: Frame, basis: Verdict, system: System) -> list[Spots]:
    """Return for each limit its label and where on its inner side it may stand."""
    found = []
    for limit, outward in limits_of(basis):
        text = _("limit %(value)s") % {"value": shown(limit, wording.dimension_of(basis), system)}
        base = frame.y.at(limit) + (-5.0 if outward > 0 else 12.0)
        wide = frame.right - frame.left
        places = [frame.left + share * wide for share in (0.82, 0.18, 0.66, 0.34, 0.5)]
        found.append(Spots(text, "label-limit", tuple((x, base) for x in places)))
    return found
