"""What will be done and when, in plain words: from decisions, orders and visits that are due."""

from __future__ import annotations

from inspections.models.desk_choices import (
    DecisionKind,
    DueReason,
    FlagState,
    WorkKind,
    WorkState,
)
from inspections.plain.amounts import day
from inspections.plain.facts import Decided, DueVisit, Facts, Order

NO_DATE = "No date has been set."
NO_DECISION = "No decision has been made yet. An engineer must make it."
KIND = {
    WorkKind.REPAIR: "a repair",
    WorkKind.RESET: "to set the part back to where it should be",
    WorkKind.REPLACEMENT: "a new part in place of this one",
}
WHY = {
    DueReason.ROUTINE: "the usual visit",
    DueReason.IN_DEPTH: "the close look that comes every few years",
    DueReason.EVENT: "a visit after an event",
    DueReason.WATCH: "the next look at this part",
    DueReason.MEASURE_AGAIN: "the new measurement",
    DueReason.PROVING: "the measurement that shows whether the work helped",
}


def plan(facts: Facts) -> list[str]:
    """Return the sentences in the order of what binds most."""
    told = []
    if facts.decided is not None:
        told += _decided(facts.decided, facts.state)
    elif facts.cause and facts.state not in (FlagState.CLOSED, FlagState.WITHDRAWN):
        told.append(NO_DECISION)
    if facts.evidence_changed:
        told.append("What it rested on reads otherwise now. An engineer must decide anew.")
    for order in facts.orders:
        told += _order(order)
    for due in facts.due:
        told.append(_due(due))
    if facts.state not in (FlagState.CLOSED, FlagState.WITHDRAWN) and not _dated(facts):
        told.append(NO_DATE)
    if not told:
        told.append(
            "Nothing more is planned for this fault." if facts.cause else "No work is ordered."
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
    on = f"On {day(decided.on)} an engineer"
    until = f" until {day(decided.until)}" if decided.until else ""
    match decided.kind:
        case DecisionKind.ACCEPT:
            told = f"{on} let it stay as it is{until}."
        case DecisionKind.WATCH:
            every = f" every {decided.months} months" if decided.months else ""
            told = f"{on} ordered that it be looked at{every}{until}."
        case DecisionKind.MEASURE_AGAIN:
            by = f" by {day(decided.until)}" if decided.until else ""
            told = f"{on} ordered that it be measured again{by}."
        case DecisionKind.WORK_ORDERED:
            told = f"{on} decided to have it mended."
        case DecisionKind.MENDED:
            told = f"{on} noted that it was mended."
        case _:
            told = f"{on} closed the matter."
    if state == FlagState.OPEN:
        return [told, "The fault was seen again since. An engineer must decide anew."]
    if state == FlagState.BACK:
        return [told, "It was as it should be since. An engineer must confirm that."]
    return [told]


def _order(order: Order) -> list[str]:
    what = KIND[WorkKind(order.kind)]
    cost = f" The cost is put at {order.estimate}." if order.estimate else ""
    match order.state:
        case WorkState.CANCELLED:
            return [f"Work was ordered on {day(order.ordered_on)}. The order was taken back."]
        case WorkState.FINISHED:
            paid = f" It cost {order.billed}." if order.billed else ""
            proof = (
                f"It was measured after that, on {day(order.proved_on)}."
                if order.proved_on
                else "A new measurement must show whether it helped."
            )
            finished = f" on {day(order.finished_on)}" if order.finished_on else ""
            return [f"The work was finished{finished}.{paid}", proof]
        case WorkState.BEGUN:
            begun = f" on {day(order.begun_on)}" if order.begun_on else ""
            head = f"Work has begun{begun}: {what}."
        case _:
            head = f"Work was ordered on {day(order.ordered_on)}: {what}."
    if order.planned_on is None:
        when = "No date has been set for it."
    elif order.late:
        when = f"It was planned for {day(order.planned_on)} and is late."
    else:
        when = f"It is planned for {day(order.planned_on)}."
    return [head, f"{when}{cost or ' No cost is on file.'}"]


def _due(due: DueVisit) -> str:
    if due.reason == DueReason.ACCEPTANCE:
        late = "should have decided" if due.late else "must decide"
        return f"An engineer {late} anew by {day(due.on)}."
    why = WHY[DueReason(due.reason)]
    told = f"{why[:1].upper()}{why[1:]}"
    if due.late:
        return f"{told} was due by {day(due.on)} and is late."
    return f"{told} is due by {day(due.on)}."
