"""What is due as rows of a table, for a file or a terminal."""

from __future__ import annotations

import datetime as dt

from inspections.models import Due, PlannedVisit
from inspections.selectors import plan
from inspections.selectors.list_tables import still_to_judge
from inspections.tables import Table, TableColumn
from inspections.wording_plan import due_words


def due_table(today: dt.date) -> Table:
    """Return the columns of what is due, each with the next visit planned to its bridge."""
    next_visit: dict[int, PlannedVisit] = {}
    for visit in plan.standing(plan.planned()):
        next_visit.setdefault(visit.bridge_id, visit)

    def planned_on(row: Due) -> dt.date | None:
        visit = next_visit.get(row.bridge_id)
        return visit.planned_on if visit else None

    def lead(row: Due) -> str:
        visit = next_visit.get(row.bridge_id)
        return visit.lead.get_username() if visit and visit.lead else ""

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
