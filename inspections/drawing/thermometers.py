"""Thermometers side by side: how warm the deck was then, and at the reading."""

from __future__ import annotations

import datetime as dt

from django.utils.dateformat import format as formatted
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from inspections.drawing.shapes import Circle, Rect, Shape, Text
from inspections.plain.amounts import temperature
from inspections.plain.facts import Measured
from inventory.units import System

LEFT, RIGHT = 463.0, 527.0
TOP, BOTTOM = 28.0, 128.0
TUBE, BULB = 5.0, 10.0
COLDEST_C, HOTTEST_C = -30.0, 60.0
NO_FIGURE = gettext_lazy("not taken")


def thermometers(measured: Measured, system: System) -> list[Shape]:
    """Return one thermometer for the reading, and one for what it is compared with."""
    then = measured.then
    head = Text((LEFT + RIGHT) / 2, 13.0, _("How warm it was"), "label-muted", "middle")
    x = (LEFT + RIGHT) / 2 if then is None else RIGHT
    now = _thermometer(x, measured.temperature_c, measured.on, system)
    if then is None:
        return [head, *now]
    return [head, *_thermometer(LEFT, then.temperature_c, then.on, system), *now]


def _thermometer(x: float, at_c: float | None, on: dt.date | None, system: System) -> list[Shape]:
    shapes: list[Shape] = [
        Rect(x - TUBE, TOP, 2 * TUBE, BOTTOM - TOP, "support"),
        Circle(x, BOTTOM + BULB - 3.0, BULB, "support"),
    ]
    if at_c is not None:
        share = (min(max(at_c, COLDEST_C), HOTTEST_C) - COLDEST_C) / (HOTTEST_C - COLDEST_C)
        height = 8.0 + share * (BOTTOM - TOP - 14.0)
        shapes += [
            Rect(x - TUBE + 2.5, BOTTOM - height, 2 * TUBE - 5.0, height, "warmth"),
            Circle(x, BOTTOM + BULB - 3.0, BULB - 3.0, "warmth"),
        ]
    when = pgettext("a day", "then") if on is None else formatted(on, "M Y")
    told = str(NO_FIGURE) if at_c is None else temperature(at_c, system)
    shapes += [
        Text(x, BOTTOM + 34.0, told, "label-muted" if at_c is None else "label-strong", "middle"),
        Text(x, BOTTOM + 49.0, when, "label-muted", "middle"),
    ]
    return shapes
