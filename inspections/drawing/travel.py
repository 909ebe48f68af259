"""The travel strip: one reading between its limits, carried to the design extremes."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections import wording
from inspections.drawing.labels import Label, label_row, width_of
from inspections.drawing.marks import verdict_mark
from inspections.drawing.scales import Scale, padded, ticks
from inspections.drawing.shapes import XY, Drawing, Line, Lines, Rect, Shape, Text
from inspections.models import Verdict
from inspections.models.choices import VerdictWord
from inventory.units import Dimension, System, shown
from movement.expected import BAND_K
from movement.results import Reason

WIDTH = 720.0
EDGE = 30.0
TRACK_HEIGHT = 26.0
PAD = 0.06
"""Room beyond the outermost value, as a share of the whole."""
ALONE = 10.0
"""What the strip spans where there is nothing but the reading, in its stored unit."""


def travel_strip(verdict: Verdict, system: System) -> Drawing:
    """Draw where a reading lies between its limits, and where it will lie when it is
    coldest and hottest."""
    missing = _missing(verdict)
    scale = _scale(verdict)
    top = 16.0 if missing else 0.0
    track = top + 26.0
    carried = carried_places(verdict)
    carried_y = track + TRACK_HEIGHT + 15.0
    foot = carried_y + 8.0 if carried else track + TRACK_HEIGHT + 4.0
    labels_y = foot + 20.0
    axis_y = labels_y + 8.0
    shapes: list[Shape] = [
        *_track(verdict, scale, track),
        *_band(verdict, scale, track),
        *_walls(verdict, scale, track - 4.0, foot),
        *_ticks(verdict, scale, system, axis_y),
    ]
    upper, lower = _labels(verdict, scale, system, carried)
    shapes += label_row(upper, top + 11.0, 4.0, WIDTH - 4.0, track - 4.0)
    if carried:
        ends = [scale.at(value) for _, value, _, _ in carried]
        if len(ends) > 1:
            shapes.append(Line(min(ends), carried_y, max(ends), carried_y, "carried"))
    tied_low = label_row(lower, labels_y, 4.0, WIDTH - 4.0, foot)
    measured_x = scale.at(verdict.value)
    shapes.append(Line(measured_x, track + TRACK_HEIGHT / 2, measured_x, foot, "leader"))
    shapes += tied_low
    for _word, value, word, _at_c in carried:
        shapes += verdict_mark(word, scale.at(value), carried_y, 4.6, "carried")
    shapes += verdict_mark(verdict.verdict, measured_x, track + TRACK_HEIGHT / 2, 8.0)
    if missing:
        shapes.append(
            Text(
                WIDTH / 2,
                10.0,
                _("Not shown: %(missing)s.") % {"missing": missing},
                "label-muted",
                "middle",
            )
        )
    return Drawing(
        WIDTH,
        axis_y + 22.0,
        tuple(shapes),
        _("Travel strip: %(reading)s") % {"reading": wording.name_of(verdict)},
        wording.sentence(verdict, system),
    )


def _scale(verdict: Verdict) -> Scale:
    values = [
        verdict.value,
        verdict.expected,
        verdict.limit_lower,
        verdict.limit_upper,
        *(value for _, value, _, _ in carried_places(verdict)),
    ]
    band = wording.band(verdict)
    if band and verdict.limit_lower is None and verdict.limit_upper is None:
        values += band
    return Scale(*padded(values, PAD, ALONE), EDGE, WIDTH - EDGE)


def _track(verdict: Verdict, scale: Scale, top: float) -> list[Shape]:
    """Room to move: from wall to wall, fading into dashes where no limit is recorded."""
    low, high = verdict.limit_lower, verdict.limit_upper
    left = EDGE - 14.0 if low is None else scale.at(low)
    right = WIDTH - EDGE + 14.0 if high is None else scale.at(high)
    shapes: list[Shape] = [Rect(left, top, right - left, TRACK_HEIGHT, "track")]
    for limit, x in ((low, left), (high, right)):
        if limit is None:
            shapes.append(Line(x, top - 4.0, x, top + TRACK_HEIGHT + 4.0, "track-open"))
    return shapes


def _band(verdict: Verdict, scale: Scale, top: float) -> list[Shape]:
    if verdict.expected is None:
        return []
    shapes: list[Shape] = []
    band = wording.band(verdict)
    if band:
        left, right = (scale.inside(each) for each in band)
        shapes.append(Rect(left, top + 4.0, right - left, TRACK_HEIGHT - 8.0, "band"))
        shapes += [
            Line(x, top + 4.0, x, top + TRACK_HEIGHT - 4.0, "band-edge")
            for x, value in zip((left, right), band, strict=True)
            if scale.low <= value <= scale.high
        ]
    x = scale.at(verdict.expected)
    shapes.append(Line(x, top - 3.0, x, top + TRACK_HEIGHT + 3.0, "expected"))
    return shapes


def _walls(verdict: Verdict, scale: Scale, top: float, foot: float) -> list[Shape]:
    shapes: list[Shape] = []
    for limit, outward in ((verdict.limit_lower, -1.0), (verdict.limit_upper, 1.0)):
        if limit is None:
            continue
        x = scale.at(limit)
        shapes += hatched_wall(x, top, foot, outward)
    return shapes


def hatched_wall(x: float, top: float, foot: float, outward: float) -> list[Shape]:
    """Return a wall at x whose hatch lies on its outer side (-1: left, 1: right)."""
    ends: list[XY] = []
    y = top
    while y + 6.0 <= foot + 1e-6:
        ends += [(x, y), (x + 7.0 * outward, y + 6.0)]
        y += 6.0
    return [Lines(tuple(ends), "hatch"), Line(x, top, x, foot, "limit")]


def carried_places(verdict: Verdict) -> list[tuple[str, float, VerdictWord, float | None]]:
    """Return (word, position, verdict there, temperature) of each design extreme known."""
    found = []
    for word, value, past, near, at_c in (
        (mark("coldest"), verdict.carried_to_min, Reason.PAST_LIMIT_AT_MIN,
         Reason.NEAR_LIMIT_AT_MIN, verdict.design_min_c),
        (mark("hottest"), verdict.carried_to_max, Reason.PAST_LIMIT_AT_MAX,
         Reason.NEAR_LIMIT_AT_MAX, verdict.design_max_c),
    ):  # fmt: skip
        if value is None:
            continue
        there = VerdictWord.IN_RANGE
        if verdict.reasons & past:
            there = VerdictWord.OUT_OF_RANGE
        elif verdict.reasons & near:
            there = VerdictWord.WATCH
        elif verdict.limit_lower is None and verdict.limit_upper is None:
            there = VerdictWord.CANNOT_JUDGE
        found.append((word, value, there, at_c))
    return found


def _labels(
    verdict: Verdict,
    scale: Scale,
    system: System,
    carried: list[tuple[str, float, VerdictWord, float | None]],
) -> tuple[list[Label], list[Label]]:
    """Return the labels above the track (limits, expected) and below it (positions)."""
    dimension = wording.dimension_of(verdict)
    upper = [
        Label(
            scale.at(limit),
            _("limit %(value)s") % {"value": shown(limit, dimension, system)},
            "label-limit",
        )
        for limit in (verdict.limit_lower, verdict.limit_upper)
        if limit is not None
    ]
    if verdict.expected is not None:
        text = _("expected %(value)s") % {"value": shown(verdict.expected, dimension, system)}
        if verdict.u_residual is not None:
            text += f" ± {shown(BAND_K * verdict.u_residual, dimension, system)}"
        upper.append(Label(scale.at(verdict.expected), text, "label-expected"))
    now = _("measured %(value)s") % {"value": shown(verdict.value, dimension, system)}
    if verdict.temperature_c is not None:
        now += _at(verdict.temperature_c, system)
    lower = [Label(scale.at(verdict.value), now, "label-strong")]
    for word, value, _there, at_c in carried:
        text = f"{_(word)} {shown(value, dimension, system)}"
        if at_c is not None:
            text += _at(at_c, system)
        lower.append(Label(scale.at(value), text))
    return upper, lower


def _at(temperature_c: float, system: System) -> str:
    at = _("at %(temperature)s")
    return f" {at % {'temperature': shown(temperature_c, Dimension.TEMPERATURE, system)}}"


def _ticks(verdict: Verdict, scale: Scale, system: System, y: float) -> list[Shape]:
    found, unit = ticks(scale.low, scale.high, wording.dimension_of(verdict), system, 8)
    shapes: list[Shape] = [Line(EDGE, y, WIDTH - EDGE, y, "axis")]
    room = WIDTH - 10.0 - width_of(unit, "label-tick")
    for value, text in found:
        x = scale.at(value)
        shapes.append(Line(x, y, x, y + 4.0, "tick"))
        if x + width_of(text, "label-tick") / 2 < room:
            shapes.append(Text(x, y + 15.0, text, "label-tick", "middle"))
    shapes.append(Text(WIDTH - 4.0, y + 15.0, unit, "label-tick", "end"))
    return shapes


def _missing(verdict: Verdict) -> str:
    """Say what the strip cannot show, and why."""
    parts = []
    if verdict.expected is None:
        why = [
            _(wording.SHORT[reason])
            for reason in wording.reasons_of(verdict)
            if reason in (Reason.NO_TEMPERATURE, Reason.NO_SETTING, Reason.NO_EXPANSION)
        ]
        value = _("expected value")
        parts.append(f"{value} ({', '.join(why)})" if why else value)
    if verdict.limit_lower is None and verdict.limit_upper is None:
        parts.append(_("limits (none recorded)"))
    if verdict.carried_to_min is None and verdict.carried_to_max is None:
        parts.append(_("positions at the design extremes"))
    return "; ".join(parts)
