"""What a calendar program reads of the plan."""

from __future__ import annotations

import datetime as dt

from django.db.models import (
    Count,
    DateTimeField,
    IntegerField,
    Max,
    Min,
    OuterRef,
    QuerySet,
    Subquery,
)

from inspections.models import CalendarKey, PlannedVisit
from inspections.rights import districts_of
from inspections.selectors import plan
from inspections.services.calendar_keys import digest_of

VIEW = "inspections.view_inspection"
KEPT = dt.timedelta(days=90)
"""Visits stay in the feed so long after their day, cancelled ones too: a calendar that comes by
late is to learn of it."""


def live_key(key: str) -> CalendarKey | None:
    """Return the row of a key that still opens the plan to somebody who may see it."""
    row = (
        CalendarKey.objects.filter(
            digest=digest_of(key), ended_at__isnull=True, user__is_active=True
        )
        .select_related("user")
        .first()
    )
    return row if row is not None and districts_of(row.user, VIEW) != [] else None


def visits_in_feed(key: CalendarKey, today: dt.date) -> QuerySet[PlannedVisit]:
    """Return the planned visits of a feed with how often, when first and when last changed."""
    changes = PlannedVisit.history.filter(id=OuterRef("pk")).order_by().values("id")
    rows = plan.planned().filter(planned_on__gte=today - KEPT)
    if key.only_own:
        rows = plan.of_user(rows, key.user)
    return rows.annotate(
        change_count=Subquery(
            changes.annotate(found=Count("history_id")).values("found"),
            output_field=IntegerField(),
        ),
        planned_at=Subquery(
            changes.annotate(found=Min("history_date")).values("found"),
            output_field=DateTimeField(),
        ),
        changed_at=Subquery(
            changes.annotate(found=Max("history_date")).values("found"),
            output_field=DateTimeField(),
        ),
    )
