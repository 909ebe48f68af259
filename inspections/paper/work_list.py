"""The list of work orders with their costs, by kind and by district, as a PDF file."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import BinaryIO

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer

from inspections.models import WorkOrder
from inspections.models.desk_choices import WorkState
from inspections.paper.cover import Front, Printing, pages_of, write_report
from inspections.paper.method import limits_of_use
from inspections.paper.progress import Count, Tick, to_nobody
from inspections.paper.text import LEAD, SMALL, SMALL_RIGHT, Caption, Heading, para, table
from inspections.paper.words import heads
from inspections.selectors.work import RUNNING, Sum
from inspections.wording_costs import cost_words
from inventory.decimal_mark import with_mark

COSTS = mark(
    "Sums are exact to the cent. An order without an estimate or a bill adds nothing to that sum;"
    " how many lack one is said. Cancelled orders are listed and are in no sum."
)

SUMS = (mark("Orders"), mark("Estimated"), mark("Billed"))


@dataclass(frozen=True, slots=True)
class By:
    """What orders are summed by: where that stands in the file, and what it is called."""

    key: str
    head: str
    title: str
    caption: str


BY_KIND = By(
    "by-kind", mark("Kind"), mark("By kind"), mark("Costs of open and finished orders by kind.")
)
BY_DISTRICT = By(
    "by-district",
    mark("District"),
    mark("By district"),
    mark("Costs of open and finished orders by district."),
)


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
        kind=_("List of work"),
        name=_("Work orders and their costs"),
        covers=_("Open and finished orders, with sums by kind and by district"),
        running=(_("Work"), _("orders and their costs")),
        facts=[
            (_("Open orders"), str(len(running))),
            (_("Finished orders"), str(len(finished))),
            (_("Cancelled orders"), str(len(cancelled))),
            (_("Currency"), currency),
            (_("Orders"), _chosen(narrowed_to)),
        ],
    )
    pages = pages_of(file, front, printing)
    room = pages.room
    counted = [*running, *finished]
    story = [
        *_sums(counted, room, currency),
        *_orders(_("Open orders"), "open", running, room, currency, progress),
        *_orders(_("Finished orders"), "finished", finished, room, currency, progress),
        *(
            _orders(_("Cancelled orders"), "cancelled", cancelled, room, currency, progress)
            if cancelled
            else []
        ),
        *limits_of_use(_(COSTS)),
    ]
    write_report(pages, front, printing, story)


def _chosen(narrowed_to: Sequence[str]) -> str:
    if not narrowed_to:
        return _("all on record")
    return _("those with %(chosen)s") % {"chosen": "; ".join(narrowed_to)}


def _sum(costs: Sequence[Decimal | None]) -> Sum:
    known = [each for each in costs if each is not None]
    return Sum(sum(known, Decimal(0)), len(costs) - len(known))


def _told(found: Sum, currency: str) -> str:
    told = with_mark(cost_words(found.total, currency))
    if not found.without:
        return told
    return _("%(sum)s (%(count)s without)") % {"sum": told, "count": found.without}


def _sums(rows: Sequence[WorkOrder], room: float, currency: str) -> list[Flowable]:
    heading = Heading(_("Sums"), key="sums")
    if not rows:
        return [KeepTogether([heading, para(_("No work is open or finished."), LEAD)])]
    return [
        heading,
        *_grouped(BY_KIND, rows, lambda each: each.get_kind_display(), room, currency),
        *_grouped(BY_DISTRICT, rows, lambda each: str(each.bridge.district), room, currency),
    ]


def _grouped(
    by: By,
    rows: Sequence[WorkOrder],
    key: Callable[[WorkOrder], str],
    room: float,
    currency: str,
) -> list[Flowable]:
    groups: defaultdict[str, list[WorkOrder]] = defaultdict(list)
    for each in rows:
        groups[key(each)].append(each)
    cells: list[list[object]] = [heads((by.head, *SUMS))]
    for name, found in [*sorted(groups.items()), (_("All"), list(rows))]:
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
        Heading(_(by.title), level=1, key=by.key),
        Caption("Table", _(by.caption)),
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
        return [KeepTogether([heading, para(_("None."), SMALL)])]
    done = key == "finished"
    last = _("Finished") if done else _("Planned for")
    cells: list[list[object]] = [
        [_("Order"), _("Bridge"), _("State"), _("Ordered"), last, _("Estimated"), _("Billed")]
    ]
    for each in rows:
        day = each.finished_on if done else each.planned_on
        state = each.get_state_display()
        if done and each.unproved_count:
            state = f"{state}, {_('not proved yet')}"
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
                para(with_mark(cost_words(each.cost_estimate, currency)), SMALL_RIGHT),
                para(with_mark(cost_words(each.cost, currency)), SMALL_RIGHT),
            ]
        )
    rest = room - 324.0
    right = [("ALIGN", (5, 0), (6, -1), "RIGHT")]
    return [
        CondPageBreak(110),
        heading,
        Caption("Table", _("%(orders)s, the newest first.") % {"orders": title}),
        table(cells, [0.56 * rest, 0.44 * rest, 56.0, 52.0, 52.0, 82.0, 82.0], right),
    ]
