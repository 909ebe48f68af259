"""An assessment as a table for a terminal, at most 120 columns wide."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from itertools import zip_longest

from inspections import wording
from inspections.assessment_fields import plain
from inspections.models import ElementStatus, UnitDiagnosis
from inspections.models.choices import VerdictWord
from inspections.selectors.findings import deciding_history
from inspections.wording_explanation import diagnosis_in_short, tell_unit
from inspections.wording_figures import as_sentence, times
from inspections.wording_history import ratio_words
from inspections.wording_status import status_in_short
from inventory.units import Dimension, System, shown
from movement.expected import BAND_K

WIDTH = 120
GAP = "  "
HEADINGS = (
    "Bridge", "Element", "Device", "Verdict", "Reason", "Follows", "Value", "Expected", "Band",
    "Use", "Read on",
)  # fmt: skip
TO_THE_RIGHT = {"Follows", "Value", "Expected", "Band", "Use"}
MAY_SHRINK = (
    ("Reason", 27), ("Device", 16), ("Bridge", 14), ("Element", 14),
    ("Reason", 20), ("Device", 8), ("Bridge", 9), ("Element", 9), ("Reason", 16),
)  # fmt: skip
"""Columns that give way when a table grows too wide, in turn, and what is left of each.

A reason goes on below itself; of the others the end is cut off."""


def table_lines(
    statuses: Iterable[ElementStatus],
    diagnoses: Iterable[UnitDiagnosis],
    counts: dict[str, int],
    system: System = System.SI,
) -> list[str]:
    """Return the lines of the table, of the units that are explained, and of the counts.

    ``Follows`` is the response ratio: 1 for an element that follows the temperature.
    """
    rows = [_cells(status, system) for status in statuses]
    lines = _aligned([HEADINGS, *rows]) if rows else ["No element to show."]
    return [*lines, "", *units_lines(diagnoses), *counts_lines(counts)]


def units_lines(diagnoses: Iterable[UnitDiagnosis]) -> list[str]:
    """Return a paragraph for each unit that is explained, and an empty line after them."""
    lines = []
    for each in diagnoses:
        told = tell_unit(each, System.SI)
        text = (
            f"{each.unit.bridge.code}, unit {each.unit.code}, as a whole:"
            f" {diagnosis_in_short(each)}."
        )
        if told.explanations:
            likelier = (
                f"{times(told.explanations[0].row.log_ratio)} times likelier than nothing wrong"
            )
            text += f" {as_sentence(likelier)} {told.runner_up}"
        lines += textwrap.wrap(plain(text), WIDTH, subsequent_indent="  ")
    return [*lines, ""] if lines else []


def counts_lines(counts: dict[str, int]) -> list[str]:
    """Return what was found, in one line, and what it may be used for."""
    elements, bridges = counts["elements"], counts["bridges"]
    return [
        f"{elements} element{'s' * (elements != 1)} of {bridges} bridge{'s' * (bridges != 1)}:"
        f" {counts['out_of_range']} out of range, {counts['watch']} watch,"
        f" {counts['in_range']} in range, {counts['cannot_judge']} cannot judge.",
        "Supports an engineer's decision; local codes and a licensed engineer govern.",
    ]


def _cells(status: ElementStatus, system: System) -> tuple[str, ...]:
    element, verdict = status.element, status.deciding
    head = (
        element.bridge.code,
        element.code,
        _device(element.current_installation.get_device_type_display()),
        VerdictWord(status.verdict).label,
    )
    reason, follows = status_in_short(status), _follows(status)
    if verdict is None:
        return (*head, reason, follows, "–", "–", "–", "–", "–")
    dimension = wording.dimension_of(verdict)
    return (
        *head,
        reason,
        follows,
        _shown(verdict.value, dimension, system),
        _figure(verdict.expected, dimension, system),
        _half_band(verdict.u_residual, dimension, system),
        "–" if status.greatest_use is None else f"{status.greatest_use:.0%}",
        # of the reading shown, which may be older than the last visit: see Verdict.stands
        verdict.taken_at.date().isoformat(),
    )


def _follows(status: ElementStatus) -> str:
    history = deciding_history(status)
    return "–" if history is None else ratio_words(history)


def _device(label: str) -> str:
    """Return a device's name without the word that its place says anyway."""
    return label.removesuffix(" bearing").removesuffix(" joint")


def _half_band(u_residual: float | None, dimension: Dimension, system: System) -> str:
    return "–" if u_residual is None else f"±{_figure(BAND_K * u_residual, dimension, system)}"


def _shown(value: float | None, dimension: Dimension, system: System) -> str:
    return plain(shown(value, dimension, system))


def _figure(value: float | None, dimension: Dimension, system: System) -> str:
    """Return a number without its unit, which the value beside it has."""
    return _shown(value, dimension, system).partition(" ")[0].rstrip("°")


def _aligned(rows: list[tuple[str, ...]]) -> list[str]:
    widths = [max(len(row[column]) for row in rows) for column in range(len(HEADINGS))]
    for heading, least in MAY_SHRINK:
        column = HEADINGS.index(heading)
        too_wide = sum(widths) + len(GAP) * (len(widths) - 1) - WIDTH
        widths[column] -= max(0, min(too_wide, widths[column] - least))
    head, *body = ([*_lines_of_row(row, widths)] for row in rows)
    rule = GAP.join("-" * width for width in widths)
    return [*head, rule, *(line for lines in body for line in lines)]


def _lines_of_row(row: tuple[str, ...], widths: list[int]) -> Iterator[str]:
    cells = [
        textwrap.wrap(plain(cell), width) or [""] if heading == "Reason" else [_cut(cell, width)]
        for cell, width, heading in zip(row, widths, HEADINGS, strict=True)
    ]
    for line in zip_longest(*cells, fillvalue=""):
        yield GAP.join(
            cell.rjust(width) if heading in TO_THE_RIGHT else cell.ljust(width)
            for cell, width, heading in zip(line, widths, HEADINGS, strict=True)
        ).rstrip()


def _cut(cell: str, width: int) -> str:
    return cell if len(cell) <= width else f"{cell[: width - 1]}…"
