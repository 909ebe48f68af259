"""The chart of one channel over the years: its readings with the temperature taken out.

Each reading is carried along the fitted slope to the mean temperature of all; what is left
shows a drift, a step or a blunder.  Where no slope could be fitted, the expected one serves.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext as _

from inspections import wording
from inspections.drawing.carried import Carrier, carrier_of
from inspections.drawing.chart_frame import BOTTOM, LEFT, RIGHT, TOP, Frame, value_axis
from inspections.drawing.chart_key import Entry, Key, key_of
from inspections.drawing.chart_labels import boxes_along, date_spots, placed_labels
from inspections.drawing.events import NO_EVENTS, Events, square_of_event
from inspections.drawing.fitted import curves, fit_key, has_fit
from inspections.drawing.marks import verdict_mark
from inspections.drawing.scales import Scale, padded
from inspections.drawing.shapes import Circle, Drawing, Line, Rect, Shape, Spot, Text
from inspections.models import ElementHistory, Verdict
from inspections.wording_history import history_sentence
from inspections.wording_readings import reading_told
from inventory.units import Dimension, System, shown
from movement.expected import BAND_K
from movement.history.findings import Finding
from movement.travel import DAYS_A_YEAR

WIDTH, HEIGHT = 720.0, 300.0
SPOT = 11.0
"""Radius within which a mark is pointed at."""
FEWEST = 2
"""Readings with a temperature below which there is nothing to draw over time."""
SAMPLES = 25
_DAY_S = 86_400.0


@dataclass(frozen=True, slots=True)
class Renewal:
    """The day on which a device was replaced or set anew, and the word for it."""

    on: dt.date
    word: str


@dataclass(frozen=True, slots=True)
class _Carried:
    """A reading carried to the mean temperature, with the half of its band."""

    verdict: Verdict
    year: float
    value: float
    half: float


def time_chart(
    verdicts: list[Verdict],
    history: ElementHistory | None,
    system: System,
    *,
    earlier: Sequence[Verdict] = (),
    renewals: Sequence[Renewal] = (),
    events: Events = NO_EVENTS,
    width: float = WIDTH,
    height: float = HEIGHT,
    on_paper: bool = False,
) -> Drawing | None:
    """Draw the readings of one channel over the years; None where there are too few.

    ``earlier`` are those of devices that stood there before: shown apart, never joined to
    the present one; ``renewals`` tell when and how each of them ended.  Readings of a visit
    among ``events`` stand in a square.  ``on_paper`` leaves out what is told to who points at
    a mark or cannot see the drawing.
    """
    ordered = sorted(verdicts, key=lambda each: each.taken_at)
    carrier = carrier_of(ordered, history)
    usable = [each for each in ordered if each.temperature_c is not None]
    known = [each for each in earlier if each.temperature_c is not None]
    if carrier is None or len(usable) + len(known) < FEWEST:
        return None
    carried = [_carried(each, carrier) for each in usable]
    expected = _expected_at(usable, carrier.to_c)
    before = [_carried(each, carrier) for each in known]
    key = _key(history, expected is not None, width)
    frame = _frame([*before, *carried], expected, width, height - key.more)
    dimension = wording.dimension_of(ordered[-1])
    at = shown(carrier.to_c, Dimension.TEMPERATURE, system)
    name = _("%(reading)s, carried to %(temperature)s") % {
        "reading": wording.name_of(ordered[-1]),
        "temperature": at,
    }
    places = [(frame.x.at(each.year), frame.y.at(each.value)) for each in carried]
    lines = [*_expected(frame, expected), *_drift(frame, history)]
    lines += [
        Line(
            x,
            frame.y.inside(each.value - each.half),
            x,
            frame.y.inside(each.value + each.half),
            "whisker",
        )
        for each, (x, _) in zip(carried, places, strict=True)
    ]
    shapes: list[Shape] = [
        *_step(frame, history),
        *value_axis(frame, name, dimension, system),
        *_years(frame),
        *_renewed(frame, renewals),
        *lines,
        *(Circle(frame.x.at(each.year), frame.y.at(each.value), 4.2, "earlier") for each in before),
        *(
            square_of_event(frame.x.at(each.year), frame.y.at(each.value))
            for each in (*before, *carried)
            if each.verdict.inspection_id in events
        ),
    ]
    shapes += placed_labels(
        date_spots([each.verdict for each in carried], places, events),
        places,
        (frame.left, frame.top, frame.right, frame.bottom),
        boxes_along(lines),
    )
    for each, (x, y) in zip(carried, places, strict=True):
        shapes += verdict_mark(each.verdict.verdict, x, y, 5.2)
        if _is_blunder(each.verdict, history):
            shapes.append(Circle(x, y, 9.5, "ring"))
    if not on_paper:
        shapes += [
            Spot(
                frame.x.at(each.year),
                frame.y.at(each.value),
                SPOT,
                reading_told(
                    each.verdict,
                    system,
                    carried=each.value,
                    event=events.get(each.verdict.inspection_id),
                ).line,
            )
            for each in sorted([*before, *carried], key=lambda each: each.year)
        ]
    shapes += key.shapes(height)
    return Drawing(
        width, height, tuple(shapes), _("%(reading)s, over the years") % {"reading": name},
        "" if on_paper else _description(carried, history, dimension, system),
    )  # fmt: skip


def _renewed(frame: Frame, renewals: Sequence[Renewal]) -> list[Shape]:
    """Return a line on each day on which a device gave way to the next."""
    shapes: list[Shape] = []
    for each in renewals:
        year = _year(dt.datetime.combine(each.on, dt.time(), dt.UTC))
        if frame.x.low <= year <= frame.x.high:
            x = frame.x.at(year)
            shapes += [
                Line(x, frame.top, x, frame.bottom, "renewed"),
                Text(x, frame.top - 4.0, f"{each.word} {each.on}", "label-muted", "middle"),
            ]
    return shapes


def _carried(verdict: Verdict, carrier: Carrier) -> _Carried:
    return _Carried(
        verdict,
        _year(verdict.taken_at),
        carrier.value(verdict),
        BAND_K * carrier.standard_uncertainty(verdict),
    )


def _expected_at(usable: list[Verdict], mean_c: float) -> float | None:
    last = next((each for each in reversed(usable) if None not in (each.a, each.b)), None)
    return None if last is None else last.a + last.b * mean_c


def _frame(carried: list[_Carried], expected: float | None, width: float, height: float) -> Frame:
    left, right, top, bottom = LEFT, width - RIGHT, TOP, height - BOTTOM
    values = [each.value + sign * each.half for each in carried for sign in (-1, 1)]
    low, high = padded([*values, expected], 0.08, 10.0)
    first, last = padded([each.year for each in carried], 0.06, 2.0)
    x, y = Scale(first, last, left, right), Scale(low, high, bottom, top)
    return Frame(x, y, left, right, top, bottom, None)


def _years(frame: Frame) -> list[Shape]:
    first, last = math.ceil(frame.x.low), math.floor(frame.x.high)
    most = max(int((frame.right - frame.left) / 44.0), 1)
    every = max(1, math.ceil((last - first + 1) / most))
    shapes: list[Shape] = [
        Line(frame.left, frame.top, frame.left, frame.bottom, "axis"),
        Line(frame.left, frame.bottom, frame.right, frame.bottom, "axis"),
        Text((frame.left + frame.right) / 2, frame.bottom + 30.0, _("Year"), "label", "middle"),
    ]
    for year in range(first, last + 1):
        if year % every:
            continue
        x = frame.x.at(float(year))
        shapes += [
            Line(x, frame.bottom, x, frame.bottom + 4.0, "tick"),
            Text(x, frame.bottom + 15.0, str(year), "label-tick", "middle"),
        ]
    return shapes


def _expected(frame: Frame, expected: float | None) -> list[Shape]:
    if expected is None:
        return []
    y = frame.y.at(expected)
    return [Line(frame.left, y, frame.right, y, "expected")]


def _drift(frame: Frame, history: ElementHistory | None) -> list[Shape]:
    """Return the fitted trend over time, level where no drift was found."""
    if not has_fit(history) or history.mean_at is None:
        return []
    if history.findings & Finding.STEP and not history.alternatives & Finding.STEP:
        return []  # the level changes: two stretches would be needed, and the step is marked
    years = np.linspace(frame.x.low, frame.x.high, SAMPLES)
    drifts = bool(history.findings & Finding.DRIFT) and history.drift_per_year is not None
    off = years - _year(history.mean_at)
    middle = history.level + (history.drift_per_year * off if drifts else 0.0 * off)
    half = None
    if history.level_high is not None:
        half = np.full(years.shape, history.level_high - history.level)
        if drifts and history.drift_high_per_year is not None:
            half = np.hypot(half, (history.drift_high_per_year - history.drift_per_year) * off)
    return curves(frame, frame.x.at(years).tolist(), middle, half)


def _step(frame: Frame, history: ElementHistory | None) -> list[Shape]:
    """Return the time within which a step happened."""
    if history is None or not history.findings & Finding.STEP:
        return []
    if history.step_after is None or history.step_before is None:
        return []
    first, last = (
        frame.x.inside(_year(dt.datetime.combine(day, dt.time(12), dt.UTC)))
        for day in (history.step_after, history.step_before)
    )
    wide = max(last - first, 3.0)
    return [Rect(first, frame.top, wide, frame.bottom - frame.top, "step")]


def _is_blunder(verdict: Verdict, history: ElementHistory | None) -> bool:
    return (
        history is not None
        and history.blunder_reading_id is not None
        and verdict.reading_id == history.blunder_reading_id
    )


def _key(history: ElementHistory | None, expected: bool, width: float) -> Key:
    entries = [Entry("expected", (_("expected"),))] if expected else []
    stepped = history is not None and history.findings & Finding.STEP
    if stepped:
        entries.append(Entry("step", (_("step within"),)))
    if not stepped or history.alternatives & Finding.STEP:
        untold = Entry("", (_("no line could be fitted yet"),))
        entries += fit_key(history) if has_fit(history) else [untold]
    return key_of(entries, width)


def _year(at: dt.datetime) -> float:
    """Return a time as a year with its part."""
    start = dt.datetime(at.year, 1, 1, tzinfo=dt.UTC)
    return at.year + (at - start).total_seconds() / _DAY_S / DAYS_A_YEAR


def _description(
    carried: list[_Carried], history: ElementHistory | None, dimension: Dimension, system: System
) -> str:
    first, last = carried[0], carried[-1]
    told = _(
        "%(count)s readings from %(first_day)s (%(first)s) to %(last_day)s (%(last)s), all carried"
        " to one temperature."
    ) % {
        "count": len(carried),
        "first_day": f"{first.verdict.taken_at:%Y-%m-%d}",
        "first": shown(first.value, dimension, system),
        "last_day": f"{last.verdict.taken_at:%Y-%m-%d}",
        "last": shown(last.value, dimension, system),
    }
    return f"{told} {history_sentence(history, system)}" if history is not None else told
