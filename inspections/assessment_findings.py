"""Fields of an assessment that tell of histories, checks of capacity and whole units."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from inspections import wording
from inspections.assessment_codes import (
    FINDING_CODES,
    HISTORY_MISSING_CODES,
    RESPONSE_CODES,
    codes_of,
    listed,
)
from inspections.assessment_fields import Field, plain
from inspections.models import CapacityCheck, ElementHistory
from inspections.models.choices import CheckFamily, ResponseWord
from inspections.wording_capacity import CheckTold, State, check_sentence
from inspections.wording_history import history_sentence
from inventory.units import System


def _of(name: str) -> Callable[[Any], Any]:
    return lambda row: getattr(row, name)


def _ends(name: str, after: str, unit: str, meaning: str, attribute: str) -> tuple[Field, ...]:
    """Return the fields of a number with its interval; ``attribute`` holds ``{end}``."""
    return (
        Field(f"{name}{after}", unit, meaning, _of(attribute.format(end=""))),
        Field(
            f"{name}_low{after}",
            unit,
            "Lower end of its 95 % interval.",
            _of(attribute.format(end="_low")),
        ),
        Field(
            f"{name}_high{after}",
            unit,
            "Upper end of its 95 % interval.",
            _of(attribute.format(end="_high")),
        ),
    )


def _blunder(name: str) -> Callable[[ElementHistory], Any]:
    return lambda h: None if h.blunder_reading is None else getattr(h.blunder_reading, name)


HISTORY_FIELDS = (
    Field("quantity", "", "What was read: gap, offset_along, tilt...", _of("quantity")),
    Field("point", "", "Point of the element; empty where it has but one.", _of("point")),
    Field("axis", "", "Of a joint gap: square to the joint, or along the road.", _of("axis")),
    Field(
        "unit",
        "",
        "mm, mrad, deg...: unit of what was read, which the names of its numbers hold.",
        lambda h: wording.dimension_of(h).value,
    ),
    Field(
        "response",
        "",
        f"How it follows the temperature: {listed(RESPONSE_CODES)}.",
        lambda h: RESPONSE_CODES[ResponseWord(h.response)],
    ),
    Field(
        "missing",
        "",
        f"Why there is no word on it: {listed(HISTORY_MISSING_CODES)}.",
        lambda h: codes_of(h.missing, HISTORY_MISSING_CODES),
    ),
    Field(
        "findings",
        "",
        f"What else it shows: {listed(FINDING_CODES)}.",
        lambda h: codes_of(h.findings, FINDING_CODES),
    ),
    Field(
        "alternatives",
        "",
        "Findings of which only one need be true.",
        lambda h: codes_of(h.alternatives, FINDING_CODES),
    ),
    Field("sentence", "", "The history in words.", lambda h: plain(history_sentence(h, System.SI))),
    Field("visits", "", "Visits with a reading and a temperature.", _of("visits")),
    Field("readings", "", "Readings used.", _of("readings")),
    Field("spread_k", "K", "Range of their effective temperatures.", _of("spread_k")),
    Field("spread_needed_k", "K", "Range that would give a word.", _of("spread_needed_k")),
    Field("visits_needed", "", "Further visits that would at that range.", _of("visits_needed")),
    *_ends("ratio", "", "share", "Response: slope found over slope expected.", "ratio{end}"),
    Field("expected_slope_{u}_per_c", "{u}/degC", "Slope expected.", _of("expected_slope_per_c")),
    *_ends("slope", "_{u}_per_c", "{u}/degC", "Slope found.", "slope{end}_per_c"),
    *_ends(
        "level", "_{u}", "{u}", "Value at mean_temperature_c and mean_at, by the fit.", "level{end}"
    ),
    Field(
        "mean_temperature_c", "degC", "Mean temperature of the readings.", _of("mean_temperature_c")
    ),
    Field("mean_at", "", "Mean time of the readings, ISO 8601 in UTC.", _of("mean_at")),
    *_ends("drift", "_{u}_per_year", "{u}/year", "Drift.", "drift{end}_per_year"),
    *_ends(
        "limit_in",
        "_years",
        "years",
        "From judged_at until its trend meets a limit at a design extreme; below 0 it has.",
        "limit_in_years{end}",
    ),
    Field("step_{u}", "{u}", "Size of a step.", _of("step_size")),
    Field("step_low_{u}", "{u}", "Lower end of its 95 % interval.", _of("step_low")),
    Field("step_high_{u}", "{u}", "Upper end of its 95 % interval.", _of("step_high")),
    Field("step_after", "", "Day of the last visit before the step.", _of("step_after")),
    Field("step_before", "", "Day of the first visit after it.", _of("step_before")),
    Field(
        "blunder_at",
        "",
        "Time of the reading that does not fit, ISO 8601 in UTC.",
        _blunder("taken_at"),
    ),
    Field("blunder_value_{u}", "{u}", "That reading.", _blunder("value")),
    Field(
        "blunder_{u}", "{u}", "Its distance from the line through the others.", _of("blunder_size")
    ),
    Field(
        "travel_mm_per_year", "mm/year", "Travel of a sliding surface.", _of("travel_mm_per_year")
    ),
    Field("travelled_m", "m", "The same since its installation.", _of("travelled_m")),
    Field("model_version", "", "Version of the movement model.", _of("model_version")),
    Field("judged_at", "", "When it was computed, ISO 8601 in UTC.", _of("judged_at")),
)


def _its(name: str) -> Callable[[CheckTold], Any]:
    return lambda told: getattr(told.check, name)


CHECK_FIELDS = (
    Field("name", "", "What is limited.", _its("name")),
    Field("family", "", f"Family of rules: {', '.join(CheckFamily.values)}.", _its("family")),
    Field("clause", "", "Clause of the rule.", _its("clause")),
    Field("edition", "", "Standard and edition.", _its("edition")),
    Field("provenance", "", "How well the rule's figures are known.", _its("provenance")),
    Field("moment", "", "now, or carried to a design extreme: at_min, at_max.", _its("when")),
    Field(
        "state",
        "",
        f"{', '.join(each.name.lower() for each in State)}; near: a use of watch_use or more.",
        lambda t: t.state.name.lower(),
    ),
    Field(
        "unit",
        "",
        "Unit of demand and capacity; empty for a count or share.",
        lambda t: check_unit(t.check),
    ),
    Field(
        "demand_{u}",
        "{u}",
        "Demand; of a rule that asks for at least something, what it asks.",
        _its("demand"),
    ),
    Field("capacity_{u}", "{u}", "Capacity; null where there is no limit.", _its("capacity")),
    Field("use", "share", "Demand over capacity; above 1 the rule is broken.", _its("use")),
    Field("nothing_left", "", "Whether there is no capacity at all.", _its("nothing_left")),
    Field(
        "counts", "", "False where another method that is met stands in its place.", _its("counts")
    ),
    Field(
        "lacking",
        "",
        "What a check that cannot be made lacks: names of register fields or readings.",
        lambda t: [each.strip() for each in t.check.lacking.split(",") if each.strip()],
    ),
    Field(
        "found_on",
        "",
        "Day of the visit whose readings it rests on, if any.",
        lambda t: t.check.inspection and t.check.inspection.date,
    ),
    Field(
        "sentence",
        "",
        "The check in words.",
        lambda t: plain(check_sentence(t)),
    ),
)


def check_unit(check: CapacityCheck) -> str:
    """Return the unit of a check; empty for a count or share."""
    return check.unit.strip("-")
