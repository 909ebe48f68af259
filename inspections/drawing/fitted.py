"""The line fitted to the readings of a history, over the expected one or over time."""

from __future__ import annotations

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.drawing.chart_frame import Frame
from inspections.drawing.chart_key import Entry
from inspections.drawing.shapes import XY, Polyline, Shape
from inspections.models import ElementHistory

SAMPLES = 41
LINE_WORDS = (mark("fitted to the readings"), mark("fitted"))
EDGE_WORDS = (mark("its 95 % interval"),)
"""What the key says, in the first wording that finds room."""


def has_fit(history: ElementHistory | None) -> bool:
    """Return whether a line could be fitted."""
    return history is not None and None not in (
        history.level,
        history.slope_per_c,
        history.mean_temperature_c,
    )


def fitted_line(frame: Frame, history: ElementHistory | None) -> list[Shape]:
    """Return the fitted line against temperature, between the edges of its interval.

    Level and slope are taken as independent, which they are at the mean temperature.
    """
    if history is None or not has_fit(history):
        return []
    at_c = np.linspace(frame.x.low, frame.x.high, SAMPLES)
    off = at_c - history.mean_temperature_c
    middle = history.level + history.slope_per_c * off
    half = None
    if None not in (history.level_high, history.slope_high_per_c):
        half = np.hypot(
            history.level_high - history.level,
            (history.slope_high_per_c - history.slope_per_c) * off,
        )
    return curves(frame, frame.x.at(at_c).tolist(), middle, half)


def curves(
    frame: Frame, xs: list[float], middle: np.ndarray, half: np.ndarray | None
) -> list[Shape]:
    """Return a fitted curve and the edges of its interval, as far as they lie in the plot."""
    shapes: list[Shape] = []
    if half is not None:
        for edge in (middle - half, middle + half):
            shapes += [Polyline(run, "fitted-edge") for run in runs(frame, xs, edge)]
    return [*shapes, *(Polyline(run, "fitted") for run in runs(frame, xs, middle))]


def runs(frame: Frame, xs: list[float], values: np.ndarray) -> list[tuple[XY, ...]]:
    """Return the stretches of a curve that lie within the plot."""
    found: list[list[XY]] = [[]]
    for x, y in zip(xs, frame.y.at(values).tolist(), strict=True):
        if frame.top <= y <= frame.bottom:
            found[-1].append((x, y))
        elif found[-1]:
            found.append([])
    return [tuple(run) for run in found if len(run) > 1]


def fit_key(history: ElementHistory) -> list[Entry]:
    """Return the key to the fitted line, and to its interval where it has one."""
    told = [("fitted", LINE_WORDS)]
    if history.level_high is not None:
        told.append(("fitted-edge", EDGE_WORDS))
    return [Entry(style, tuple(map(_, wordings))) for style, wordings in told]
