"""The plan as an iCalendar file (RFC 5545): visits and, if asked for, what is due."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Iterable

from icalendar import Calendar, Event

from inspections.models import Due, PlannedVisit
from inspections.models.choices import InspectionKind
from inspections.wording_plan import due_words

PRODUCT = "-//Bearing and Joint Ledger//Plan//EN"
_SPACE = uuid.UUID("3f0b54f0-6d6b-5c27-9b1e-6f1d1d7b9a10")
"""What the identifiers of this product's events are made in."""
DAY = dt.timedelta(days=1)
ONCE_IN = dt.timedelta(hours=6)


def calendar_of(
    visits: Iterable[PlannedVisit],
    dues: Iterable[Due],
    *,
    name: str,
    now: dt.datetime,
    visit_url: Callable[[PlannedVisit], str],
    due_url: Callable[[Due], str],
    site: str,
) -> bytes:
    """Return the file.  ``site`` sets what is due here apart from another site's."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", ONCE_IN, parameters={"value": "DURATION"})
    for visit in visits:
        calendar.add_component(_visit(visit, visit_url(visit)))
    for row in dues:
        calendar.add_component(_due(row, due_url(row), now, site))
    return calendar.to_ical()


def _visit(visit: PlannedVisit, url: str) -> Event:
    event = _all_day(visit.planned_on, url)
    # The time of planning sets the visit apart from that of another site with the same number.
    event.add("uid", str(uuid.uuid5(_SPACE, f"visit {visit.pk} {visit.planned_at.isoformat()}")))
    event.add("dtstamp", visit.changed_at)
    event.add("last-modified", visit.changed_at)
    event.add("sequence", visit.change_count - 1)
    event.add("status", "CANCELLED" if visit.cancelled_at else "CONFIRMED")
    kind = InspectionKind(visit.kind).label
    event.add("summary", f"{visit.bridge.code}: {kind.lower()} inspection")
    people = [f"Lead: {visit.lead.get_username()}"] if visit.lead else []
    crew = sorted(each.get_username() for each in visit.crew.all())
    people += [f"Crew: {', '.join(crew)}"] if crew else []
    told = [f"{visit.bridge.code} {visit.bridge.name}", *people]
    told += [f"After: {visit.event.name}"] if visit.event else []
    told += [visit.note] if visit.note else []
    event.add("description", "\n".join(told))
    event.add("categories", ["Visit"])
    _place(event, visit)
    return event


def _due(row: Due, url: str, now: dt.datetime, site: str) -> Event:
    event = _all_day(row.due_on, url)
    what = (row.bridge_id, row.element_id, row.reason, row.flag_id, row.event_id, row.order_id)
    event.add("uid", str(uuid.uuid5(_SPACE, f"due {what} {site}")))
    event.add("dtstamp", now)
    event.add("summary", f"Due: {row.bridge.code}, {row.get_reason_display().lower()}")
    event.add("description", f"{row.bridge.code} {row.bridge.name}\n{due_words(row)}")
    event.add("categories", ["Due"])
    _place(event, row)
    return event


def _all_day(day: dt.date, url: str) -> Event:
    event = Event()
    event.add("dtstart", day)
    event.add("dtend", day + DAY)
    event.add("transp", "TRANSPARENT")
    event.add("url", url)
    return event


def _place(event: Event, row: PlannedVisit | Due) -> None:
    bridge = row.bridge
    event.add("location", f"{bridge.code} {bridge.name}")
    if bridge.latitude_deg is not None and bridge.longitude_deg is not None:
        event.add("geo", (bridge.latitude_deg, bridge.longitude_deg))
