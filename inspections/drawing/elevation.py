"""The elevation strip: a bridge along its stations, with the verdict of every element."""

from __future__ import annotations

from collections import Counter

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.drawing.labels import fitted, width_of
from inspections.drawing.lanes import Column, columns_of, lane
from inspections.drawing.marks import WORST_FIRST, verdict_mark
from inspections.drawing.scales import Scale, padded, ticks
from inspections.drawing.shapes import Circle, Drawing, Line, Polygon, Rect, Shape, Text
from inspections.models.choices import VerdictWord
from inspections.selectors.statuses import BridgeStrip
from inventory.models import Support, Unit
from inventory.models.choices import ElementKind, SupportKind
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence

WIDTH = 720.0
LEFT, RIGHT = 112.0, 682.0
DECK_TOP, DECK_HEIGHT = 26.0, 14.0
GROUND = DECK_TOP + DECK_HEIGHT + 30.0
PLURAL = {
    ElementKind.JOINT: mark("Joints"),
    ElementKind.BEARING: mark("Bearings"),
    ElementKind.RESTRAINT: mark("Restraints"),
}


def elevation_strip(strip: BridgeStrip, system: System) -> Drawing:
    """Draw units, supports and verdict marks of a bridge along its stations."""
    title = _("Elevation strip of %(code)s") % {"code": strip.bridge.code}
    stations = _stations(strip)
    if not stations:
        text = _("No unit, support or element of this bridge is on record yet.")
        return Drawing(WIDTH, 40.0, (Text(8.0, 24.0, text, "label-muted"),), title, text)
    scale = Scale(*padded(stations, 0.015, 10.0), LEFT, RIGHT)
    columns = columns_of(strip, scale)
    shapes: list[Shape] = []
    for unit in strip.units:
        shapes += _unit(unit, scale)
    for support in strip.supports:
        shapes += _support(support, scale)
    for unit in strip.units:
        shapes += _fixed_point(unit, scale)
    shapes += _support_codes(strip.supports, scale, GROUND + 16.0)
    y = GROUND + 26.0
    shapes += _leaders(columns, y)
    for kind in PLURAL:
        if any(each.of(kind) for each in columns):
            lane_shapes, y = lane(columns, kind, _(PLURAL[kind]), y)
            shapes += lane_shapes
    shapes += _axis(scale, system, y + 8.0)
    shapes += _legend(strip, y + 50.0)
    return Drawing(WIDTH, y + 60.0, tuple(shapes), title, _description(strip, system))


def _stations(strip: BridgeStrip) -> list[float]:
    return [
        *(each.start_station_m for each in strip.units),
        *(each.end_station_m for each in strip.units),
        *(each.station_m for each in strip.supports),
        *(each.element.station_m for each in strip.statuses),
    ]


def _unit(unit: Unit, scale: Scale) -> list[Shape]:
    """A bar for the deck with a gap at its ends, and arrows for the way it grows."""
    left, right = scale.at(unit.start_station_m) + 1.5, scale.at(unit.end_station_m) - 1.5
    right = max(right, left + 1.0)
    shapes: list[Shape] = [Rect(left, DECK_TOP, right - left, DECK_HEIGHT, "deck")]
    name = fitted(unit.code, "label-strong", right - left)
    if len(name) > 1 or name == unit.code:
        shapes.append(Text((left + right) / 2, DECK_TOP - 8.0, name, "label-strong", "middle"))
    if unit.fixed_station_m is None:
        return shapes
    fixed = scale.at(unit.fixed_station_m)
    middle = DECK_TOP + DECK_HEIGHT / 2
    for end, direction in ((left, -1.0), (right, 1.0)):
        if abs(end - fixed) > 60.0:
            shapes += _arrow((end + fixed) / 2 - 11.0 * direction, middle, 22.0 * direction)
    return shapes


def _fixed_point(unit: Unit, scale: Scale) -> list[Shape]:
    if unit.fixed_station_m is None:
        return []
    return _fixed_sign(scale.at(unit.fixed_station_m), DECK_TOP + DECK_HEIGHT)


def _fixed_sign(x: float, top: float) -> list[Shape]:
    """An open triangle on a line: what does not move with temperature."""
    foot = top + 11.0
    return [
        Polygon(((x, top), (x + 6.5, foot), (x - 6.5, foot)), "fixed"),
        Line(x - 10.0, foot, x + 10.0, foot, "fixed"),
    ]


def _arrow(x: float, y: float, length: float) -> list[Shape]:
    tip = x + length
    back = tip - (6.0 if length > 0 else -6.0)
    return [
        Line(x, y, back, y, "movement"),
        Polygon(((tip, y), (back, y - 3.2), (back, y + 3.2)), "movement-head"),
    ]


def _support(support: Support, scale: Scale) -> list[Shape]:
    x, top = scale.at(support.station_m), DECK_TOP + DECK_HEIGHT
    if support.kind == SupportKind.HINGE:
        return [Circle(x, DECK_TOP + DECK_HEIGHT / 2, 4.0, "support")]
    half = 7.0 if support.kind == SupportKind.ABUTMENT else 3.0
    return [
        Rect(x - half, top, 2 * half, GROUND - top, "support"),
        Line(x - half - 5.0, GROUND, x + half + 5.0, GROUND, "axis"),
    ]


def _support_codes(supports: list[Support], scale: Scale, y: float) -> list[Shape]:
    """Codes of the supports, the two ends first, then whichever still have room."""
    shapes: list[Shape] = []
    taken: list[tuple[float, float]] = []
    for support in [*supports[:1], *supports[-1:], *supports[1:-1]]:
        half = width_of(support.code, "label") / 2
        x = min(max(scale.at(support.station_m), half + 2.0), WIDTH - half - 2.0)
        if any(x - half < right + 4.0 and x + half > left - 4.0 for left, right in taken):
            continue
        taken.append((x - half, x + half))
        shapes.append(Text(x, y, support.code, "label", "middle"))
    return shapes


def _leaders(columns: list[Column], y: float) -> list[Shape]:
    """Lines that tie a column of marks to its station wherever it had to move aside."""
    return [
        Line(each.true_x, GROUND + 2.0, each.x, y, "leader")
        for each in columns
        if abs(each.x - each.true_x) > 2.0
    ]


def _axis(scale: Scale, system: System, y: float) -> list[Shape]:
    found, unit = ticks(scale.low, scale.high, Dimension.STATION, system, 8)
    shapes: list[Shape] = [Line(LEFT, y, RIGHT, y, "axis")]
    for value, text in found:
        x = scale.at(value)
        shapes += [Line(x, y, x, y + 4.0, "tick"), Text(x, y + 15.0, text, "label-tick", "middle")]
    shapes.append(Text(8.0, y + 15.0, _("Station, %(unit)s") % {"unit": unit}, "label-tick"))
    return shapes


def _legend(strip: BridgeStrip, y: float) -> list[Shape]:
    """Key of the marks with their numbers, of the fixed point and of the arrows."""
    counts = Counter(each.verdict for each in strip.statuses)
    shapes: list[Shape] = []
    x = 8.0
    for word in WORST_FIRST:
        text = f"{in_sentence(word.label)}: {counts[word]}"
        shapes += verdict_mark(word, x + 7.0, y - 4.0, 6.0)
        shapes.append(Text(x + 18.0, y, text, "label"))
        x += 18.0 + width_of(text, "label") + 18.0
    if any(each.fixed_station_m is not None for each in strip.units):
        shapes += _fixed_sign(x + 10.0, y - 10.0)
        shapes.append(Text(x + 24.0, y, words := _("fixed point"), "label"))
        x += 24.0 + width_of(words, "label") + 14.0
        shapes += _arrow(x, y - 4.0, 20.0)
        shapes.append(Text(x + 25.0, y, _("when warmer"), "label"))
    return shapes


def _description(strip: BridgeStrip, system: System) -> str:
    counts = Counter(each.verdict for each in strip.statuses)
    told = ", ".join(f"{counts[word]} {in_sentence(word.label)}" for word in WORST_FIRST)
    parts = [
        _("%(units)s units, %(supports)s supports and %(elements)s elements: %(verdicts)s.")
        % {
            "units": len(strip.units),
            "supports": len(strip.supports),
            "elements": len(strip.statuses),
            "verdicts": told,
        }
    ]
    flagged = [
        _("%(element)s at %(station)s (%(verdict)s)")
        % {
            "element": each.element.code,
            "station": shown(each.element.station_m, Dimension.STATION, system),
            "verdict": in_sentence(VerdictWord(each.verdict).label),
        }
        for each in strip.statuses
        if each.verdict in (VerdictWord.OUT_OF_RANGE, VerdictWord.WATCH)
    ]
    if flagged:
        parts.append(_("Flagged: %(elements)s.") % {"elements": ", ".join(flagged)})
    return " ".join(parts)
