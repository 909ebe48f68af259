"""The table of an element's readings: one row a point and visit, grouped by channel."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.utils.translation import gettext_noop
from reportlab.platypus import Table

from inspections import wording
from inspections.drawing import typeface
from inspections.models import Verdict
from inspections.models.choices import InspectionState, VerdictWord
from inspections.paper.text import SHADE, SMALL, mark, para, table
from inspections.paper.words import heads, percent, pgettext_noop, word
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence
from movement.expected import BAND_K

HEAD = (
    gettext_noop("Date"), gettext_noop("Temperature"), gettext_noop("Measured"),
    gettext_noop("Expected, band"), pgettext_noop("narrow column", "Residual"),
    gettext_noop("Use\nnow"),
    gettext_noop("Use\ncoldest"), gettext_noop("Use\nhottest"), "",
    gettext_noop("Verdict and why"),
)  # fmt: skip
STANDS = gettext_noop("%(verdict)s; still stands")
NOT_IN = gettext_noop("%(verdict)s (visit not handed in)")
FIXED = (46.0, 52.0, 45.0, 84.0, 44.0, 25.0, 33.0, 33.0, 12.0)


def readings_table(
    channels: list[list[Verdict]], room: float, system: System, zone: ZoneInfo
) -> Table:
    """Return the table; uses of a limit are shares of the nearer one."""
    rows: list[list[object]] = [heads(HEAD)]
    styles: list[tuple] = [("ALIGN", (1, 0), (7, -1), "RIGHT")]
    for channel in channels:
        if len(channels) > 1:
            row = len(rows)
            rows.append([wording.name_of(channel[0]), *[""] * (len(HEAD) - 1)])
            styles += [
                ("SPAN", (0, row), (-1, row)),
                ("ALIGN", (0, row), (-1, row), "LEFT"),
                ("BACKGROUND", (0, row), (-1, row), SHADE),
                ("FONT", (0, row), (-1, row), typeface.BOLD, 7.2, 9.2),
                ("NOSPLIT", (0, row), (0, row + 1)),
            ]
        rows += [_row(each, system, zone) for each in channel]
    return table(rows, [*FIXED, room - sum(FIXED)], styles)


def _row(verdict: Verdict, system: System, zone: ZoneInfo) -> list[object]:
    dimension = wording.dimension_of(verdict)
    expected = shown(verdict.expected, dimension, system)
    if verdict.expected is not None and verdict.u_residual is not None:
        expected += f" ± {shown(BAND_K * verdict.u_residual, dimension, system)}"
    temperature = shown(verdict.temperature_c, Dimension.TEMPERATURE, system)
    if verdict.temperature_way:
        temperature += f" ({verdict.temperature_way})"
    measured = shown(verdict.value, dimension, system)
    if verdict.repeats > 1:
        measured += f" ×{verdict.repeats}"
    return [
        f"{verdict.taken_at.astimezone(zone):%Y-%m-%d}",
        temperature,
        measured,
        expected,
        shown(verdict.residual, dimension, system, sign=True),
        _share(verdict.use_now),
        _share(verdict.use_at_min),
        _share(verdict.use_at_max),
        mark(verdict.verdict, 8.5),
        para(_why(verdict), SMALL),
    ]


def _share(use: float | None) -> str:
    return "–" if use is None else percent(use)


def _why(verdict: Verdict) -> str:
    told = in_sentence(VerdictWord(verdict.verdict).label)
    if verdict.verdict != VerdictWord.IN_RANGE:
        told += f": {wording.in_short(verdict)}"
    if verdict.stands:
        told = word(STANDS) % {"verdict": told}
    if verdict.inspection.state == InspectionState.OPEN:
        told = word(NOT_IN) % {"verdict": told}
    return told
