"""Changes as a file: a line for each field, one for a record that was removed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from inspections.selectors.changes import NONE, Change, Difference
from inspections.tables import Table, TableColumn


@dataclass(frozen=True, slots=True)
class Line:
    """One field of one change."""

    change: Change
    difference: Difference


def lines_of(change: Change) -> Iterator[Line]:
    """Give the lines of a change, at least one."""
    for each in change.differences or [Difference("", NONE, NONE)]:
        yield Line(change, each)


def changes_table() -> Table:
    """Return the columns."""
    return Table(
        "changes",
        (
            TableColumn("at_utc", lambda row: f"{row.change.at:%Y-%m-%dT%H:%M:%SZ}"),
            TableColumn("who", lambda row: row.change.who.username if row.change.who else ""),
            TableColumn("kind", lambda row: row.change.kind),
            TableColumn("record", lambda row: row.change.record),
            TableColumn("record_id", lambda row: row.change.record_id),
            TableColumn("what", lambda row: row.change.what),
            TableColumn("field", lambda row: row.difference.label),
            TableColumn("before", lambda row: row.difference.before),
            TableColumn("after", lambda row: row.difference.after),
            TableColumn("reason", lambda row: row.change.reason),
        ),
    )
