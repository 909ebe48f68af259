"""What is not known, in plain words: what the record lacks, and what would tell."""

from __future__ import annotations

from django.utils.dates import MONTHS
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models.choices import (
    ReadingQuantity,
    SettingFrom,
    TemperatureWay,
    VerdictWord,
)
from inspections.models.desk_choices import RUNNING, FlagCause, FlagState
from inspections.plain.amounts import day, temperature
from inspections.plain.facts import Facts, Measured
from inspections.plain.nouns import CALLED, IN_BRIEF, cause, part
from inspections.plain.readings import why_not
from inventory.models.choices import ElementKind
from inventory.units import System
from movement.results import Reason

FROM_AIR = (
    TemperatureWay.AIR_HISTORY,
    TemperatureWay.SHADE_AIR,
    TemperatureWay.HEAT_BALANCE,
    TemperatureWay.HEAT_BALANCE_AIR,
    TemperatureWay.HEAT_BALANCE_DAYS,
)
WIDE_K = 20.0
"""Readings that span less tell little of how something moves.  Judgement."""
ENDED = (FlagState.CLOSED, FlagState.WITHDRAWN)
DAMAGE = gettext_lazy("Whether something is damaged where nobody can see it is not known.")


def unknown(facts: Facts, system: System) -> list[str]:
    """Return the sentences, what matters most first."""
    measured = facts.later or facts.measured
    if facts.place is None:
        return [_("Nothing is known of its bearings and joints until they are in our files.")]
    if measured is None:
        told = [_("Whether it moves as it should is not known, as it was never measured.")]
    else:
        told = [*_of_reading(measured), *_cause(facts, system), *_span(facts, system)]
    told += _work(facts)
    if facts.state == FlagState.MENDED and not any(each.proved_on for each in facts.orders):
        told.append(_("Whether the work helped is not known before it is measured again."))
    if facts.state in ENDED:
        told.append(_("Whether the fault comes back is not known before the next visit."))
    else:
        told.append(str(DAMAGE))
    return told


def _of_reading(measured: Measured) -> list[str]:
    told = []
    if measured.verdict == VerdictWord.CANNOT_JUDGE:
        why = _("The last reading could not be judged: %(why)s.")
        told.append(why % {"why": why_not(measured)})
    elif measured.moves and measured.temperature_c is None:
        told.append(_("Nobody took the temperature. So how far it should have moved is not known."))
    if measured.way in FROM_AIR:
        told.append(
            _("Only the temperature of the air is known. The deck may have been warmer or colder.")
        )
    if measured.setting_from == SettingFrom.BASELINE:
        told.append(
            _(
                "How it was set when it was built is not known. Its first reading stands in for"
                " that."
            )
        )
    if measured.reasons & Reason.NO_LIMITS and measured.verdict != VerdictWord.CANNOT_JUDGE:
        told.append(_("How far it may move is not in our files."))
    return told


def _cause(facts: Facts, system: System) -> list[str]:
    if facts.state in ENDED:
        return []
    if facts.cause in (FlagCause.CONDITION, FlagCause.CRITICAL):
        return [_("What brought it about is not known.")]
    told = []
    named = [each for each in facts.causes if cause(each, facts.place)]
    if facts.equal:
        told.append(
            _("Which of the causes it is cannot be told yet.")
            if len(named) > 1
            else _("Other causes fit the readings as well.")
        )
    elif named:
        told.append(_("The likeliest cause is not proved."))
    elif facts.cause:
        told.append(_("Why it is so is not known."))
    return [*told, *_proposal(facts, system)] if facts.cause else told


def _proposal(facts: Facts, system: System) -> list[str]:
    proposal = facts.proposal
    if proposal is None:
        return []
    if proposal.place is None or proposal.temperature_c is None:
        return [
            _("No further reading can tell it. It takes a look at the bridge and at our files.")
        ]
    name = part(proposal.place)
    if facts.place is None or facts.place.kind != proposal.place.kind:
        name += f" ({IN_BRIEF[ElementKind(proposal.place.kind)]})"
    words = {
        "what": CALLED[ReadingQuantity(proposal.quantity)] % {"part": name},
        "warm": temperature(proposal.temperature_c, system),
        "month": MONTHS[proposal.month] if proposal.month else "",
    }
    match bool(proposal.month), proposal.rare:
        case False, False:
            when = _("It is to be taken with the deck near %(warm)s.")
        case False, _:
            when = _("It is to be taken with the deck near %(warm)s, which may not come for years.")
        case True, False:
            when = _(
                "It is to be taken with the deck near %(warm)s as on a usual day in %(month)s."
            )
        case _:
            when = _(
                "It is to be taken with the deck near %(warm)s as on a usual day in %(month)s,"
                " which may not come for years."
            )
    told = _("One more reading would tell most: %(what)s.")
    return [f"{told % words} {when % words}"]


def _span(facts: Facts, system: System) -> list[str]:
    if facts.measured is not None and not facts.measured.moves:
        return []
    if facts.visits == 1:
        return [_("It was measured on one visit only.")]
    if facts.coldest_c is None or facts.hottest_c is None:
        return []
    if facts.hottest_c - facts.coldest_c >= WIDE_K:
        return []
    told = _(
        "All readings were taken between %(cold)s and %(warm)s. How it moves on a much colder or"
        " hotter day is not known."
    )
    return [
        told
        % {
            "cold": temperature(facts.coldest_c, system),
            "warm": temperature(facts.hottest_c, system),
        }
    ]


def _work(facts: Facts) -> list[str]:
    running = [each for each in facts.orders if each.state in RUNNING]
    if facts.state == FlagState.IN_WORK and not running:
        return [_("When the work will be done and what it will cost is not known.")]
    told = []
    if any(each.planned_on is None for each in running):
        told.append(_("When the work will be done is not known."))
    if any(not each.estimate for each in running):
        told.append(_("What the work will cost is not known."))
    if facts.state in (FlagState.OPEN, FlagState.BACK) and not running:
        told.append(_("Whether work is needed, and what it would cost, is not decided."))
    if facts.evidence_changed and facts.decided is not None:
        still = _("Whether the decision of %(day)s still holds is not known.")
        told.append(still % {"day": day(facts.decided.on)})
    return told
