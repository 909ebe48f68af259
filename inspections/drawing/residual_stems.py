"""Residuals of one unit along its stations: a stem for each reading, with its band.

A pier that moved shows as a whole group of stems away from the line, a line of bearings
that does not follow as stems that grow with the distance from the fixed point.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inspections.drawing.chart_labels import Spots, placed_labels
from inspections.drawing.labels import width_of
from inspections.drawing.marks import verdict_mark
from inspections.drawing.scales import Scale, padded, spread, ticks
from inspections.drawing.shapes import Drawing, Line, Rect, Shape, Text
from inspections.models.choices import VerdictWord
from inventory.models import Unit
from inventory.units import Dimension, System, shown
from movement.expected import BAND_K

WIDTH = 720.0
LEFT, RIGHT = 62.0, 700.0
TOP, BOTTOM = 30.0, 190.0
STEP = 13.0
"""Between the stems of one station."""
FLAGGED = (VerdictWord.OUT_OF_RANGE, VerdictWord.WATCH)


@dataclass(frozen=True, slots=True)
class Stem:
    """Residual of one reading as a movement of the deck, ahead positive [mm]."""

    code: str
    station_m: float
    residual_mm: float
    u_mm: float
    verdict: VerdictWord


def residual_stems(unit: Unit, stems: Sequence[Stem], system: System) -> Drawing | None:
    """Draw the residuals of a unit's readings; None where nothing was compared."""
    if not stems:
        return None
    x = Scale(*padded([unit.start_station_m, unit.end_station_m], 0.04, 10.0), LEFT, RIGHT)
    reach = [each.residual_mm for each in stems]
    bands = [BAND_K * each.u_mm for each in stems]
    low, high = min([*reach, *(-each for each in bands)]), max([*reach, *bands])
    y = Scale(*padded([low, high], 0.08, 10.0), BOTTOM, TOP)
    placed = _placed(stems, x)
    shapes = _axes(unit, x, y, system)
    for stem, at in placed:
        top, bottom = y.at(BAND_K * stem.u_mm), y.at(-BAND_K * stem.u_mm)
        shapes.append(Rect(at - 4.0, top, 8.0, bottom - top, "band"))
    shapes.append(Line(LEFT, y.at(0.0), RIGHT, y.at(0.0), "axis"))
    if unit.fixed_station_m is not None:
        at = x.at(unit.fixed_station_m)
        shapes += [
            Line(at, TOP, at, BOTTOM, "extreme"),
            Text(at + 4.0, TOP + 8.0, _("fixed point"), "label-muted"),
        ]
    marks, labels = [], []
    for stem, at in placed:
        tip = y.at(stem.residual_mm)
        shapes.append(Line(at, y.at(0.0), at, tip, "whisker"))
        shapes += verdict_mark(stem.verdict, at, tip, 4.4)
        marks.append((at, tip))
        if stem.verdict in FLAGGED:
            labels.append(_label(stem.code, at, tip))
    shapes += placed_labels(labels, marks, (LEFT + 2.0, 2.0, WIDTH - 2.0, BOTTOM + 2.0), [])
    title = _("Residuals of unit %(unit)s along its stations") % {"unit": unit.code}
    return Drawing(WIDTH, BOTTOM + 38.0, tuple(shapes), title, _description(stems, system))


def _placed(stems: Sequence[Stem], x: Scale) -> list[tuple[Stem, float]]:
    """Return the stems with their places: those of one station side by side."""
    by_station: dict[float, list[Stem]] = defaultdict(list)
    for each in sorted(stems, key=lambda each: (each.station_m, each.code)):
        by_station[each.station_m].append(each)
    wanted = [x.at(station) for station in by_station]
    widths = [STEP * len(group) for group in by_station.values()]
    middles = spread(wanted, widths, LEFT, RIGHT, gap=4.0)
    return [
        (stem, middle + STEP * (index - (len(group) - 1) / 2))
        for middle, group in zip(middles, by_station.values(), strict=True)
        for index, stem in enumerate(group)
    ]


def _axes(deck: Unit, x: Scale, y: Scale, system: System) -> list[Shape]:
    shapes: list[Shape] = []
    found, unit = ticks(y.low, y.high, Dimension.LENGTH, system, 6)
    for value, text in found:
        at = y.at(value)
        shapes += [
            Line(LEFT, at, RIGHT, at, "grid"),
            Text(LEFT - 6.0, at + 3.6, text, "label-tick", "end"),
        ]
    name = _("Unit %(deck)s: measured minus expected, ahead positive [%(unit)s]")
    name %= {"deck": deck.code, "unit": unit}
    below = _(
        "Station [%(unit)s]; grey-blue: the band of ±2 standard uncertainties in which a sound"
        " element reads"
    )
    shapes.append(Text(4.0, 13.0, name, "label-strong"))
    stations, metres = ticks(x.low, x.high, Dimension.STATION, system, 8)
    for value, text in stations:
        at = x.at(value)
        shapes += [
            Line(at, BOTTOM, at, BOTTOM + 4.0, "tick"),
            Text(at, BOTTOM + 15.0, text, "label-tick", "middle"),
        ]
    shapes += [
        Line(LEFT, BOTTOM, RIGHT, BOTTOM, "axis"),
        Line(LEFT, TOP, LEFT, BOTTOM, "axis"),
        Text(4.0, BOTTOM + 31.0, below % {"unit": metres}, "label-muted"),
    ]
    return shapes


def _label(code: str, x: float, y: float) -> Spots:
    half = width_of(code, "label") / 2
    places = ((x, y - 8.0), (x, y + 16.0), (x + half + 8.0, y + 4.0), (x - half - 8.0, y + 4.0))
    return Spots(code, "label", places)


def _description(stems: Sequence[Stem], system: System) -> str:
    told = [
        f"{each.code} {shown(each.residual_mm, Dimension.LENGTH, system, sign=True)}"
        for each in stems
        if each.verdict in FLAGGED
    ]
    parts = [_("%(count)s readings turned into movements of the deck.") % {"count": len(stems)}]
    if told:
        parts.append(_("Flagged: %(elements)s.") % {"elements": ", ".join(told)})
    return " ".join(parts)
