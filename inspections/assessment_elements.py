"""Fields of an assessment that tell of one element and of the reading that decides it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from inspections import wording
from inspections.assessment_codes import (
    NEVER_READ,
    RAISED_CODES,
    REASON_CODES,
    SHORTENING_CODES,
    VERDICT_CODES,
    WAY_CODES,
    codes_of,
    listed,
)
from inspections.assessment_fields import Field, plain
from inspections.models import ElementStatus, Verdict
from inspections.models.choices import RaisedBy, TemperatureWay, VerdictWord
from inspections.wording_status import status_sentence
from inventory.units import System
from movement.expected import BAND_K


def _element(name: str, unit: str, meaning: str, take: Callable[[ElementStatus], Any]) -> Field:
    return Field(name, unit, meaning, take)


def _of(name: str) -> Callable[[Verdict], Any]:
    return lambda verdict: getattr(verdict, name)


def _band(end: int) -> Callable[[Verdict], float | None]:
    def take(verdict: Verdict) -> float | None:
        ends = wording.band(verdict)
        return None if ends is None else ends[end]

    return take


ELEMENT_FIELDS = (
    _element("bridge_code", "", "Code of the bridge.", lambda s: s.element.bridge.code),
    _element("bridge_name", "", "Name of the bridge.", lambda s: s.element.bridge.name),
    _element("element_code", "", "Code of the place, once a bridge.", lambda s: s.element.code),
    _element("kind", "", "bearing, joint or restraint.", lambda s: s.element.kind),
    _element(
        "device_type",
        "",
        "Code word of the device that stands there now, such as strip_seal.",
        lambda s: s.element.current_installation.device_type,
    ),
    _element("support_code", "", "Support it stands at.", lambda s: s.element.support.code),
    _element(
        "unit_code",
        "",
        "Unit whose movement it sees; of a joint the one behind it, if any.",
        lambda s: s.element.unit and s.element.unit.code,
    ),
    _element(
        "unit_ahead_code",
        "",
        "Of a joint, or of a restraint that ties two units, the unit ahead of it, if any.",
        lambda s: s.element.unit_ahead and s.element.unit_ahead.code,
    ),
    _element("station_m", "m", "Station along the alignment.", lambda s: s.element.station_m),
    _element(
        "verdict",
        "",
        "out_of_range, watch, in_range or cannot_judge: the worst of its last visit that tells,"
        " or what its history or its unit makes worse.",
        lambda s: VERDICT_CODES[VerdictWord(s.verdict)],
    ),
    _element(
        "raised_by",
        "",
        f"What makes the verdict: {listed(RAISED_CODES)}; history and unit where they make it"
        " worse than the reading does.",
        lambda s: RAISED_CODES[RaisedBy(s.raised_by)],
    ),
    _element(
        "reasons",
        "",
        f"Of the reading that decides: code words, the weightiest first: {listed(REASON_CODES)};"
        f" {NEVER_READ} where no visit that was handed in has read it.",
        lambda s: reason_codes(s.deciding),
    ),
    _element(
        "sentence",
        "",
        "The verdict in words, with its numbers in SI units.",
        lambda s: plain(status_sentence(s, System.SI)),
    ),
    _element("last_seen_on", "", "Day of its last reading, ISO 8601.", lambda s: s.last_seen_on),
    _element(
        "greatest_use",
        "share",
        "Greatest use of a limit of that visit, now or at a design extreme; 1 is the limit.",
        lambda s: s.greatest_use,
    ),
    _element(
        "greatest_residual_in_u",
        "standard uncertainties",
        "Greatest residual of that visit, without sign.",
        lambda s: s.greatest_residual_in_u,
    ),
)

DECIDING_FIELDS = (
    Field("quantity", "", "What was read: gap, offset_along, tilt...", _of("quantity")),
    Field("point", "", "Point of the element; empty where it has but one.", _of("point")),
    Field("axis", "", "Of a joint gap: square to the joint, or along the road.", _of("axis")),
    Field(
        "unit",
        "",
        "mm, mrad or deg: unit of what was read, which ends the names of its numbers.",
        lambda v: wording.dimension_of(v).value,
    ),
    Field("taken_at", "", "Time of the reading, ISO 8601 in UTC.", _of("taken_at")),
    Field("repeats", "", "Number of readings whose mean is judged.", _of("repeats")),
    Field("value_{u}", "{u}", "The reading.", _of("value")),
    Field("u_reading_{u}", "{u}", "Its standard uncertainty.", _of("u_reading")),
    Field(
        "expected_{u}", "{u}", "Value that the temperature of the hour calls for.", _of("expected")
    ),
    Field("band_lower_{u}", "{u}", f"Expected less {BAND_K:g} u_residual.", _band(0)),
    Field("band_upper_{u}", "{u}", f"Expected plus {BAND_K:g} u_residual.", _band(1)),
    Field(
        "shortening_{u}",
        "{u}",
        "Part of expected that creep and shrinkage since the setting call for; null where none"
        " is reckoned.",
        _of("shortening"),
    ),
    Field("u_shortening_{u}", "{u}", "Its standard uncertainty.", _of("u_shortening")),
    Field(
        "shortening_notes",
        "",
        f"What it lacks or assumes: {listed(SHORTENING_CODES)}.",
        lambda v: codes_of(v.shortening_notes, SHORTENING_CODES),
    ),
    Field("residual_{u}", "{u}", "Reading minus expected.", _of("residual")),
    Field("u_residual_{u}", "{u}", "Standard uncertainty of the residual.", _of("u_residual")),
    Field(
        "residual_in_u",
        "standard uncertainties",
        "Residual divided by u_residual.",
        _of("residual_in_u"),
    ),
    Field("temperature_c", "degC", "Effective temperature of the hour.", _of("temperature_c")),
    Field("u_temperature_k", "K", "Its standard uncertainty.", _of("u_temperature_k")),
    Field(
        "temperature_way",
        "",
        f"How it was got: {listed(WAY_CODES)}.",
        lambda v: WAY_CODES[TemperatureWay(v.temperature_way)],
    ),
    Field("setting_value_{u}", "{u}", "Value at the setting.", _of("setting_value")),
    Field(
        "setting_temperature_c",
        "degC",
        "Effective temperature at the setting.",
        _of("setting_temperature_c"),
    ),
    Field(
        "setting_from",
        "",
        "measured, drawings, baseline (first accepted reading), or none.",
        lambda v: v.setting_from or "none",
    ),
    Field("limit_lower_{u}", "{u}", "Lower limit of the device.", _of("limit_lower")),
    Field("limit_upper_{u}", "{u}", "Upper limit of the device.", _of("limit_upper")),
    Field("design_min_c", "degC", "Lowest design effective temperature.", _of("design_min_c")),
    Field("design_max_c", "degC", "Highest design effective temperature.", _of("design_max_c")),
    Field("carried_to_min_{u}", "{u}", "Reading carried to design_min_c.", _of("carried_to_min")),
    Field("carried_to_max_{u}", "{u}", "Reading carried to design_max_c.", _of("carried_to_max")),
    Field("use_now", "share", "Use of the nearer limit now; 1 is the limit.", _of("use_now")),
    Field("use_at_min", "share", "The same at design_min_c.", _of("use_at_min")),
    Field("use_at_max", "share", "The same at design_max_c.", _of("use_at_max")),
    Field("lower_at_c", "degC", "Temperature at which it meets limit_lower.", _of("lower_at_c")),
    Field("upper_at_c", "degC", "Temperature at which it meets limit_upper.", _of("upper_at_c")),
    Field(
        "racking_mm", "mm", "Expected slip along a skewed joint since setting.", _of("racking_mm")
    ),
    Field(
        "a_{u}",
        "{u}",
        "Five numbers: expected = a + b T, with T in degC.",
        _of("a"),
    ),
    Field("b_{u}_per_c", "{u}/degC", "See a.", _of("b")),
    Field(
        "c0_{u}2",
        "{u}^2",
        "u_residual^2 = c0 + c1 T + c2 T^2 + (b u_temperature)^2 + u_reading^2, where one"
        " temperature holds for both sides of it.",
        _of("c0"),
    ),
    Field("c1_{u}2_per_c", "{u}^2/degC", "See c0.", _of("c1")),
    Field("c2_{u}2_per_c2", "{u}^2/degC^2", "See c0.", _of("c2")),
    Field("model_version", "", "Version of the movement model.", _of("model_version")),
    Field(
        "judged_at",
        "",
        "When it was first computed as it stands, ISO 8601 in UTC.",
        _of("judged_at"),
    ),
)


def reason_codes(verdict: Verdict | None) -> list[str]:
    """Return the code words of a verdict's reasons, the weightiest first."""
    if verdict is None:
        return [NEVER_READ]
    return [code for reason, code in REASON_CODES.items() if verdict.reasons & reason]
