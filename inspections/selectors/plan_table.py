"""What is due as rows of a table, for a file or a terminal."""

from __future__ import annotations

import datetime as dt

from inspections.models import Due
from inspections.selectors import plan
from inspections.selectors.list_tables import still_to_judge
from inspections.tables import Table, TableColumn
from inspections.wording_plan import due_words


def due_table(today: dt.date) -> Table:
    """Return the columns of what is due, each with the next visit planned to its bridge."""
    next_visit: dict[int, tuple[dt.date, str | None]] = {}
    visits = plan.standing(plan.in_brief()[0])
    for bridge_id, day, username in visits.values_list("bridge_id", "planned_on", "lead__username"):
        next_visit.setdefault(bridge_id, (day, username))

    def planned_on(row: Due) -> dt.date | None:
        return next_visit[row.bridge_id][0] if row.bridge_id in next_visit else None

    def lead(row: Due) -> str:
        return next_visit.get(row.bridge_id, (None, None))[1] or ""

    def overdue_days(row: Due) -> int | None:
        late = (today - row.due_on).days
        return late if late > 0 else None

    return Table(
        "due",
        (
            TableColumn("due_on", lambda row: row.due_on),
            TableColumn("overdue_days", overdue_days),
            TableColumn("district", lambda row: row.bridge.district.code),
            TableColumn("bridge", lambda row: row.bridge.code),
            TableColumn("name", lambda row: row.bridge.name),
            TableColumn("element", lambda row: row.element.code if row.element_id else ""),
            TableColumn("reason", lambda row: row.reason),
            TableColumn("why", due_words),
            TableColumn("last_on", lambda row: row.last_on),
            TableColumn("planned_on", planned_on),
            TableColumn("lead", lead),
            still_to_judge("bridge_id"),
        ),
    )
