"""The last pages: method, editions, thresholds, uncertainties, limits of use."""

from __future__ import annotations

import math
from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer

from inspections.models import AgencySettings
from inspections.models.agency import AGENCY_QUANTITIES
from inspections.models.choices import TemperatureWay, VerdictWord
from inspections.paper.method_findings import method_of_findings
from inspections.paper.text import BODY, SMALL, Caption, Heading, mark, para, table
from inspections.paper.words import NARROW_SPACE, figure, heads
from inspections.selectors.desk import UnitExtremes
from inspections.selectors.report import Report
from inventory.decimal_mark import with_mark
from inventory.models import TemperatureBasis
from inventory.quantities import Quantity
from inventory.units import Dimension, System, shown
from inventory.words import is_english, translated
from movement import MODEL_VERSION
from movement.expected import BAND_K
from movement.temperature import PLAIN_MEAN_U_K

METHOD = (
    gettext_noop(
        "Each reading is compared with the position that the effective temperature of that hour"
        " calls for: setting position + expansion coefficient × distance from the thermal fixed"
        " point × temperature difference from the setting, turned to the measured axis (plan"
        " angle, skew). The effective temperature is the mean over the cross-section, not the air"
        " temperature."
    ),
    gettext_noop(
        "The uncertainty of the expected position is propagated to first order (JCGM 100:2008)"
        " from temperature, coefficient, expansion length, setting and instrument. The band shown"
        " is ±%(band)s standard uncertainties. Readings of one point at one time are averaged (×n"
        " in the tables)."
    ),
    gettext_noop(
        "The measured position is then carried along the expected slope to the lowest and highest"
        " design temperature of the unit and compared with the recorded limits. The use of a limit"
        " is the share of the way from the neutral position to the nearer limit; at or above 100"
        " %% it is reached."
    ),
    gettext_noop(
        "The verdict of an element is the worst of its last visit that tells something. An"
        " earlier finding stands beside it until a later reading, far enough from the setting"
        " temperature to show it, shows that it has gone. What its history or its whole unit shows"
        " can make the verdict worse, never better, and is then named."
    ),
    gettext_noop(
        "No load factor of a standard enters: a field reading is compared with the movement of"
        " its own hour. Creep and shrinkage since the setting are part of the expected position"
        " where the concrete of a unit is on record."
    ),
)
LIMITS_OF_USE = (
    gettext_noop(
        "The results of this report support an engineer's decision and never replace it. Local"
        " codes, the bridge owner's procedures and a licensed engineer govern. Anything that looks"
        " unsafe is reported up the line at once."
    ),
    gettext_noop(
        "A verdict is only as good as the register and the readings behind it: limits, settings,"
        " fixed points and temperatures are as recorded, and were not checked against the bridge"
        " by printing this report. «In range» speaks of the measured movement alone, not of the"
        " strength, wear or corrosion of a device. «Cannot judge» is not «in range»."
    ),
    gettext_noop(
        "Thresholds and standing uncertainties are the agency's settings, as listed; those marked"
        " as judgement have no published source."
    ),
)
VERDICTS = {
    VerdictWord.OUT_OF_RANGE: gettext_noop(
        "residual above {out:g} standard uncertainties; or a limit reached"
        " now, or when carried to a design extreme"
    ),
    VerdictWord.WATCH: gettext_noop(
        "residual above {watch:g} standard uncertainties; or {use:.0%} of a limit"
        " used now or at a design extreme; or a fault that its history or its whole unit shows"
    ),
    VerdictWord.CANNOT_JUDGE: gettext_noop(
        "something that the comparison needs is missing; the sentence says what"
    ),
    VerdictWord.IN_RANGE: gettext_noop(
        "residual within {watch:g} standard uncertainties, and every recorded"
        " limit met now and at both design extremes"
    ),
}
EXTREMES = (
    gettext_noop("Unit"), gettext_noop("Deck"), gettext_noop("Lowest"), gettext_noop("Highest"),
    gettext_noop("Source"),
)  # fmt: skip
WAYS = (
    gettext_noop("No."),
    gettext_noop("Effective temperature from"),
    gettext_noop("Standard uncertainty"),
)
FIGURES = (gettext_noop("Standing figure"), gettext_noop("Value"), gettext_noop("Source"))
DECKS = (gettext_noop("steel"), gettext_noop("composite"), gettext_noop("concrete"))
"""Kinds of deck, as the means of the air name them."""
NO_BASIS = gettext_noop("no design temperature basis recorded")
_THRESHOLDS = ("watch_k", "out_k", "watch_use")


def method_words() -> list[str]:
    """Return how a reading is judged, in paragraphs."""
    return [_(text) % {"band": f"{BAND_K:g}"} for text in METHOD]


def verdict_words(agency: AgencySettings) -> list[tuple[VerdictWord, str]]:
    """Return each verdict with what raises it, by the thresholds of the agency."""
    numbers = {"watch": agency.watch_k, "out": agency.out_k, "use": agency.watch_use}
    told = [(word, with_mark(_(text).format(**numbers))) for word, text in VERDICTS.items()]
    if is_english():
        return told
    return [(word, text.replace("%", f"{NARROW_SPACE}%")) for word, text in told]


def method(report: Report, room: float, system: System) -> list[Flowable]:
    """Return the closing part of the report of a bridge."""
    return appendix(
        report.agency,
        room,
        system,
        extremes=report.extremes,
        basis=report.basis,
        station=report.bridge.air_station,
        more=method_of_findings(report, room),
    )


def appendix(
    agency: AgencySettings,
    room: float,
    system: System,
    *,
    extremes: Sequence[UnitExtremes] | None = None,
    basis: TemperatureBasis | None = None,
    station: str = "",
    more: Sequence[Flowable] = (),
) -> list[Flowable]:
    """Return method, thresholds, figures and limits of use of what a report tells.

    ``extremes`` are those of the units in it; a report on many bridges names none.
    """
    return [
        CondPageBreak(220),
        Heading(_("Method and basis"), key="method"),
        *(para(text, BODY) for text in method_words()),
        *_verdicts(agency, room),
        *([] if extremes is None else _extremes(extremes, basis, room, system)),
        *_ways(agency, station, room, system),
        *_uncertainties(agency, room, system),
        *more,
        *limits_of_use(),
    ]


def limits_of_use(*more: str) -> list[Flowable]:
    """Return what any report is good for, after what else is to be said of this one."""
    texts = [para(text, BODY) for text in (*more, *map(_, LIMITS_OF_USE))]
    return [KeepTogether([Heading(_("Limits of use"), key="limits"), *texts])]


def _verdicts(agency: AgencySettings, room: float) -> list[Flowable]:
    rows: list[list[object]] = [["", _("Verdict"), _("When")]]
    rows += [
        [mark(word, 10), para(word.label, SMALL), para(told, SMALL)]
        for word, told in verdict_words(agency)
    ]
    return [
        KeepTogether(
            [
                Heading(_("Verdicts and thresholds"), key="thresholds"),
                Caption("Table", _("Verdicts and what raises them.")),
                table(rows, [16.0, 80.0, room - 96.0]),
                Spacer(0, 3),
                para(_("Movement model %(version)s.") % {"version": MODEL_VERSION}, SMALL),
            ]
        )
    ]


def _extremes(
    extremes: Sequence[UnitExtremes],
    basis: TemperatureBasis | None,
    room: float,
    system: System,
) -> list[Flowable]:
    """Design temperature basis of each unit with its source."""
    rows: list[list[object]] = [heads(EXTREMES)]
    for each in extremes:
        found = each.extremes
        low, high = (float(found.min_c), float(found.max_c)) if found else (None, None)
        source = found.source if found else each.problem or _(NO_BASIS)
        rows.append(
            [
                para(each.unit.code, SMALL),
                para(each.unit.get_deck_type_display(), SMALL),
                shown(low, Dimension.TEMPERATURE, system),
                shown(high, Dimension.TEMPERATURE, system),
                para(source, SMALL),
            ]
        )
    heading = Heading(_("Design temperatures"), key="temperatures")
    if not extremes:
        return [KeepTogether([heading, para(_("No unit of this bridge is on record yet."), BODY)])]
    made = table(
        rows,
        [44.0, 130.0, 50.0, 50.0, room - 274.0],
        [("ALIGN", (2, 0), (3, -1), "RIGHT")],
    )
    caption = Caption("Table", _("Design temperatures of each unit, with their source."))
    read_from = basis.source if basis else ""
    told = _("Figures read from: %(source)s.") % {"source": read_from}
    note = [Spacer(0, 3), para(told, SMALL)] if read_from else []
    return [KeepTogether([heading, caption, made, *note])]


def _ways(agency: AgencySettings, station: str, room: float, system: System) -> list[Flowable]:
    """How effective temperatures were got, by the number beside each temperature."""
    ways = agency.way_uncertainty()
    rows: list[list[object]] = [heads(WAYS)]
    rows += [
        [f"({way.value})", para(way.label, SMALL),
         _way_uncertainty(way, float(ways.of(way)), system)]
        for way in list(TemperatureWay)[1:]
    ]  # fmt: skip
    heading = Heading(_("Where temperatures come from"), key="ways")
    made = table(rows, [30.0, room - 150.0, 120.0])
    caption = Caption("Table", _("Ways to the effective temperature, by the number in brackets."))
    told = _("Air station of this bridge: %(station)s.") % {"station": station}
    note = [Spacer(0, 3), para(told, SMALL)] if station else []
    return [KeepTogether([heading, caption, made, *note])]


def _way_uncertainty(way: TemperatureWay, u_k: float, system: System) -> object:
    if way == TemperatureWay.AIR_HISTORY:
        figures = {deck.value: max(u_k, least_k) for deck, least_k in PLAIN_MEAN_U_K.items()}
        return para(
            "; ".join(
                f"{translated(deck)} {shown(u, Dimension.TEMPERATURE_DIFFERENCE, system)}"
                for deck, u in figures.items()
            ),
            SMALL,
        )
    if math.isnan(u_k):
        return para(_("computed for each hour"), SMALL)
    return shown(u_k, Dimension.TEMPERATURE_DIFFERENCE, system)


def _uncertainties(agency: AgencySettings, room: float, system: System) -> list[Flowable]:
    """The other standing figures of the agency."""
    wanted = {
        name: quantity
        for name, quantity in AGENCY_QUANTITIES.items()
        if name not in _THRESHOLDS and not (name.startswith("u_") and name in _WAY_FIELDS)
    }
    rows: list[list[object]] = [heads(FIGURES)]
    rows += [
        [
            para(translated(quantity.label), SMALL),
            _figure(quantity, getattr(agency, name), system),
            para(translated(quantity.help), SMALL),
        ]
        for name, quantity in wanted.items()
    ]
    heading = Heading(_("Uncertainties and windows"), key="uncertainties")
    widths = [0.5 * room, 90.0, 0.5 * room - 90.0]
    made = table(rows, widths, [("ALIGN", (1, 0), (1, -1), "RIGHT")])
    caption = Caption("Table", _("Standing figures of the agency."))
    return [CondPageBreak(120), heading, caption, made]


_WAY_FIELDS = (
    "u_embedded_k", "u_surfaces_k", "u_shaded_surface_k", "u_air_history_k", "u_shade_air_k",
)  # fmt: skip


def _figure(quantity: Quantity, value: float, system: System) -> str:
    if quantity.unit in ("mm", "m", "K", "kN"):
        return shown(value, Dimension(quantity.unit), system)
    unit = {"1/degC": "/°C", "deg": "°"}.get(quantity.unit, quantity.unit)
    if quantity.unit == "1/degC":
        return f"{figure(value * 1e6)} × 10⁻⁶\u202f{unit}"
    return figure(value) + (unit if unit == "°" else f"\u202f{translated(unit)}")
