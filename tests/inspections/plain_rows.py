"""Facts of a page in plain words, made without a database, and what makes words plain."""

import datetime as dt
import itertools
import re

import textstat

from inspections.form_spec import QUANTITIES_OF_DEVICE
from inspections.models.choices import CauseWord, ResponseWord, VerdictWord
from inspections.models.desk_choices import DecisionKind, FlagCause, FlagState
from inspections.plain.facts import (
    Critical,
    Decided,
    DueVisit,
    Facts,
    Measured,
    Order,
    Place,
    Proposal,
    Then,
)
from inspections.plain_lengths import TEXTS
from inventory.models.choices import KIND_OF_DEVICE, DeviceType
from movement.history.findings import Finding
from movement.results import Reason

ON = dt.date(2026, 7, 14)
TRADE_WORDS = (
    "effective temperature", "channel", "verdict", "band", "cs3", "cs4", "mrad", "capacity",
    "residual", "uncertainty", "setting", "out of range", "offset", "abutment", "pier",
    "installation", "elastomeric", "articulation", "baseline", "station", "kn", "design extreme",
    "demand", "clause", "holm", "odds", "likelihood", "coefficient", "datum",
)  # fmt: skip
"""Words that a council cannot be expected to know; they may not stand without their meaning."""
EXPLAINED = {
    "bearing": r"a bearing is (the|a) part on which the deck rests|a part on which the deck rests",
    "joint": r"a joint is the gap in the road|a gap in the road that lets the deck grow",
    "deck": r"the deck is the part of the bridge that carries the road",
    "clamp": r"a clamp grips",
    "hold-down": r"a hold-down is a tie",
    "stop ": r"a stop keeps",
}
"""Words of the trade that may stand where what they mean stands on the same page."""


def place(device_type: str = "pot", **fields) -> Place:
    """Return a place at the far end of a bridge with four supports."""
    values = {
        "code": "A2-B2",
        "kind": KIND_OF_DEVICE[DeviceType(device_type)].value,
        "device_type": device_type,
        "support_kind": "abutment",
        "number": 4,
        "supports": 4,
        "beside": 3,
        "sides": (True, False),
    }
    return Place(**values | fields)


def measured(quantity: str = "offset_along", **fields) -> Measured:
    """Return a reading of 17.4 where 33.1 was due, since a setting at 10 degC."""
    values = {
        "quantity": quantity,
        "point": "",
        "value": 17.4,
        "expected": 33.1,
        "temperature_c": 22.6,
        "on": ON,
        "verdict": VerdictWord.OUT_OF_RANGE,
        "reasons": int(Reason.RESIDUAL_OUT),
        "use": 0.83,
        "way": 3,
        "setting_from": "measured",
        "moves": True,
        "stands": False,
        "then": Then("setting", 0.0, 0.0, 10.0, dt.date(2009, 6, 1)),
    }
    return Measured(**values | fields)


def facts(**fields) -> Facts:
    """Return what is on record of an open flag of a bearing that is not where it should be."""
    values = {
        "bridge": "Mill Lane Bridge",
        "cause": FlagCause.POSITION,
        "state": FlagState.OPEN,
        "severity": VerdictWord.OUT_OF_RANGE,
        "first_seen_on": dt.date(2019, 8, 21),
        "last_seen_on": ON,
        "times_seen": 6,
        "until": None,
        "evidence_changed": False,
        "place": place(),
        "measured": measured(),
        "later": None,
        "evidence": ({"kind": "reading", "quantity": "offset_along"},),
        "critical": (),
        "decided": None,
        "orders": (),
        "due": (),
        "visits": 6,
        "coldest_c": -9.0,
        "hottest_c": 27.0,
        "causes": (),
        "equal": False,
        "proposal": None,
        "other_flags": 0,
    }
    return Facts(**values | fields)


def history_item(response: int = ResponseWord.SLUGGISH, **fields) -> dict:
    """Return the evidence that a history leaves."""
    values = {
        "kind": "history",
        "quantity": "offset_along",
        "point": "",
        "axis": "",
        "response": response,
        "findings": int(Finding.STEP | Finding.REACHES_LIMIT),
        "ratio": 0.49,
        "ratio_low": 0.4,
        "ratio_high": 0.6,
        "limit_in_years": 7.3,
        "step_size": 14.0,
    }
    return values | fields


def order(**fields) -> Order:
    """Return an order for a new part."""
    values = {
        "code": "W-1",
        "kind": "replacement",
        "state": "ordered",
        "ordered_on": dt.date(2026, 8, 1),
        "planned_on": dt.date(2027, 5, 3),
        "begun_on": None,
        "finished_on": None,
        "estimate": "EUR 96 000",
        "billed": "",
        "late": False,
        "proved_on": None,
    }
    return Order(**values | fields)


CRITICAL = Critical("The anchor nut is off and the deck lifts.", "the duty officer", ON, None)
DECIDED = {
    FlagState.TO_MEASURE: Decided(DecisionKind.MEASURE_AGAIN, ON, dt.date(2027, 3, 31), None),
    FlagState.WATCHED: Decided(DecisionKind.WATCH, ON, dt.date(2028, 7, 31), 6),
    FlagState.ACCEPTED: Decided(DecisionKind.ACCEPT, ON, dt.date(2028, 6, 30), None),
    FlagState.IN_WORK: Decided(DecisionKind.WORK_ORDERED, ON, None, None),
    FlagState.MENDED: Decided(DecisionKind.MENDED, ON, None, None),
    FlagState.CLOSED: Decided(DecisionKind.CLOSE, ON, None, None),
}
EVIDENCE = {
    FlagCause.POSITION: ({"kind": "reading", "quantity": "gap"}, history_item()),
    FlagCause.LIMIT: (
        {"kind": "reading", "quantity": "gap"},
        history_item(),
        {"kind": "capacity", "name": "Check", "clause": "1", "edition": "1", "use": 1.2},
    ),
    FlagCause.RESPONSE: (history_item(), history_item(ResponseWord.FROZEN)),
    FlagCause.CONDITION: ({"kind": "condition", "defect": 2350, "cs3": 2, "cs4": 4, "total": 12},),
    FlagCause.CRITICAL: ({"kind": "critical", "what": CRITICAL.what},),
}
REASONS = (
    Reason.RESIDUAL_OUT, Reason.PAST_LIMIT_NOW, Reason.PAST_LIMIT_AT_MAX, Reason.NEAR_LIMIT_AT_MIN,
    Reason.NO_TEMPERATURE, Reason.NO_LIMITS,
)  # fmt: skip


def every_kind() -> list[Facts]:
    """Return facts of each cause in each state, over devices, quantities and reasons in turn."""
    reads = [
        (device, quantity)
        for device, quantities in QUANTITIES_OF_DEVICE.items()
        for quantity in quantities
    ]
    turn = itertools.cycle(zip(reads, itertools.cycle(REASONS), strict=False))
    causes = itertools.cycle(list(CauseWord))
    proposals = itertools.cycle(
        [
            None,
            Proposal("", None, None, None, False),
            Proposal("tilt", place("rocker"), -15.0, 2, False),
            Proposal("gap", place("strip_seal", beside=1), 38.0, None, True),
        ]
    )
    made = []
    for cause, state in itertools.product(FlagCause, FlagState):
        for number in range(7):
            (device, quantity), reason = next(turn)
            verdict = VerdictWord.CANNOT_JUDGE if reason >= Reason.NO_READING else 3
            reading = measured(
                quantity, reasons=int(reason), verdict=verdict, way=(3, 5, 0)[number % 3]
            )
            made.append(
                facts(
                    cause=cause,
                    state=state,
                    place=place(device, support_kind=("abutment", "pier", "hinge")[number % 3]),
                    measured=None if number == 6 else reading,
                    later=reading if number == 5 else None,
                    evidence=EVIDENCE[cause],
                    critical=(CRITICAL,) if cause == FlagCause.CRITICAL or number == 4 else (),
                    decided=DECIDED.get(state),
                    evidence_changed=number == 3,
                    orders=(
                        order(
                            state=("ordered", "begun", "finished", "cancelled")[number % 4],
                            finished_on=ON if number % 4 == 2 else None,
                            planned_on=None if number == 1 else ON,
                            late=number == 0,
                            estimate="" if number == 4 else "EUR 96 000",
                        ),
                    )
                    if state in (FlagState.IN_WORK, FlagState.MENDED)
                    else (),
                    due=(DueVisit("proving", ON, True), DueVisit("acceptance", ON, False)),
                    visits=number,
                    hottest_c=2.0 if number == 2 else 27.0,
                    causes=(int(next(causes)), int(next(causes))),
                    equal=number == 1,
                    proposal=next(proposals),
                    other_flags=number,
                )
            )
    return made


def page_words(texts: dict[str, str]) -> str:
    """Return all that a page says, its spaces plain."""
    return " ".join(" ".join(texts[each.name] for each in TEXTS).split())


def unexplained(texts: dict[str, str]) -> list[str]:
    """Return the trade words that stand on a page without what they mean."""
    said = page_words(texts).lower()
    found = [word for word in TRADE_WORDS if re.search(rf"\b{re.escape(word)}s?\b", said)]
    for word, meaning in EXPLAINED.items():
        body = " ".join(texts[each.name] for each in TEXTS[1:]).lower()
        if word in body and not re.search(meaning, body):
            found.append(word.strip())
    return found


def hard_to_read(texts: dict[str, str]) -> list[str]:
    """Return the texts that ask for more than nine years of school or are not easily read."""
    found = []
    for each in TEXTS[1:]:
        text = " ".join(texts[each.name].split())
        grade, ease = textstat.flesch_kincaid_grade(text), textstat.flesch_reading_ease(text)
        if grade > 9.0 or ease < 60.0:
            found.append(f"{each.name}: grade {grade}, ease {ease}: {text}")
    return found
