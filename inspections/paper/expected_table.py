"""What each point of an element should read, against the effective temperature."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from reportlab.platypus import Flowable

from inspections.form_spec import point_words
from inspections.paper.text import NOTE, SMALL, SMALL_BOLD, SMALL_RIGHT, para, table
from inspections.paper.words import word
from inspections.selectors.packet_channels import LINE
from inventory.decimal_mark import with_mark
from inventory.units import Dimension, System, conversion, shown, to_shown
from movement.results import ExpectedLine
from movement.uncertainty import from_accuracy

STEP_K = {System.SI: 10.0, System.US: 20.0 / 1.8}
"""Step of the table: 10 °C, or 20 °F."""
MOST_STEPS = 9
COLDEST_C, HOTTEST_C = -20.0, 40.0
"""Ends of the table where the bridge has no design extremes."""
STILL = 1e-3
"""Change a degree below which a point counts as one that no temperature moves."""
AXIS = {"square": mark("square"), "road": mark("along the road")}
NOT_AIR = mark(
    "By the effective temperature of the deck, not of the air; with the band that a good reading"
    " lies in."
)


def expected_table(
    packet: dict[str, Any], element: dict[str, Any], room: float, system: System
) -> list[Flowable]:
    """Return the table of an element, one row a line that differs, and what does not move."""
    moving: dict[tuple[object, ...], dict[str, Any]] = {}
    still: dict[str, None] = {}
    for each in element["channels"]:
        line = tuple(each[name] for name in LINE)
        if None in line:
            continue
        if abs(each["b"]) < STILL:
            name = channel_name(each, with_point=False)
            told = {"point": name, "value": _cell(packet, each, 0.0, system)}
            still[_("%(point)s: %(value)s at any temperature.") % told] = None
        else:
            moving.setdefault((each["quantity"], each["axis"], *line), each)
    notes = [para(text, NOTE) for text in still]
    if not moving:
        return notes
    columns = temperatures(next(iter(moving.values())), system)
    rows = [
        [para(channel_name(each, with_point=False), SMALL)]
        + [para(_cell(packet, each, at, system), SMALL_RIGHT) for at in columns]
        for each in moving.values()
    ]
    head = [para(_("Expected at"), SMALL_BOLD)] + [
        para(shown(at, Dimension.TEMPERATURE, system), SMALL_RIGHT) for at in columns
    ]
    first = 0.2 * room
    widths = [first] + [(room - first) / len(columns)] * len(columns)
    return [table([head, *rows], widths), *notes, para(_(NOT_AIR), NOTE)]


def temperatures(channel: dict[str, Any], system: System) -> list[float]:
    """Return whole tens of the reader's degrees between the design extremes [degC]."""
    low, high = channel["design_min_c"], channel["design_max_c"]
    low, high = (COLDEST_C if low is None else low), (HOTTEST_C if high is None else high)
    step = STEP_K[system]
    zero = 0.0 if system is System.SI else conversion("degF", Dimension.TEMPERATURE)[1]
    first = math.ceil((low - zero) / step)
    last = math.floor((high - zero) / step)
    every = max(1, math.ceil((last - first + 1) / MOST_STEPS))
    return [zero + step * index for index in range(first, last + 1, every)]


def channel_name(channel: dict[str, Any], *, with_point: bool = True) -> str:
    """Return what is read, where, and along which axis."""
    axis = word(AXIS.get(channel["axis"], ""))
    point = point_words(channel["point"]) if with_point else ""
    return ", ".join(part for part in (channel["label"], point, axis) if part)


def _cell(packet: dict[str, Any], channel: dict[str, Any], at_c: float, system: System) -> str:
    line = ExpectedLine(*(np.float64(channel[name]) for name in LINE))
    u = line.standard_uncertainty(
        at_c, packet["temperature"]["u_shaded_surface_k"], from_accuracy(channel["accuracy"])
    )
    dimension = Dimension(channel["dimension"])
    expected = shown(float(line.value(at_c)), dimension, system)
    half, _, decimals = to_shown(packet["thresholds"]["band_k"] * float(u), dimension, system)
    return f"{expected} ±{with_mark(f'{half:.{decimals}f}')}"
