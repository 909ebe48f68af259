"""An assessment as a table for a terminal, at most 120 columns wide."""

from __future__ import annotations

from collections.abc import Iterable

from inspections import wording
from inspections.assessment import plain
from inspections.models import ElementStatus
from inspections.models.choices import VerdictWord
from inventory.units import Dimension, System, shown
from movement.expected import BAND_K

WIDTH = 120
GAP = "  "
HEADINGS = (
    "Bridge", "Element", "Device", "Verdict", "Reason", "Value", "Expected", "Band", "Use",
    "Last seen",
)  # fmt: skip
TO_THE_RIGHT = {"Value", "Expected", "Band", "Use"}
MAY_SHRINK = (("Device", 12), ("Reason", 20), ("Bridge", 10), ("Element", 10))
"""Columns that give way when a table grows too wide, in turn, and what is left of each."""


def table_lines(
    statuses: Iterable[ElementStatus], counts: dict[str, int], system: System = System.SI
) -> list[str]:
    """Return the lines of the table with the counts below it."""
    rows = [_cells(status, system) for status in statuses]
    lines = _aligned([HEADINGS, *rows]) if rows else ["No element to show."]
    return [*lines, "", *counts_lines(counts)]


def counts_lines(counts: dict[str, int]) -> list[str]:
    """Return what was found, in one line, and what it may be used for."""
    return [
        f"{counts['elements']} elements of {counts['bridges']} bridges:"
        f" {counts['out_of_range']} out of range, {counts['watch']} watch,"
        f" {counts['in_range']} in range, {counts['cannot_judge']} cannot judge.",
        "Supports an engineer's decision; local codes and a licensed engineer govern.",
    ]


def _cells(status: ElementStatus, system: System) -> tuple[str, ...]:
    element, verdict = status.element, status.deciding
    head = (
        element.bridge.code,
        element.code,
        element.current_installation.get_device_type_display(),
        VerdictWord(status.verdict).label,
    )
    last_seen = "never" if status.last_seen_on is None else status.last_seen_on.isoformat()
    if verdict is None:
        return (*head, "never measured", "–", "–", "–", "–", last_seen)
    dimension = wording.dimension_of(verdict)
    return (
        *head,
        wording.in_short(verdict),
        _shown(verdict.value, dimension, system),
        _shown(verdict.expected, dimension, system),
        _half_band(verdict.u_residual, dimension, system),
        "–" if status.greatest_use is None else f"{status.greatest_use:.0%}",
        last_seen,
    )


def _half_band(u_residual: float | None, dimension: Dimension, system: System) -> str:
    return "–" if u_residual is None else f"±{_shown(BAND_K * u_residual, dimension, system)}"


def _shown(value: float | None, dimension: Dimension, system: System) -> str:
    return plain(shown(value, dimension, system))


def _aligned(rows: list[tuple[str, ...]]) -> list[str]:
    widths = [max(len(row[column]) for row in rows) for column in range(len(HEADINGS))]
    for heading, least in MAY_SHRINK:
        column = HEADINGS.index(heading)
        too_wide = sum(widths) + len(GAP) * (len(widths) - 1) - WIDTH
        widths[column] -= max(0, min(too_wide, widths[column] - least))
    lines = [
        GAP.join(
            _fitted(cell, width, heading)
            for cell, width, heading in zip(row, widths, HEADINGS, strict=True)
        ).rstrip()
        for row in rows
    ]
    return [lines[0], GAP.join("-" * width for width in widths), *lines[1:]]


def _fitted(cell: str, width: int, heading: str) -> str:
    short = cell if len(cell) <= width else f"{cell[: width - 1]}…"
    return short.rjust(width) if heading in TO_THE_RIGHT else short.ljust(width)
