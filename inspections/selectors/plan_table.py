"""What is due as rows of a table, for a file or a terminal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator

from inspections.models import Due, PlannedVisit
from inspections.selectors import plan
from inspections.wording_plan import due_words
from inventory.exchange.problems import neutralise

COLUMNS = (
    "due_on",
    "overdue_days",
    "district",
    "bridge",
    "name",
    "element",
    "reason",
    "why",
    "last_on",
    "planned_on",
    "lead",
)


def table_rows(rows: Iterable[Due], today: dt.date) -> Iterator[list[str]]:
    """Yield a row for each thing due, with the next visit planned to its bridge."""
    next_visit: dict[int, PlannedVisit] = {}
    for visit in plan.standing(plan.planned()):
        next_visit.setdefault(visit.bridge_id, visit)
    for row in rows:
        visit = next_visit.get(row.bridge_id)
        late = (today - row.due_on).days
        cells = (
            row.due_on,
            late if late > 0 else "",
            row.bridge.district.code,
            row.bridge.code,
            row.bridge.name,
            row.element.code if row.element_id else "",
            row.reason,
            due_words(row),
            row.last_on or "",
            visit.planned_on if visit else "",
            visit.lead.get_username() if visit and visit.lead else "",
        )
        yield [neutralise(str(cell)) for cell in cells]
