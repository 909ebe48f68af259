"""One reading worked through: every figure comes from the model, as for any other reading."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inspections.drawing.shapes import Drawing
from inspections.drawing.strips import travel_strip
from inspections.models import AgencySettings, Verdict
from inspections.models.choices import ReadingQuantity, VerdictWord
from inspections.wording_figures import NARROW_SPACE, coefficient
from inventory.decimal_mark import with_mark
from inventory.units import Dimension, System, shown
from movement.expected import BAND_K, predict
from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides
from movement.verdict import judge

# An invented sliding bearing, which the words on the page tell.
LEVER_MM, U_LEVER_MM = 60_000.0, 100.0
EXPANSION_PER_C, U_EXPANSION_PER_C = 11.7e-6, 0.3e-6
SETTING_C, U_SETTING_K = 15.0, 3.0
SETTING_MM, U_SETTING_MM = 0.0, 1.0
MEASURED_C, U_MEASURED_K = 33.0, 1.5
MEASURED_MM, U_READING_MM = 20.5, 1.0
LIMIT_MM = 45.0
COLDEST_C, HOTTEST_C = -24.0, 46.0


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the reckoning: what it is, the reckoning in words, and what comes out."""

    what: str
    by: str
    value: str
    key: str


@dataclass(frozen=True, slots=True)
class Example:
    """The reckoning in steps, the share of each uncertainty, and the verdict with its strip."""

    given: list[Step]
    uncertainties: list[Step]
    steps: list[Step]
    verdict: VerdictWord
    strip: Drawing


def worked_example(agency: AgencySettings, system: System) -> Example:
    """Return the reading judged by an agency's settings, in a reader's units."""
    sides, setting, measured = _inputs()
    extremes = DesignExtremes.of(COLDEST_C, HOTTEST_C)
    limits = Limits.of(-LIMIT_MM, LIMIT_MM, 0.0)
    found = judge(sides, setting, measured, limits, extremes, agency.thresholds())
    line = found.prediction.line
    row = Verdict(
        quantity=ReadingQuantity.OFFSET_ALONG,
        value=MEASURED_MM,
        temperature_c=MEASURED_C,
        u_temperature_k=U_MEASURED_K,
        u_reading=U_READING_MM,
        expected=float(found.prediction.expected[0]),
        u_residual=float(found.prediction.standard_uncertainty[0]),
        residual=float(found.residual[0]),
        residual_in_u=float(found.residual_in_u[0]),
        limit_lower=-LIMIT_MM,
        limit_upper=LIMIT_MM,
        carried_to_min=float(found.carried_to_min[0]),
        carried_to_max=float(found.carried_to_max[0]),
        design_min_c=COLDEST_C,
        design_max_c=HOTTEST_C,
        use_now=float(found.use_now[0]),
        use_at_min=float(found.use_at_min[0]),
        use_at_max=float(found.use_at_max[0]),
        verdict=VerdictWord(int(found.verdict[0])),
        taken_at=dt.datetime(2026, 7, 14, 12, tzinfo=dt.UTC),
        **{name: float(getattr(line, name)[0]) for name in ("a", "b", "c0", "c1", "c2")},
    )
    return Example(
        _given(system),
        _uncertainties(row.u_residual, system),
        _steps(row, agency, system),
        VerdictWord(row.verdict),
        travel_strip(row, system),
    )


def _inputs(**only: float) -> tuple[Sides, Setting, Measured]:
    """Return what the model is told, with all uncertainties, or with some alone."""
    u = {
        "lever": U_LEVER_MM,
        "expansion": U_EXPANSION_PER_C,
        "setting_k": U_SETTING_K,
        "setting_mm": U_SETTING_MM,
        "measured_k": U_MEASURED_K,
        "reading_mm": U_READING_MM,
    }
    if only:
        u = dict.fromkeys(u, 0.0) | only
    return (
        Sides.of(
            [[LEVER_MM]], EXPANSION_PER_C, u_lever=u["lever"], u_expansion_per_c=u["expansion"]
        ),
        Setting.of([SETTING_MM], SETTING_C, u["setting_mm"], u["setting_k"]),
        Measured.of([MEASURED_MM], MEASURED_C, u["reading_mm"], u["measured_k"]),
    )


def _mm(value: float, system: System) -> str:
    return shown(value, Dimension.LENGTH, system)


def _c(value: float, system: System) -> str:
    return shown(value, Dimension.TEMPERATURE, system)


def _at(value: str, temperature: str) -> str:
    return _("%(value)s at %(temperature)s") % {"value": value, "temperature": temperature}


def _k(value: float, system: System) -> str:
    return shown(value, Dimension.TEMPERATURE_DIFFERENCE, system)


def _given(system: System) -> list[Step]:
    lever = shown(LEVER_MM / 1000.0, Dimension.STATION, system)
    return [
        Step(_("Distance from the thermal fixed point"), _("drawings"), lever, "lever"),
        Step(
            _("Coefficient of expansion"),
            _("material of the deck"),
            coefficient(EXPANSION_PER_C, system),
            "expansion",
        ),
        Step(
            _("Set at"),
            _("record of the setting"),
            _at(_mm(SETTING_MM, system), _c(SETTING_C, system)),
            "setting",
        ),
        Step(
            _("Measured"),
            _("the crew, with the temperature of that hour"),
            _at(_mm(MEASURED_MM, system), _c(MEASURED_C, system)),
            "measured",
        ),
    ]


def _uncertainties(whole: float, system: System) -> list[Step]:
    sources = (
        (_("Temperature of that hour"), "measured_k", U_MEASURED_K, _k(U_MEASURED_K, system)),
        (_("Temperature at the setting"), "setting_k", U_SETTING_K, _k(U_SETTING_K, system)),
        (
            _("Coefficient of expansion"),
            "expansion",
            U_EXPANSION_PER_C,
            coefficient(U_EXPANSION_PER_C, system),
        ),
        (
            _("Distance from the fixed point"),
            "lever",
            U_LEVER_MM,
            shown(U_LEVER_MM / 1000.0, Dimension.STATION, system),
        ),
        (_("Position at the setting"), "setting_mm", U_SETTING_MM, _mm(U_SETTING_MM, system)),
        (_("The reading itself"), "reading_mm", U_READING_MM, _mm(U_READING_MM, system)),
    )
    rows = []
    for what, name, u, told in sources:
        alone = predict(*_inputs(**{name: u})).standard_uncertainty
        rows.append(Step(what, f"±{told}", _mm(float(alone[0]), system), f"u-{name}"))
    by = _("root of the sum of their squares")
    return [*rows, Step(_("All together, u"), by, _mm(whole, system), "u")]


def _steps(row: Verdict, agency: AgencySettings, system: System) -> list[Step]:
    def mm(value: float) -> str:
        return _mm(value, system)

    def share(use: float) -> str:
        return f"{100.0 * use:.0f}{NARROW_SPACE}%"

    def at(value: float, use: float) -> str:
        told = _("%(value)s, %(share)s of the limit of %(limit)s")
        return told % {"value": mm(value), "share": share(use), "limit": mm(LIMIT_MM)}

    return [
        Step(
            _("Expected at that temperature"),
            _("setting + coefficient × distance × difference of temperature"),
            mm(row.expected),
            "expected",
        ),
        Step(
            _("Band"),
            _("expected ± %(band)s u") % {"band": f"{BAND_K:g}"},
            f"±{mm(BAND_K * row.u_residual)}",
            "band",
        ),
        Step(_("Residual"), _("measured − expected"), mm(row.residual), "residual"),
        Step(
            _("Residual in standard uncertainties"),
            _("residual / u; to watch above %(watch)s, out of range above %(out)s")
            % {"watch": with_mark(f"{agency.watch_k:g}"), "out": with_mark(f"{agency.out_k:g}")},
            with_mark(f"{row.residual_in_u:.1f}"),
            "in-u",
        ),
        Step(_("Use of the limit now"), _("measured / limit"), share(row.use_now), "use"),
        Step(
            _("Carried to the coldest, %(temperature)s") % {"temperature": _c(COLDEST_C, system)},
            _("measured, moved along the expected slope"),
            at(row.carried_to_min, row.use_at_min),
            "coldest",
        ),
        Step(
            _("Carried to the hottest, %(temperature)s") % {"temperature": _c(HOTTEST_C, system)},
            _("the same"),
            at(row.carried_to_max, row.use_at_max),
            "hottest",
        ),
    ]
