"""Method of what many readings tell together: temperature, shortening, history, unit, capacity."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer

from inspections.models import AgencySettings
from inspections.models.choices import CheckFamily
from inspections.paper.text import BODY, SMALL, Caption, Heading, para, table
from inspections.paper.words import figure, heads, percent
from inspections.selectors.report import Report
from inspections.wording_figures import odds, plain_number, times
from inventory.models.choices import ShorteningRule
from inventory.words import translated
from movement.history.findings import HistoryThresholds

HEAT = (
    mark(
        "Where the section of a unit and its station's hourly record are known, the effective"
        " temperature is solved from the heat balance of the section, hour by hour: conduction"
        " between layers of concrete and steel, convection to the air, long-wave exchange with"
        " sky and ground, and the sun on the deck. The section starts several of its time"
        " constants before the reading, so that its start is forgotten. Its uncertainty is"
        " moved through the same balance from the uncertainty of sun, wind and surfaces, and is"
        " larger where the record has holes, no sun, or only daily extremes. A temperature"
        " measured on the bridge itself goes before it."
    ),
)
SHORTENING = (
    mark(
        "Where the concrete of a unit is on record, the strain by which it shortened between"
        " the setting and the reading is part of the expected position: creep under the lasting"
        " compression and shrinkage, each by the rule named for the unit, at the ages of both"
        " days. The rules scatter by {creep} for creep and {shrinkage} for shrinkage (relative"
        " standard deviation), and that is part of the uncertainty. Reinforcement that holds"
        " the concrete back is left out, so the strain is rather too large. Composite and steel"
        " decks are taken not to shorten. What lies outside the range of a rule is not"
        " reckoned, and is said."
    ),
)
HISTORY = (
    mark(
        "The readings of each point are fitted with a line: reading = level + slope ×"
        " temperature difference + drift × time, with errors in the temperatures as well as in"
        " the readings. The slope over the one that physics expects is the response: 1 follows"
        " freely, 0 is frozen. All intervals are {confidence} intervals by Student's t, from"
        " stated uncertainties and the scatter found. The word is given only where the whole"
        " interval supports it: frozen below {frozen}, sluggish below {sluggish}, free above"
        " {free}, more than expected above {more}; it takes {visits} visits at least and an"
        " interval of ±{widest} at most."
    ),
    mark(
        "A drift, a step between two visits and a single reading that does not fit are looked"
        " for in turn, the clearest first; the chance of naming one anywhere in a good history"
        " is held to {chance} for each kind. Where two of them fit equally well, both are"
        " named. The trend is carried to the design extremes; a limit it meets within {horizon}"
        " years makes the element one to watch. Travel of a sliding surface counts daily and"
        " yearly cycles of temperature, not traffic."
    ),
)
UNITS = (
    mark(
        "All readings of a unit are explained together. Each explanation (a frozen or sluggish"
        " bearing, a moved support, a shorter deck, a wrong temperature in one visit, a"
        " blunder, a step, or a wrong fixed point, sign, coefficient or setting in the"
        " register) is weighed by how much likelier it makes the readings than a unit in good"
        " order, averaged over the sizes it may have, with the temperature error of a visit"
        " shared by all of its readings. «Times likelier» is that ratio alone; the odds weigh"
        " also how rare the cause is, a judgement without a published source. An explanation is"
        " named from odds of {needed} on; those whose odds lie within a factor of {apart} of"
        " the first fit equally well and are named with it. It is evidence for an engineer's"
        " judgement, not a finding on the bridge; a cause that is not in the list cannot be"
        " found."
    ),
)
CAPACITY = (
    mark(
        "The device as last found, and carried to both design extremes, is checked by every"
        " rule that speaks of it and whose figures the register holds: demand over capacity is"
        " the use, and above 100 % the rule is broken. Both families of codes are shown where"
        " both have a rule; no check makes a verdict. Figures «from memory» were recalled and"
        " not read in the document: replace them before relying on them. A check that lacks a"
        " figure is not made, and says what it lacks."
    ),
)

EDITIONS = (mark("Used for"), mark("Rule and edition"), mark("Figures"), mark("Checks"))
NONE: Mapping[str, str] = {}


def method_of_findings(report: Report, room: float) -> list[Flowable]:
    """Return how findings are computed, with the thresholds in force and the editions used."""
    figures = _figures(report.agency)
    return [
        *_part(_("Effective temperature by heat balance"), "heat-balance", HEAT),
        *_part(_("Creep and shrinkage"), "shortening", SHORTENING, figures),
        *_part(_("Histories"), "histories", HISTORY, figures),
        *_part(_("Explanations of a whole unit"), "unit-method", UNITS, figures),
        *_part(_("Capacity as found"), "capacity-method", CAPACITY),
        *_editions(report, room),
    ]


def _part(
    title: str, key: str, texts: tuple[str, ...], figures: Mapping[str, str] = NONE
) -> list[Flowable]:
    return [
        CondPageBreak(90),
        Heading(title, key=key),
        *(para(_(text).format(**figures), BODY) for text in texts),
    ]


def _figures(agency: AgencySettings) -> dict[str, str]:
    standing = HistoryThresholds()
    return {
        "creep": percent(agency.creep_scatter),
        "shrinkage": percent(agency.shrinkage_scatter),
        "confidence": percent(standing.confidence),
        "frozen": figure(agency.frozen_below),
        "sluggish": figure(agency.sluggish_below),
        "free": figure(agency.free_above),
        "more": figure(agency.more_than_free_above),
        "visits": str(standing.fewest_visits),
        "widest": figure(standing.widest_half_width),
        "chance": figure(agency.chance),
        "horizon": figure(agency.horizon_years),
        "needed": odds(agency.explanation_needed),
        "apart": times(agency.explanations_apart),
    }


def _editions(report: Report, room: float) -> list[Flowable]:
    """Return which rules this report used, by edition, and how well their figures are known."""
    counted: dict[tuple[str, str, str], int] = {}
    for (family, edition, known), count in report.checks_made.items():
        counted[CheckFamily(family).label, edition, known] = count
    rows: list[list[object]] = [heads(EDITIONS)]
    rows += [
        [
            para(_("Capacity, %(family)s") % {"family": family}, SMALL),
            para(translated(edition), SMALL),
            para(translated(known), SMALL),
            str(count),
        ]
        for (family, edition, known), count in sorted(counted.items())
    ]
    for rule, codes in report.shortening_rules.items():
        rows.append(
            [
                para(_("Creep and shrinkage"), SMALL),
                para(ShorteningRule(rule).label, SMALL),
                para(_("unit %(codes)s") % {"codes": ", ".join(codes)}, SMALL),
                plain_number(None),
            ]
        )
    if len(rows) == 1:
        return []
    widths = [0.24 * room, 0.46 * room, 0.30 * room - 46.0, 46.0]
    made = table(rows, widths, [("ALIGN", (3, 0), (3, -1), "RIGHT")])
    caption = Caption("Table", _("Rules behind the checks, with their editions."))
    return [
        Spacer(0, 4),
        KeepTogether([Heading(_("Rules and editions used"), key="editions"), caption, made])
        if len(rows) < 24
        else made,
    ]
