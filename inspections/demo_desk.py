"""What an engineer has decided, ordered and planned on the invented bridges of the demo.

Everything goes through the services that the pages use.  What has happened keeps the days of
the scenario; what lies ahead does too, for as long as it does lie ahead.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import NamedTuple

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from inspections.demo import BRIDGES
from inspections.models import Decision, Flag, OptionStudy
from inspections.models.choices import InspectionKind
from inspections.models.desk_choices import CriterionKind, DecisionKind, FlagCause, WorkKind
from inspections.roles import Role
from inspections.services import options
from inspections.services.decisions import decide, decide_all
from inspections.services.intervals import set_interval
from inspections.services.plan_visits import plan_visit
from inspections.services.work import order_work
from inspections.services.work_done import finish_order
from inventory.models import Bridge, Element

YEAR = dt.timedelta(days=366)


class Way(NamedTuple):
    """One way to mend the frozen rocker; judged by load path, access, traffic and cost."""

    name: str
    description: str
    cost: int
    days: int
    scores: tuple[int, int, int, int]


WEIGHTS = (
    (CriterionKind.LOAD_PATH, 3.0),
    (CriterionKind.ACCESS, 1.0),
    (CriterionKind.TRAFFIC, 2.0),
    (CriterionKind.COST, 1.0),
)
CLEAN = Way(
    "Clean and grease the rocker",
    "Lift at G2 by the cross-frames, clean both contact faces, grease, set upright.",
    18_000,
    8,
    (2, 4, 4, 5),
)
LIKE_FOR_LIKE = Way(
    "A new rocker in its place",
    "Lift at G2, renew rocker and lower plate; the other three stay.",
    41_000,
    20,
    (3, 3, 3, 4),
)
PADS = Way(
    "Elastomeric bearings under all four girders at A2",
    "Lift the whole end by 15 mm under one closed lane, new plinths, steel-reinforced bearings.",
    96_000,
    45,
    (5, 3, 2, 2),
)


FLAGGED = {
    *(("QB-1", f"A1-B{line}", FlagCause.POSITION) for line in range(1, 5)),
    *(("QB-1", "A2-B2", each) for each in (FlagCause.POSITION, FlagCause.RESPONSE)),
    *(("OS-3", "A2-H2", each) for each in (FlagCause.POSITION, FlagCause.LIMIT)),
    ("OS-3", "P2-B1", FlagCause.LIMIT),
    ("TD-2", "A1-B1", FlagCause.LIMIT),
}
"""What is decided on: bridge, element and cause."""


@transaction.atomic
def tell() -> None:
    """Decide, order and plan as an engineer would.

    Nothing is written where somebody has decided already, or where the demo was changed so far
    that what is decided on here is not flagged any more.
    """
    flags = Flag.objects.filter(element__bridge__code__in=BRIDGES)
    present = set(flags.values_list("element__bridge__code", "element__code", "cause"))
    if Decision.objects.filter(flag__in=flags).exists() or not present >= FLAGGED:
        return
    users = {each.username: each for each in get_user_model().objects.all()}
    engineer, inspector = users[Role.ENGINEER], users[Role.INSPECTOR]
    _decide(engineer)
    _replace_the_frozen_rocker(engineer)
    _tighten_the_nut(engineer)
    _plan(engineer, inspector)


def _decide(engineer: AbstractBaseUser) -> None:
    decide(
        flag=_flag("TD-2", "A1-B1", FlagCause.LIMIT),
        kind=DecisionKind.ACCEPT,
        reason="98 % of the movement capacity is used on the coldest day of the design climate,"
        " and no more than when it was first seen in 2021. Accepted until the bearings of A1 are"
        " due; to be read in the coldest month of each year.",
        user=engineer,
        until=_ahead(dt.date(2028, 6, 30)),
        as_of=_past(dt.date(2026, 2, 3)),
    )
    decide_all(
        flags=[_flag("QB-1", f"A1-B{line}", FlagCause.POSITION) for line in range(1, 5)],
        kind=DecisionKind.WATCH,
        reason="The abutment moved between the visits of January 2022 and July 2023 and has stood"
        " since. Followed twice a year, in the cold and in the heat; a survey of A1 is asked for.",
        user=engineer,
        until=_ahead(dt.date(2028, 7, 31)),
        interval_months=6,
        as_of=_past(dt.date(2026, 7, 21)),
    )
    decide(
        flag=_flag("OS-3", "P2-B1", FlagCause.LIMIT),
        kind=DecisionKind.MEASURE_AGAIN,
        reason="0.7 mm of the sheet are left by one reading on one side. To be read by feeler gauge"
        " on all four sides before a replacement is planned.",
        user=engineer,
        until=_ahead(dt.date(2027, 3, 31)),
        as_of=_past(dt.date(2026, 9, 8)),
    )


def _replace_the_frozen_rocker(engineer: AbstractBaseUser) -> None:
    bridge = Bridge.objects.get(code="QB-1")
    flags = [_flag("QB-1", "A2-B2", each) for each in (FlagCause.POSITION, FlagCause.RESPONSE)]
    study = options.open_study(
        bridge=bridge,
        flag=flags[0],
        title="Frozen rocker at A2, girder G2",
        question="The rocker has not moved since 2019: it pushes the abutment in the heat and pulls"
        " it in the cold. How does the deck move freely again at A2?",
        user=engineer,
        criteria=[options.NewCriterion(kind, weight=weight) for kind, weight in WEIGHTS],
    )
    made = {way.name: _weighed(study, way, engineer) for way in (CLEAN, LIKE_FOR_LIKE, PADS)}
    options.drop_option(
        option=made[CLEAN.name],
        why="It would freeze again: water from the joint above still reaches it.",
        user=engineer,
    )
    options.choose_option(
        study=study,
        option=made[PADS.name],
        why="All four rockers of A2 stand under the same joint and are of one age. Elastomeric"
        " bearings have no rolling face to seize, and the end is lifted once, not four times.",
        user=engineer,
    )
    study.refresh_from_db()
    order_work(
        bridge=bridge,
        kind=WorkKind.REPLACEMENT,
        title="New bearings at A2",
        description=PADS.description,
        user=engineer,
        ordered_on=_past_day(dt.date(2026, 9, 14)),
        planned_on=_ahead(dt.date(2027, 5, 3)),
        flags=flags,
        elements=bridge.elements.filter(code__in=["A2-B1", "A2-B3", "A2-B4"]),
        reason="Chosen among three ways that were held side by side.",
        by_whom="Bearing contractor",
        cost_estimate=Decimal(PADS.cost),
        study=study,
    )


def _weighed(study: OptionStudy, way: Way, engineer: AbstractBaseUser) -> options.Option:
    option = options.add_option(
        study=study,
        name=way.name,
        description=way.description,
        cost=Decimal(way.cost),
        duration_days=way.days,
    )
    options.judge_option(
        option=option,
        judgements=[
            options.NewJudgement(criterion, score)
            for criterion, score in zip(study.criteria.order_by("order"), way.scores, strict=True)
        ],
        user=engineer,
    )
    return option


def _tighten_the_nut(engineer: AbstractBaseUser) -> None:
    """Mend one hold-down; no reading has proved it yet."""
    order = order_work(
        bridge=Bridge.objects.get(code="OS-3"),
        kind=WorkKind.REPAIR,
        title="Tighten rod 3 of hold-down A2-H2",
        user=engineer,
        ordered_on=_past_day(dt.date(2026, 9, 4)),
        flags=[_flag("OS-3", "A2-H2", each) for each in (FlagCause.POSITION, FlagCause.LIMIT)],
        reason="The nut of rod 3 has backed off by 7 mm; without it the rod holds nothing down.",
        by_whom="Maintenance crew",
        cost_estimate=Decimal(1200),
    )
    finish_order(
        order=order,
        finished_at=_past(dt.date(2026, 9, 17)),
        outcome="Nut run down and locked, rod 3 tensioned.",
        user=engineer,
        cost=Decimal(1350),
    )


def _plan(engineer: AbstractBaseUser, inspector: AbstractBaseUser) -> None:
    quillbeck, tessendale = (Bridge.objects.get(code=code) for code in ("QB-1", "TD-2"))
    rods = _element("OS-3", "P1-R2")
    set_interval(
        bridge=quillbeck,
        kind=InspectionKind.ROUTINE,
        months=12,
        reason="Abutment A1 has moved.",
        user=engineer,
    )
    set_interval(
        bridge=rods.bridge,
        element=rods,
        kind=InspectionKind.ROUTINE,
        months=6,
        reason="One of three rods is broken.",
        user=engineer,
    )
    for bridge, kind, day, note in (
        (quillbeck, InspectionKind.ROUTINE, dt.date(2027, 1, 20), "In the cold: A1 first"),
        (tessendale, InspectionKind.IN_DEPTH, dt.date(2027, 2, 10), "Jacking room at A2-B3"),
    ):
        plan_visit(
            bridge=bridge,
            kind=kind,
            planned_on=_ahead(day),
            lead=inspector,
            note=note,
            user=engineer,
        )


def _element(bridge: str, code: str) -> Element:
    return Element.objects.select_related("bridge").get(bridge__code=bridge, code=code)


def _flag(bridge: str, code: str, cause: FlagCause) -> Flag:
    return Flag.objects.select_related("element").get(element=_element(bridge, code), cause=cause)


def _ahead(day: dt.date) -> dt.date:
    """Return a day of the scenario, a year from today where it has passed."""
    today = timezone.now().date()
    return day if day > today else today + YEAR


def _past(day: dt.date) -> dt.datetime:
    """Return the noon of a day of the scenario, now where it has not come yet."""
    now = timezone.now().replace(microsecond=0)
    return min(dt.datetime.combine(day, dt.time(12), dt.UTC), now)


def _past_day(day: dt.date) -> dt.date:
    return _past(day).date()
