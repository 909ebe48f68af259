"""The list of work orders with their costs, by kind and by district, as a PDF file."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import BinaryIO

from django.db.models import QuerySet
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer

from inspections.models import WorkOrder
from inspections.models.desk_choices import WorkState
from inspections.paper.cover import Front, Printing, pages_of, write_report
from inspections.paper.method import limits_of_use
from inspections.paper.progress import Count, Tick, to_nobody
from inspections.paper.text import LEAD, SMALL, SMALL_RIGHT, Caption, Heading, para, table
from inspections.selectors.work import RUNNING, Sum
from inspections.wording_costs import cost_words
from inventory.words import in_english

COSTS = (
    "Sums are exact to the cent. An order without an estimate or a bill adds nothing to that sum;"
    " how many lack one is said. Cancelled orders are listed and are in no sum."
)


@in_english
def write_work_list(
    orders: QuerySet[WorkOrder],
    file: BinaryIO,
    printing: Printing,
    *,
    currency: str,
    narrowed_to: Sequence[str] = (),
    progress: Count = to_nobody,
) -> None:
    """Write the list of some orders, best from ``selectors.work.orders``.

    ``narrowed_to`` says in words what they were chosen by; every order where it is empty.
    ``progress`` is told 1 for each order that has reached its page.
    """
    rows = list(orders)
    running = [each for each in rows if each.state in RUNNING]
    finished = [each for each in rows if each.state == WorkState.FINISHED]
    cancelled = [each for each in rows if each.state == WorkState.CANCELLED]
    front = Front(
        kind="List of work",
        name="Work orders and their costs",
        covers="Open and finished orders, with sums by kind and by district",
        running=("Work", "orders and their costs"),
        facts=[
            ("Open orders", str(len(running))),
            ("Finished orders", str(len(finished))),
            ("Cancelled orders", str(len(cancelled))),
            ("Currency", currency),
            ("Orders", f"those with {'; '.join(narrowed_to)}" if narrowed_to else "all on record"),
        ],
    )
    pages = pages_of(file, front, printing)
    room = pages.room
    counted = [*running, *finished]
    story = [
        *_sums(counted, room, currency),
        *_orders("Open orders", "open", running, room, currency, progress),
        *_orders("Finished orders", "finished", finished, room, currency, progress),
        *(
            _orders("Cancelled orders", "cancelled", cancelled, room, currency, progress)
            if cancelled
            else []
        ),
        *limits_of_use(COSTS),
    ]
    write_report(pages, front, printing, story)


def _sum(costs: Sequence[Decimal | None]) -> Sum:
    known = [each for each in costs if each is not None]
    return Sum(sum(known, Decimal(0)), len(costs) - len(known))


def _told(found: Sum, currency: str) -> str:
    lacking = f" ({found.without} without)" if found.without else ""
    return f"{cost_words(found.total, currency)}{lacking}"


def _sums(rows: Sequence[WorkOrder], room: float, currency: str) -> list[Flowable]:
    heading = Heading("Sums", key="sums")
    if not rows:
        return [KeepTogether([heading, para("No work is open or finished.", LEAD)])]
    return [
        heading,
        *_grouped("kind", rows, lambda each: each.get_kind_display(), room, currency),
        *_grouped("district", rows, lambda each: str(each.bridge.district), room, currency),
    ]


def _grouped(
    by: str,
    rows: Sequence[WorkOrder],
    key: Callable[[WorkOrder], str],
    room: float,
    currency: str,
) -> list[Flowable]:
    groups: defaultdict[str, list[WorkOrder]] = defaultdict(list)
    for each in rows:
        groups[key(each)].append(each)
    cells: list[list[object]] = [[by.capitalize(), "Orders", "Estimated", "Billed"]]
    for name, found in [*sorted(groups.items()), ("All", list(rows))]:
        cells.append(
            [
                para(name, SMALL),
                str(len(found)),
                para(_told(_sum([each.cost_estimate for each in found]), currency), SMALL_RIGHT),
                para(_told(_sum([each.cost for each in found]), currency), SMALL_RIGHT),
            ]
        )
    right = [("ALIGN", (1, 0), (-1, -1), "RIGHT")]
    return [
        CondPageBreak(90),
        Spacer(0, 6),
        Heading(f"By {by}", level=1, key=f"by-{by}"),
        Caption("Table", f"Costs of open and finished orders by {by}."),
        table(cells, [room - 340.0, 40.0, 150.0, 150.0], right),
    ]


def _orders(
    title: str,
    key: str,
    rows: Sequence[WorkOrder],
    room: float,
    currency: str,
    progress: Count,
) -> list[Flowable]:
    heading = Heading(title, key=key)
    if not rows:
        return [KeepTogether([heading, para("None.", SMALL)])]
    done = key == "finished"
    last = "Finished" if done else "Planned for"
    cells: list[list[object]] = [
        ["Order", "Bridge", "State", "Ordered", last, "Estimated", "Billed"]
    ]
    for each in rows:
        day = each.finished_on if done else each.planned_on
        state = each.get_state_display()
        if done and each.unproved_count:
            state += ", not proved yet"
        cells.append(
            [
                [
                    Tick(progress),
                    para(f"{each.code} {each.get_kind_display()}: {each.title}", SMALL),
                ],
                para(f"{each.bridge.code} {each.bridge.name}", SMALL),
                para(state, SMALL),
                f"{each.ordered_on:%Y-%m-%d}",
                f"{day:%Y-%m-%d}" if day else "–",
                para(cost_words(each.cost_estimate, currency), SMALL_RIGHT),
                para(cost_words(each.cost, currency), SMALL_RIGHT),
            ]
        )
    rest = room - 324.0
    right = [("ALIGN", (5, 0), (6, -1), "RIGHT")]
    return [
        CondPageBreak(110),
        heading,
        Caption("Table", f"{title}, the newest first."),
        table(cells, [0.56 * rest, 0.44 * rest, 56.0, 52.0, 52.0, 82.0, 82.0], right),
    ]
