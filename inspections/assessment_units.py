"""Fields of an assessment that tell of a whole unit and of what explains its readings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from inspections.assessment_codes import (
    CAUSE_CODES,
    OUTCOME_CODES,
    UNIT_MISSING_CODES,
    codes_of,
    listed,
)
from inspections.assessment_fields import Field, plain
from inspections.models import Explanation
from inspections.models.choices import CauseWord, DiagnosisWord
from inspections.wording_causes import REGISTER_CAUSES
from inspections.wording_explanation import UnitTold, evidence
from inventory.units import System

SIZE_UNITS = {
    CauseWord.FROZEN: "share",
    CauseWord.SLUGGISH: "share",
    CauseWord.SIGN: "share",
    CauseWord.SUPPORT_MOVED: "mm",
    CauseWord.BLUNDER: "mm",
    CauseWord.STEP: "mm",
    CauseWord.SETTING_OFF: "mm",
    CauseWord.WRONG_TEMPERATURE: "K",
    CauseWord.SHORTENING: "strain",
    CauseWord.COEFFICIENT: "share",
    CauseWord.FIXED_POINT: "m",
}


def _its(name: str) -> Callable[[Explanation], Any]:
    return lambda row: getattr(row, name)


def _found(name: str) -> Callable[[UnitTold], Any]:
    return lambda told: getattr(told.diagnosis, name)


UNIT_FIELDS = (
    Field("bridge_code", "", "Code of the bridge.", lambda t: t.diagnosis.unit.bridge.code),
    Field("unit_code", "", "Code of the unit.", lambda t: t.diagnosis.unit.code),
    Field(
        "outcome",
        "",
        f"What can be said: {listed(OUTCOME_CODES)}.",
        lambda t: OUTCOME_CODES[DiagnosisWord(t.diagnosis.outcome)],
    ),
    Field("headline", "", "The same in words.", lambda t: plain(t.headline)),
    Field("equal", "", "How many of the first explanations fit equally well.", _found("equal")),
    Field(
        "runner_up",
        "",
        "What comes next and how much less likely it is, in words.",
        lambda t: plain(t.runner_up),
    ),
    Field(
        "missing",
        "",
        f"What is missing: {listed(UNIT_MISSING_CODES)}.",
        lambda t: codes_of(t.diagnosis.missing, UNIT_MISSING_CODES),
    ),
    Field(
        "next",
        "",
        "What to look up or to measure next, in words.",
        lambda t: [plain(each) for each in t.next],
    ),
    Field("visits", "", "Visits whose readings are used.", _found("visits")),
    Field("readings", "", "Readings used.", _found("readings")),
    Field(
        "spread_k", "K", "Range of the effective temperatures of the visits.", _found("spread_k")
    ),
    Field(
        "range_needed_k", "K", "Range that would show a frozen bearing.", _found("range_needed_k")
    ),
    Field("first_seen_on", "", "Day of the first visit used.", _found("first_seen_on")),
    Field("last_seen_on", "", "Day of the last one.", _found("last_seen_on")),
    Field("model_version", "", "Version of the movement model.", _found("model_version")),
    Field("judged_at", "", "When it was computed, ISO 8601 in UTC.", _found("judged_at")),
)

EXPLANATION_FIELDS = (
    Field("rank", "", "0 is the likeliest.", _its("rank")),
    Field("beside", "", "Whether it is a second cause beside the first.", _its("beside")),
    Field(
        "cause",
        "",
        f"{listed(CAUSE_CODES)}; what begins with register_ is wrong in the register, not on the"
        " bridge.",
        lambda e: CAUSE_CODES[CauseWord(e.cause)],
    ),
    Field(
        "is_register", "", "Whether it lies in the register.", lambda e: e.cause in REGISTER_CAUSES
    ),
    Field(
        "element_code", "", "Element it sits at, if any.", lambda e: e.element and e.element.code
    ),
    Field("quantity", "", "What was read there, if one reading is meant.", _its("quantity")),
    Field("point", "", "Point of that reading.", _its("point")),
    Field(
        "support_code", "", "Support it sits at, if any.", lambda e: e.support and e.support.code
    ),
    Field(
        "visit_on",
        "",
        "Day of the visit that is wrong, or the first at which it holds.",
        lambda e: e.visit and e.visit.date,
    ),
    Field(
        "last_before_on",
        "",
        "Day of the visit before that one: it began between the two.",
        lambda e: e.last_before and e.last_before.date,
    ),
    Field(
        "log_odds",
        "",
        "Natural log of its odds against nothing wrong, its rarity weighed.",
        _its("odds_log"),
    ),
    Field(
        "log_ratio",
        "",
        "Natural log of how many times likelier the readings are with it.",
        _its("log_ratio"),
    ),
    Field("size", "", "Its size, in the unit that size_unit names.", _its("size")),
    Field("size_low", "", "Lower end of its 95 % interval.", _its("low")),
    Field("size_high", "", "Upper end of its 95 % interval.", _its("high")),
    Field(
        "size_unit",
        "",
        "share (response left, or true coefficient over registered), mm, K (reading too high),"
        " m (true minus registered fixed point) or strain.",
        lambda e: SIZE_UNITS.get(CauseWord(e.cause)),
    ),
    Field(
        "sentence",
        "",
        "The evidence in words.",
        lambda e: plain(evidence(e, e.diagnosis, System.SI)),
    ),
)
