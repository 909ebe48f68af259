"""Which visit proves a piece of work: the first that read the element after it was finished."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple
from uuid import UUID
from zoneinfo import ZoneInfo

from inspections.models import Reading, WorkItem
from inspections.models.choices import InspectionState
from inspections.models.desk_choices import WorkState
from inspections.services.many_rows import update


class _Read(NamedTuple):
    """A reading of an element, of which device and in which visit."""

    at: dt.datetime
    installation_id: UUID
    inspection_id: int


def note_proof(bridge_ids: Sequence[int]) -> None:
    """Name the proving visit of every finished item of some bridges; none where is none yet.

    It follows from the readings as they are now, in whatever order they came.
    """
    items = list(
        WorkItem.objects.filter(order__bridge__in=bridge_ids).select_related("order__bridge")
    )
    finished = {each.pk: each for each in items if each.order.state == WorkState.FINISHED}
    reads = _reads_of({each.element_id for each in finished.values()})
    changed = []
    for item in items:
        visit_id = _first_after(item, reads[item.element_id]) if item.pk in finished else None
        if visit_id != item.proved_by_id:
            item.proved_by_id = visit_id
            changed.append(item)
    update(changed, ["proved_by"])


def _reads_of(element_ids: set[int]) -> dict[int, list[_Read]]:
    """Return the readings that count of handed-in visits, oldest first."""
    found: dict[int, list[_Read]] = defaultdict(list)
    if not element_ids:
        return found
    rows = (
        Reading.objects.filter(
            element__in=element_ids, corrected_by__isnull=True, set_aside__isnull=True
        )
        .exclude(inspection__state=InspectionState.OPEN)
        .order_by("taken_at", "pk")
    )
    columns = ("element_id", "taken_at", "installation_id", "inspection_id")
    for element_id, *rest in rows.values_list(*columns):
        found[element_id].append(_Read(*rest))
    return found


def _first_after(item: WorkItem, reads: list[_Read]) -> int | None:
    since = item.order.finished_at or dt.datetime.combine(
        item.order.finished_on, dt.time(), ZoneInfo(item.order.bridge.time_zone)
    )
    return next(
        (
            each.inspection_id
            for each in reads
            if each.at >= since and item.installation_after_id in (None, each.installation_id)
        ),
        None,
    )
