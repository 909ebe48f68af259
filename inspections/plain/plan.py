"""What will be done and when, in plain words: from decisions, orders and visits that are due."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models.desk_choices import (
    DecisionKind,
    DueReason,
    FlagState,
    WorkKind,
    WorkState,
)
from inspections.plain.amounts import day
from inspections.plain.facts import Decided, DueVisit, Facts, Order
from inventory.decimal_mark import with_mark

NO_DATE = gettext_lazy("No date has been set.")
NO_DECISION = gettext_lazy("No decision has been made yet. An engineer must make it.")
KIND = {
    WorkKind.REPAIR: gettext_lazy("a repair"),
    WorkKind.RESET: gettext_lazy("to set the part back to where it should be"),
    WorkKind.REPLACEMENT: gettext_lazy("a new part in place of this one"),
}
WHY = {
    DueReason.ROUTINE: gettext_lazy("the usual visit"),
    DueReason.IN_DEPTH: gettext_lazy("the close look that comes every few years"),
    DueReason.EVENT: gettext_lazy("a visit after an event"),
    DueReason.WATCH: gettext_lazy("the next look at this part"),
    DueReason.MEASURE_AGAIN: gettext_lazy("the new measurement"),
    DueReason.PROVING: gettext_lazy("the measurement that shows whether the work helped"),
}


def plan(facts: Facts) -> list[str]:
    """Return the sentences in the order of what binds most."""
    told = []
    if facts.decided is not None:
        told += _decided(facts.decided, facts.state)
    elif facts.cause and facts.state not in (FlagState.CLOSED, FlagState.WITHDRAWN):
        told.append(str(NO_DECISION))
    if facts.evidence_changed:
        told.append(_("What it rested on reads otherwise now. An engineer must decide anew."))
    for order in facts.orders:
        told += _order(order)
    for due in facts.due:
        told.append(_due(due))
    if facts.state not in (FlagState.CLOSED, FlagState.WITHDRAWN) and not _dated(facts):
        told.append(str(NO_DATE))
    if not told:
        told.append(
            _("Nothing more is planned for this fault.")
            if facts.cause
            else _("No work is ordered.")
        )
    return told


def _dated(facts: Facts) -> bool:
    """True where some day is named for what comes next."""
    return bool(
        facts.due
        or (facts.until and facts.state not in (FlagState.OPEN, FlagState.BACK))
        or any(
            (each.planned_on or each.finished_on) and each.state != WorkState.CANCELLED
            for each in facts.orders
        )
    )


def _decided(decided: Decided, state: str) -> list[str]:
    told = _what(decided) % {
        "day": day(decided.on),
        "until": day(decided.until) if decided.until else "",
        "months": decided.months,
    }
    if state == FlagState.OPEN:
        return [told, _("The fault was seen again since. An engineer must decide anew.")]
    if state == FlagState.BACK:
        return [told, _("It was as it should be since. An engineer must confirm that.")]
    return [told]


def _what(decided: Decided) -> str:
    """Return what was decided, its days and months to be filled in."""
    match decided.kind, bool(decided.months), bool(decided.until):
        case DecisionKind.ACCEPT, _, False:
            return _("On %(day)s an engineer let it stay as it is.")
        case DecisionKind.ACCEPT, _, _:
            return _("On %(day)s an engineer let it stay as it is until %(until)s.")
        case DecisionKind.WATCH, False, False:
            return _("On %(day)s an engineer ordered that it be looked at.")
        case DecisionKind.WATCH, False, True:
            return _("On %(day)s an engineer ordered that it be looked at until %(until)s.")
        case DecisionKind.WATCH, True, False:
            return _("On %(day)s an engineer ordered that it be looked at every %(months)s months.")
        case DecisionKind.WATCH, _, _:
            return _(
                "On %(day)s an engineer ordered that it be looked at every %(months)s months until"
                " %(until)s."
            )
        case DecisionKind.MEASURE_AGAIN, _, False:
            return _("On %(day)s an engineer ordered that it be measured again.")
        case DecisionKind.MEASURE_AGAIN, _, _:
            return _("On %(day)s an engineer ordered that it be measured again by %(until)s.")
        case DecisionKind.WORK_ORDERED, _, _:
            return _("On %(day)s an engineer decided to have it mended.")
        case DecisionKind.MENDED, _, _:
            return _("On %(day)s an engineer noted that it was mended.")
    return _("On %(day)s an engineer closed the matter.")


def _order(order: Order) -> list[str]:
    words = {
        "ordered": day(order.ordered_on),
        "begun": day(order.begun_on) if order.begun_on else "",
        "planned": day(order.planned_on) if order.planned_on else "",
        "what": KIND[WorkKind(order.kind)],
        "cost": with_mark(order.estimate),
    }
    match order.state:
        case WorkState.CANCELLED:
            return [_("Work was ordered on %(ordered)s. The order was taken back.") % words]
        case WorkState.FINISHED:
            return _finished(order)
        case WorkState.BEGUN:
            head = (
                _("Work has begun on %(begun)s: %(what)s.")
                if order.begun_on
                else _("Work has begun: %(what)s.")
            )
        case _:
            head = _("Work was ordered on %(ordered)s: %(what)s.")
    if order.planned_on is None:
        when = _("No date has been set for it.")
    elif order.late:
        when = _("It was planned for %(planned)s and is late.")
    else:
        when = _("It is planned for %(planned)s.")
    cost = _("The cost is put at %(cost)s.") if order.estimate else _("No cost is on file.")
    return [head % words, f"{when % words} {cost % words}"]


def _finished(order: Order) -> list[str]:
    told = (
        _("The work was finished on %(day)s.") % {"day": day(order.finished_on)}
        if order.finished_on
        else _("The work was finished.")
    )
    if order.billed:
        told += " " + _("It cost %(cost)s.") % {"cost": with_mark(order.billed)}
    if order.proved_on:
        return [
            told,
            _("It was measured after that, on %(day)s.") % {"day": day(order.proved_on)},
        ]
    return [told, _("A new measurement must show whether it helped.")]


def _due(due: DueVisit) -> str:
    on = day(due.on)
    if due.reason == DueReason.ACCEPTANCE:
        told = (
            _("An engineer should have decided anew by %(day)s.")
            if due.late
            else _("An engineer must decide anew by %(day)s.")
        )
        return told % {"day": on}
    why = str(WHY[DueReason(due.reason)])
    words = {"visit": f"{why[:1].upper()}{why[1:]}", "day": on}
    if due.late:
        return _("%(visit)s was due by %(day)s and is late.") % words
    return _("%(visit)s is due by %(day)s.") % words
