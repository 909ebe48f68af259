"""Stable code words of an assessment: other programs rely on them.

One may be added; renaming one makes a new format number.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import IntFlag

from inspections.models.choices import (
    CauseWord,
    DiagnosisWord,
    RaisedBy,
    ResponseWord,
    TemperatureWay,
    VerdictWord,
)
from movement.concrete import ShorteningNote
from movement.history.findings import Finding
from movement.history.findings import Missing as HistoryMissing
from movement.results import Reason
from movement.whole_bridge.results import Missing as UnitMissing

VERDICT_CODES = {
    VerdictWord.OUT_OF_RANGE: "out_of_range",
    VerdictWord.WATCH: "watch",
    VerdictWord.IN_RANGE: "in_range",
    VerdictWord.CANNOT_JUDGE: "cannot_judge",
}
NEVER_READ = "never_read"
REASON_CODES = {
    Reason.RESIDUAL_OUT: "residual_out",
    Reason.PAST_LIMIT_NOW: "past_limit_now",
    Reason.PAST_LIMIT_AT_MIN: "past_limit_at_min",
    Reason.PAST_LIMIT_AT_MAX: "past_limit_at_max",
    Reason.RESIDUAL_WATCH: "residual_watch",
    Reason.NEAR_LIMIT_NOW: "near_limit_now",
    Reason.NEAR_LIMIT_AT_MIN: "near_limit_at_min",
    Reason.NEAR_LIMIT_AT_MAX: "near_limit_at_max",
    Reason.NO_READING: "no_reading",
    Reason.NO_TEMPERATURE: "no_temperature",
    Reason.NO_SETTING: "no_setting",
    Reason.NO_EXPANSION: "no_expansion",
    Reason.NO_LIMITS: "no_limits",
    Reason.NO_EXTREMES: "no_extremes",
    Reason.IS_BASELINE: "is_baseline",
}
"""Stable code words, the weightiest first."""
WAY_CODES = {
    TemperatureWay.NONE: "none",
    TemperatureWay.EMBEDDED: "embedded",
    TemperatureWay.SURFACES: "surfaces",
    TemperatureWay.SHADED_SURFACE: "shaded_surface",
    TemperatureWay.HEAT_BALANCE: "heat_balance",
    TemperatureWay.HEAT_BALANCE_AIR: "heat_balance_air",
    TemperatureWay.HEAT_BALANCE_DAYS: "heat_balance_days",
    TemperatureWay.AIR_HISTORY: "air_history",
    TemperatureWay.SHADE_AIR: "shade_air",
}
RAISED_CODES = {
    RaisedBy.READING: "reading",
    RaisedBy.HISTORY: "history",
    RaisedBy.UNIT: "unit",
}
RESPONSE_CODES = {
    ResponseWord.NOT_ENOUGH_INFORMATION: "not_enough_information",
    ResponseWord.FREE: "free",
    ResponseWord.SLUGGISH: "sluggish",
    ResponseWord.SLUGGISH_OR_FROZEN: "sluggish_or_frozen",
    ResponseWord.FROZEN: "frozen",
    ResponseWord.WRONG_SIGN: "wrong_sign",
    ResponseWord.MORE_THAN_FREE: "more_than_free",
}
FINDING_CODES = {
    Finding.DRIFT: "drift",
    Finding.STEP: "step",
    Finding.BLUNDER: "blunder",
    Finding.REACHES_LIMIT: "reaches_limit",
}
HISTORY_MISSING_CODES = {
    HistoryMissing.NO_READING: "no_reading",
    HistoryMissing.TOO_FEW_VISITS: "too_few_visits",
    HistoryMissing.NO_TEMPERATURE_SPREAD: "no_temperature_spread",
    HistoryMissing.SPREAD_WITHIN_ITS_ERROR: "spread_within_its_error",
    HistoryMissing.NO_EXPECTED_SLOPE: "no_expected_slope",
    HistoryMissing.INTERVAL_TOO_WIDE: "interval_too_wide",
    HistoryMissing.NO_SPREAD_OF_TIME: "no_spread_of_time",
}
OUTCOME_CODES = {
    DiagnosisWord.NOT_ENOUGH: "not_enough_information",
    DiagnosisWord.HEALTHY: "healthy",
    DiagnosisWord.EXPLAINED: "explained",
    DiagnosisWord.CANNOT_TELL: "cannot_tell",
}
CAUSE_CODES = {
    CauseWord.HEALTHY: "healthy",
    CauseWord.FROZEN: "frozen",
    CauseWord.SLUGGISH: "sluggish",
    CauseWord.SUPPORT_MOVED: "support_moved",
    CauseWord.SHORTENING: "shortening",
    CauseWord.WRONG_TEMPERATURE: "wrong_temperature",
    CauseWord.BLUNDER: "blunder",
    CauseWord.STEP: "step",
    CauseWord.FIXED_POINT: "register_fixed_point",
    CauseWord.SIGN: "register_sign",
    CauseWord.COEFFICIENT: "register_coefficient",
    CauseWord.SETTING_OFF: "register_setting",
}
UNIT_MISSING_CODES = {
    UnitMissing.READINGS: "readings",
    UnitMissing.TEMPERATURES: "temperatures",
    UnitMissing.LEVERS: "levers",
    UnitMissing.VISITS: "visits",
    UnitMissing.TEMPERATURE_RANGE: "temperature_range",
}
SHORTENING_CODES = {note: note.name.lower() for note in ShorteningNote}
"""The names of :class:`movement.concrete.ShorteningNote` in lower case."""


def codes_of(bits: int, codes: Mapping[IntFlag, str]) -> list[str]:
    """Return the code words of the bits that are set."""
    return [code for bit, code in codes.items() if bits & bit]


def listed(codes: Mapping[object, str]) -> str:
    """Return code words for the description of a field."""
    return ", ".join(codes.values())
