"""The chart of one channel: its readings against temperature, with the expected line."""

from __future__ import annotations

from itertools import groupby

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections import wording
from inspections.drawing.chart_frame import (
    BOTTOM,
    LANE,
    LEFT,
    RIGHT,
    TOP,
    Frame,
    axes,
    extremes,
    limit_labels,
    limits,
    limits_of,
)
from inspections.drawing.chart_key import STYLE, Entry, Key, key_of
from inspections.drawing.chart_labels import Box, boxes_along, date_spots, placed_labels
from inspections.drawing.events import NO_EVENTS, Events, square_of_event
from inspections.drawing.fitted import fit_key, fitted_line, has_fit
from inspections.drawing.labels import wrapped
from inspections.drawing.marks import verdict_mark
from inspections.drawing.scales import Scale, padded
from inspections.drawing.shapes import (
    XY,
    Drawing,
    Line,
    Polygon,
    Polyline,
    Shape,
    Spot,
    Text,
)
from inspections.models import ElementHistory, Verdict
from inspections.models.choices import VerdictWord
from inspections.wording_readings import reading_told
from inventory.units import System
from movement.expected import BAND_K
from movement.results import ExpectedLine

WIDTH, HEIGHT = 720.0, 300.0
SPOT = 11.0
"""Radius within which a mark is pointed at."""
BAND_SHARE = 0.25
"""How far the band may widen the plot on each side, as a share of all the rest."""
SAMPLES = 41
"""Places at which the edge of the band is worked out."""


def channels_of(verdicts: list[Verdict]) -> list[list[Verdict]]:
    """Group verdicts by channel: one quantity at one point of one installation, along one
    axis; each group from the oldest to the newest."""
    groups: dict[tuple[object, str, str, str], list[Verdict]] = {}
    for each in verdicts:
        key = (each.installation_id, each.quantity, each.point, each.axis)
        groups.setdefault(key, []).append(each)
    return [sorted(group, key=lambda each: each.taken_at) for group in groups.values()]


def expected_chart(
    verdicts: list[Verdict],
    system: System,
    *,
    history: ElementHistory | None = None,
    events: Events = NO_EVENTS,
    width: float = WIDTH,
    height: float = HEIGHT,
    on_paper: bool = False,
) -> Drawing:
    """Draw the readings of one channel against effective temperature.

    The line and band are those of the last reading that has them; the band holds for a
    temperature taken as that reading's was.  With a ``history`` the line fitted to the
    readings is drawn over them, as of their mean time.  Readings of a visit among ``events``
    stand in a square.  ``on_paper`` leaves out what is told to who points at a mark or cannot
    see the drawing.
    """
    if not verdicts:
        text = _("No reading yet.")
        return Drawing(width, 40.0, (Text(8.0, 24.0, text, "label-muted"),), _("Chart"), text)
    ordered = sorted(verdicts, key=lambda each: each.taken_at)
    basis = next((each for each in reversed(ordered) if _has_line(each)), ordered[-1])
    key = _key(basis, history, width)
    frame = _frame(ordered, basis, width, height - key.more)
    shapes: list[Shape] = [
        *axes(frame, basis, system),
        *extremes(frame, basis, system),
        *_band(frame, basis),
        *limits(frame, basis),
        *(fit := fitted_line(frame, history)),
    ]
    places = [_place(each, ordered, frame) for each in ordered]
    shapes += placed_labels(
        [*limit_labels(frame, basis, system), *date_spots(ordered, places, events)],
        places,
        (frame.left, frame.top, frame.lane_x or frame.right, frame.bottom),
        [*_lines(frame, basis), *boxes_along(fit)],
    )
    for each, (x, y) in zip(ordered, places, strict=True):
        shapes += verdict_mark(each.verdict, x, y, 5.6)
        if each.inspection_id in events:
            shapes.append(square_of_event(x, y))
    if not on_paper:
        shapes += [
            Spot(x, y, SPOT, reading_told(each, system, event=events.get(each.inspection_id)).line)
            for each, (x, y) in zip(ordered, places, strict=True)
        ]
    shapes += key.shapes(height)
    return Drawing(
        width,
        height,
        tuple(shapes),
        _("%(reading)s against effective temperature") % {"reading": wording.name_of(ordered[-1])},
        "" if on_paper else _description(ordered, system),
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


def _frame(ordered: list[Verdict], basis: Verdict, width: float, height: float) -> Frame:
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
    return Frame(
        Scale(low_c, high_c, left, right),
        Scale(low, high, bottom, top),
        left,
        right,
        top,
        bottom,
        right + LANE if lane else None,
    )


def _place(verdict: Verdict, ordered: list[Verdict], frame: Frame) -> tuple[float, float]:
    """Return where a reading's mark lies; without a temperature, in the side lane by time."""
    if verdict.temperature_c is not None:
        return frame.x.at(verdict.temperature_c), frame.y.at(verdict.value)
    without = [each for each in ordered if each.temperature_c is None]
    share = (without.index(verdict) + 1) / (len(without) + 1)
    return frame.right + 6.0 + share * (LANE - 12.0), frame.y.at(verdict.value)


def _band(frame: Frame, basis: Verdict) -> list[Shape]:
    """The expected line in its band; where the band leaves the plot it has no edge."""
    if not _has_line(basis):
        return []
    at_c = np.linspace(frame.x.low, frame.x.high, SAMPLES)
    expected, half = _line(basis).value(at_c), _half_band(basis, at_c)
    xs = frame.x.at(at_c).tolist()

    def curve(values: np.ndarray) -> tuple[XY, ...]:
        ys = frame.y.at(np.clip(values, frame.y.low, frame.y.high))
        return tuple(zip(xs, ys.tolist(), strict=True))

    upper, lower = curve(expected + half), curve(expected - half)
    middle = curve(expected)
    edges = [run for each in (upper, lower) for run in _inner_runs(each, frame)]
    return [
        Polygon((*upper, *reversed(lower)), "band"),
        *(Polyline(run, "band-edge") for run in edges),
        Line(*middle[0], *middle[-1], "expected"),
    ]


def _inner_runs(points: tuple[XY, ...], frame: Frame) -> list[tuple[XY, ...]]:
    """Return the stretches of a curve that lie within the plot."""
    inner = groupby(points, key=lambda each: frame.top < each[1] < frame.bottom)
    runs = [tuple(run) for is_inside, run in inner if is_inside]
    return [run for run in runs if len(run) > 1]


def _lines(frame: Frame, basis: Verdict) -> list[Box]:
    """Return boxes around the drawn lines, for labels to keep clear of."""
    boxes: list[Box] = [
        (frame.left, frame.y.at(limit) - 2.0, frame.right, frame.y.at(limit) + 2.0)
        for limit, _ in limits_of(basis)
    ]
    boxes += [
        (frame.x.at(at_c) - 2.0, frame.top, frame.x.at(at_c) + 2.0, frame.bottom)
        for at_c in (basis.design_min_c, basis.design_max_c)
        if at_c is not None
    ]
    if _has_line(basis):
        at_c = np.linspace(frame.x.low, frame.x.high, 2 * SAMPLES)
        xs, ys = frame.x.at(at_c), frame.y.at(_line(basis).value(at_c))
        boxes += np.column_stack((xs - 4.0, ys - 2.0, xs + 4.0, ys + 2.0)).tolist()
    return boxes


def _key(basis: Verdict, history: ElementHistory | None, width: float) -> Key:
    """Key to line, band and fitted line, for what is drawn."""
    if _has_line(basis):
        band = _("band, k = %(k)s") % {"k": f"{BAND_K:g}"}
        entries = [Entry("expected", (_("expected"),)), Entry("band", (band,))]
    else:
        text = _("No expected line: no setting or baseline, or no fixed point, is on record.")
        entries = [Entry("", (line,)) for line in wrapped(text, STYLE, width - LEFT)]
    if history is not None and has_fit(history):
        entries += fit_key(history)
    return key_of(entries, width)


def _description(ordered: list[Verdict], system: System) -> str:
    last = ordered[-1]
    flagged = sum(each.verdict in (VerdictWord.WATCH, VerdictWord.OUT_OF_RANGE) for each in ordered)
    first = f"{ordered[0].taken_at:%Y-%m-%d}"
    days = first
    if len(ordered) > 1:
        days = _("%(low)s to %(high)s") % {"low": first, "high": f"{last.taken_at:%Y-%m-%d}"}
    count = len(ordered)
    readings = ngettext("%(count)s reading", "%(count)s readings", count) % {"count": count}
    return _(
        "%(readings)s, %(days)s; %(flagged)s to watch or out of range. The last one: %(sentence)s"
    ) % {
        "readings": readings,
        "days": days,
        "flagged": flagged,
        "sentence": wording.sentence(last, system),
    }
