"""The documented result of an assessment: ``ledger-assessment/2``, as JSON and as CSV.

Other programs rely on these names.  A field may be added; renaming one, removing one or
changing what it means makes a new format number.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from inspections.assessment_codes import OUTCOME_CODES, listed
from inspections.assessment_elements import DECIDING_FIELDS, ELEMENT_FIELDS
from inspections.assessment_fields import CHECK_UNITS, READ_UNITS, Field
from inspections.assessment_findings import CHECK_FIELDS, HISTORY_FIELDS
from inspections.assessment_units import EXPLANATION_FIELDS, UNIT_FIELDS

FORMAT = "ledger-assessment/2"

UNIT_COUNTS = {outcome: f"units_{code}" for outcome, code in OUTCOME_CODES.items()}
DOCUMENT_FIELDS = (
    Field("format", "", "Name and number of this format.", lambda a: FORMAT),
    Field("model_version", "", "Version of the movement model.", lambda a: a.model_version),
    Field("generated_at", "", "When it was written, ISO 8601 in UTC.", lambda a: a.generated_at),
    Field(
        "thresholds",
        "",
        "Where verdicts turn: watch_k and out_k [standard uncertainties], watch_use [share of"
        " a limit], and band_k, the half width of the band [standard uncertainties]; of histories"
        " frozen_below, free_above, sluggish_below, more_than_free_above [response ratio], chance"
        " [probability of naming what is not there] and horizon_years; of units"
        " explanation_needed and explanations_apart [natural log of odds]; creep_scatter and"
        " shrinkage_scatter [relative].",
        lambda a: a.thresholds,
    ),
    Field(
        "counts",
        "",
        "bridges, elements, elements by verdict: out_of_range, watch, in_range, cannot_judge;"
        " raised_by_history and raised_by_unit: elements whose verdict those make worse; units,"
        f" and units by outcome: {listed(UNIT_COUNTS)}.",
        lambda a: a.counts,
    ),
    Field("elements", "", "One object an element, with the fields of «element».", None),
    Field("units", "", "One object a unit, with the fields of «unit».", None),
)
ELEMENT_PARTS = (
    Field("deciding", "", "The reading that decides, fields of «deciding»; or null.", None),
    Field(
        "histories",
        "",
        "What its readings show over the years: one object a channel of the device that stands"
        " there now, with the fields of «history».",
        None,
    ),
    Field(
        "capacity",
        "",
        "Its capacity as last found: one object a check, with the fields of «capacity».",
        None,
    ),
)
UNIT_PARTS = (
    Field(
        "explanations",
        "",
        "What explains its readings, the likeliest first, also where it is healthy: what came"
        " nearest.  One object each, with the fields of «explanation».",
        None,
    ),
)


@dataclass(frozen=True, slots=True)
class Assessment:
    """What an assessment tells, apart from its elements."""

    model_version: str
    generated_at: Any
    thresholds: dict[str, float]
    counts: dict[str, int]


CSV_HISTORY = "history_"
"""Begins the columns of the history that a row of the CSV file carries."""


def _columns(fields: tuple[Field, ...], before: str = "") -> list[str]:
    """Return one column a field; a number of the reading stands in the column of its unit."""
    names = [field.name for field in fields if not field.in_unit_read]
    names += [
        field.named(unit.value) for unit in READ_UNITS for field in fields if field.in_unit_read
    ]
    return [f"{before}{name}" for name in names]


CSV_COLUMNS = (
    *_columns(ELEMENT_FIELDS),
    *_columns(DECIDING_FIELDS),
    *_columns(HISTORY_FIELDS, CSV_HISTORY),
)


def described() -> list[tuple[str, str, str, str]]:
    """Return where each field stands, its names, its unit and its meaning."""
    rows = []
    for where, fields, all_units in (
        ("document", DOCUMENT_FIELDS, READ_UNITS),
        ("element", (*ELEMENT_FIELDS, *ELEMENT_PARTS), READ_UNITS),
        ("deciding", DECIDING_FIELDS, READ_UNITS),
        ("history", HISTORY_FIELDS, READ_UNITS),
        ("capacity", CHECK_FIELDS, CHECK_UNITS),
        ("unit", (*UNIT_FIELDS, *UNIT_PARTS), READ_UNITS),
        ("explanation", EXPLANATION_FIELDS, READ_UNITS),
    ):
        for field in fields:
            units = [unit.value for unit in all_units] if field.in_unit_read else [""]
            rows += [
                (where, field.named(unit), field.unit.replace("{u}", unit), field.meaning)
                for unit in units
            ]
    return rows
