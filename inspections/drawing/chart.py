"""The chart of one channel: its readings against temperature, with the expected line."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

import numpy as np

from inspections import wording
from inspections.drawing.chart_labels import Box, Spots, date_spots, placed_labels
from inspections.drawing.labels import width_of
from inspections.drawing.marks import verdict_mark
from inspections.drawing.scales import Scale, padded, ticks
from inspections.drawing.shapes import XY, Drawing, Line, Polygon, Polyline, Rect, Shape, Text
from inspections.models import Verdict
from inspections.models.choices import VerdictWord
from inventory.units import Dimension, System, shown
from movement.expected import BAND_K
from movement.results import ExpectedLine

WIDTH, HEIGHT = 720.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 62.0, 14.0, 40.0, 54.0
LANE = 74.0
"""Width of the side lane of readings without a temperature."""
BAND_SHARE = 0.25
"""How far the band may widen the plot on each side, as a share of all the rest."""
SAMPLES = 41
"""Places at which the edge of the band is worked out."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the plot lies on the drawing."""

    x: Scale
    y: Scale
    left: float
    right: float
    top: float
    bottom: float
    lane_x: float | None


def channels_of(verdicts: list[Verdict]) -> list[list[Verdict]]:
    """Group verdicts by channel: one quantity at one point of one installation, along one
    axis; each group from the oldest to the newest."""
    groups: dict[tuple[object, str, str, str], list[Verdict]] = {}
    for each in verdicts:
        key = (each.installation_id, each.quantity, each.point, each.axis)
        groups.setdefault(key, []).append(each)
    return [sorted(group, key=lambda each: each.taken_at) for group in groups.values()]


def expected_chart(
    verdicts: list[Verdict], system: System, *, width: float = WIDTH, height: float = HEIGHT
) -> Drawing:
    """Draw the readings of one channel against effective temperature.

    The line and band are those of the last reading that has them; the band holds for a
    temperature taken as that reading's was.
    """
    if not verdicts:
        text = "No reading yet."
        return Drawing(width, 40.0, (Text(8.0, 24.0, text, "label-muted"),), "Chart", text)
    ordered = sorted(verdicts, key=lambda each: each.taken_at)
    basis = next((each for each in reversed(ordered) if _has_line(each)), ordered[-1])
    frame = _frame(ordered, basis, width, height)
    shapes: list[Shape] = [
        *_axes(frame, basis, system),
        *_extremes(frame, basis, system),
        *_band(frame, basis),
        *_limits(frame, basis),
    ]
    places = [_place(each, ordered, frame) for each in ordered]
    shapes += placed_labels(
        [*_limit_labels(frame, basis, system), *date_spots(ordered, places)],
        places,
        (frame.left, frame.top, frame.lane_x or frame.right, frame.bottom),
        _lines(frame, basis),
    )
    for each, (x, y) in zip(ordered, places, strict=True):
        shapes += verdict_mark(each.verdict, x, y, 5.6)
    shapes += _key(basis, width, height)
    return Drawing(
        width,
        height,
        tuple(shapes),
        f"{wording.name_of(ordered[-1])} against effective temperature",
        _description(ordered, system),
    )


def _has_line(verdict: Verdict) -> bool:
    return None not in (verdict.a, verdict.b, verdict.c0, verdict.c1, verdict.c2)


def _line(verdict: Verdict) -> ExpectedLine:
    return ExpectedLine(
        *(np.array(getattr(verdict, name), dtype=float) for name in ("a", "b", "c0", "c1", "c2"))
    )


def _half_band(basis: Verdict, temperature_c: np.ndarray) -> np.ndarray:
    return BAND_K * _line(basis).standard_uncertainty(
        temperature_c, basis.u_temperature_k or 0.0, basis.u_reading or 0.0
    )


def _frame(ordered: list[Verdict], basis: Verdict, width: float, height: float) -> _Frame:
    lane = any(each.temperature_c is None for each in ordered)
    left, top, bottom = LEFT, TOP, height - BOTTOM
    right = width - RIGHT - (LANE if lane else 0.0)
    low_c, high_c = padded(
        [*(each.temperature_c for each in ordered), basis.design_min_c, basis.design_max_c],
        0.05,
        20.0,
    )
    values = [*(each.value for each in ordered), basis.limit_lower, basis.limit_upper]
    if _has_line(basis):
        ends = np.array([low_c, high_c])
        expected, half = _line(basis).value(ends), _half_band(basis, ends)
        values += [*expected]
        # A band far wider than all the rest would press the rest flat: show its middle.
        known = [each for each in values if each is not None]
        least, most = min(known), max(known)
        beyond = BAND_SHARE * (most - least) if most > least else np.inf
        values += [max(min(expected - half), least - beyond)]
        values += [min(max(expected + half), most + beyond)]
    low, high = padded(values, 0.06, 10.0)
    return _Frame(
        Scale(low_c, high_c, left, right),
        Scale(low, high, bottom, top),
        left,
        right,
        top,
        bottom,
        right + LANE if lane else None,
    )


def _place(verdict: Verdict, ordered: list[Verdict], frame: _Frame) -> tuple[float, float]:
    """Return where a reading's mark lies; without a temperature, in the side lane by time."""
    if verdict.temperature_c is not None:
        return frame.x.at(verdict.temperature_c), frame.y.at(verdict.value)
    without = [each for each in ordered if each.temperature_c is None]
    share = (without.index(verdict) + 1) / (len(without) + 1)
    return frame.right + 6.0 + share * (LANE - 12.0), frame.y.at(verdict.value)


def _axes(frame: _Frame, basis: Verdict, system: System) -> list[Shape]:
    dimension = wording.dimension_of(basis)
    shapes: list[Shape] = []
    wanted = max(int((frame.bottom - frame.top) / 24.0), 2)
    found, unit = ticks(frame.y.low, frame.y.high, dimension, system, wanted)
    for value, text in found:
        y = frame.y.at(value)
        shapes += [
            Line(frame.left, y, frame.right, y, "grid"),
            Text(frame.left - 6.0, y + 3.6, text, "label-tick", "end"),
        ]
    name = f"{wording.name_of(basis)} [{unit}]"
    shapes.append(Text(4.0, 13.0, name, "label-strong"))
    wanted = max(int((frame.right - frame.left) / 80.0), 2)
    found, unit = ticks(frame.x.low, frame.x.high, Dimension.TEMPERATURE, system, wanted)
    for value, text in found:
        x = frame.x.at(value)
        shapes += [
            Line(x, frame.bottom, x, frame.bottom + 4.0, "tick"),
            Text(x, frame.bottom + 15.0, text, "label-tick", "middle"),
        ]
    middle = (frame.left + frame.right) / 2
    title = f"Effective temperature [{unit}]"
    shapes += [
        Text(middle, frame.bottom + 30.0, title, "label", "middle"),
        Line(frame.left, frame.top, frame.left, frame.bottom, "axis"),
        Line(frame.left, frame.bottom, frame.right, frame.bottom, "axis"),
    ]
    if frame.lane_x is not None:
        middle = (frame.right + frame.lane_x) / 2
        shapes += [
            Rect(frame.right + 4.0, frame.top, LANE - 4.0, frame.bottom - frame.top, "lane"),
            Text(middle, frame.bottom + 15.0, "without", "label-tick", "middle"),
            Text(middle, frame.bottom + 27.0, "temperature", "label-tick", "middle"),
        ]
    return shapes


def _extremes(frame: _Frame, basis: Verdict, system: System) -> list[Shape]:
    shapes: list[Shape] = []
    for word, at_c, anchor, shift in (
        ("coldest", basis.design_min_c, "start", -3.0),
        ("hottest", basis.design_max_c, "end", 3.0),
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


def _band(frame: _Frame, basis: Verdict) -> list[Shape]:
    """The expected line in its band; where the band leaves the plot it has no edge."""
    if not _has_line(basis):
        return []
    at_c = np.linspace(frame.x.low, frame.x.high, SAMPLES)
    expected, half = _line(basis).value(at_c), _half_band(basis, at_c)
    xs = [frame.x.at(each) for each in at_c]

    def curve(values: np.ndarray) -> tuple[XY, ...]:
        return tuple((x, frame.y.inside(float(y))) for x, y in zip(xs, values, strict=True))

    upper, lower = curve(expected + half), curve(expected - half)
    middle = curve(expected)
    edges = [run for each in (upper, lower) for run in _inner_runs(each, frame)]
    return [
        Polygon((*upper, *reversed(lower)), "band"),
        *(Polyline(run, "band-edge") for run in edges),
        Line(*middle[0], *middle[-1], "expected"),
    ]


def _inner_runs(points: tuple[XY, ...], frame: _Frame) -> list[tuple[XY, ...]]:
    """Return the stretches of a curve that lie within the plot."""
    inner = groupby(points, key=lambda each: frame.top < each[1] < frame.bottom)
    runs = [tuple(run) for is_inside, run in inner if is_inside]
    return [run for run in runs if len(run) > 1]


def _lines(frame: _Frame, basis: Verdict) -> list[Box]:
    """Return boxes around the drawn lines, for labels to keep clear of."""
    boxes: list[Box] = [
        (frame.left, frame.y.at(limit) - 2.0, frame.right, frame.y.at(limit) + 2.0)
        for limit, _ in _limits_of(basis)
    ]
    boxes += [
        (frame.x.at(at_c) - 2.0, frame.top, frame.x.at(at_c) + 2.0, frame.bottom)
        for at_c in (basis.design_min_c, basis.design_max_c)
        if at_c is not None
    ]
    if _has_line(basis):
        at_c = np.linspace(frame.x.low, frame.x.high, 2 * SAMPLES)
        for t, value in zip(at_c, _line(basis).value(at_c), strict=True):
            x, y = frame.x.at(t), frame.y.at(value)
            boxes.append((x - 4.0, y - 2.0, x + 4.0, y + 2.0))
    return boxes


def _limits(frame: _Frame, basis: Verdict) -> list[Shape]:
    shapes: list[Shape] = []
    for limit, outward in _limits_of(basis):
        y = frame.y.at(limit)
        count = int((frame.right - frame.left) / 8.0)
        shapes += [
            Line(frame.left + 8.0 * n, y, frame.left + 8.0 * n + 6.0, y + 6.0 * outward, "hatch")
            for n in range(count)
        ]
        shapes.append(Line(frame.left, y, frame.right, y, "limit"))
    return shapes


def _limits_of(verdict: Verdict) -> list[tuple[float, float]]:
    """Return each limit with the side that its hatch lies on (1: below, -1: above)."""
    return [
        (limit, outward)
        for limit, outward in ((verdict.limit_lower, 1.0), (verdict.limit_upper, -1.0))
        if limit is not None
    ]


def _limit_labels(frame: _Frame, basis: Verdict, system: System) -> list[Spots]:
    """Return for each limit its label and where on its inner side it may stand."""
    found = []
    for limit, outward in _limits_of(basis):
        text = f"limit {shown(limit, wording.dimension_of(basis), system)}"
        base = frame.y.at(limit) + (-5.0 if outward > 0 else 12.0)
        wide = frame.right - frame.left
        places = [frame.left + share * wide for share in (0.82, 0.18, 0.66, 0.34, 0.5)]
        found.append(Spots(text, "label-limit", tuple((x, base) for x in places)))
    return found


def _key(basis: Verdict, width: float, height: float) -> list[Shape]:
    """Key to line and band at the foot, for what is drawn."""
    if not _has_line(basis):
        text = "No expected line: no setting or baseline, or no fixed point, is on record."
        return [Text(LEFT, height - 6.0, text, "label-muted")]
    y = height - 9.0
    shapes: list[Shape] = [
        Line(LEFT, y, LEFT + 22.0, y, "expected"),
        Text(LEFT + 27.0, y + 3.6, "expected", "label-muted"),
    ]
    x = LEFT + 27.0 + width_of("expected", "label-muted") + 14.0
    shapes += [
        Rect(x, y - 5.0, 22.0, 10.0, "band"),
        Line(x, y - 5.0, x + 22.0, y - 5.0, "band-edge"),
        Line(x, y + 5.0, x + 22.0, y + 5.0, "band-edge"),
        Text(x + 27.0, y + 3.6, f"band, k = {BAND_K:g}", "label-muted"),
    ]
    return shapes


def _description(ordered: list[Verdict], system: System) -> str:
    last = ordered[-1]
    flagged = sum(each.verdict in (VerdictWord.WATCH, VerdictWord.OUT_OF_RANGE) for each in ordered)
    first = f"{ordered[0].taken_at:%Y-%m-%d}"
    until = "" if len(ordered) == 1 else f" to {last.taken_at:%Y-%m-%d}"
    count = "1 reading" if len(ordered) == 1 else f"{len(ordered)} readings"
    return (
        f"{count}, {first}{until}; {flagged} to watch or out of range."
        f" The last one: {wording.sentence(last, system)}"
    )
