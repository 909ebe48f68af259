"""Which visit proves a piece of work: the first that read the element after it was finished."""

from __future__ import annotations

from inspections.models import Reading, WorkItem
from inspections.models.choices import InspectionState
from inspections.models.desk_choices import WorkState


def note_proof(bridge_id: int) -> None:
    """Name the proving visit of every finished item of a bridge; none where there is none yet."""
    items = WorkItem.objects.filter(order__bridge_id=bridge_id).select_related("order")
    changed = []
    for item in items:
        visit_id = _first_reading_after(item) if item.order.state == WorkState.FINISHED else None
        if visit_id != item.proved_by_id:
            item.proved_by_id = visit_id
            changed.append(item)
    WorkItem.objects.bulk_update(changed, ["proved_by"], batch_size=200)


def _first_reading_after(item: WorkItem) -> int | None:
    readings = Reading.objects.filter(
        element_id=item.element_id,
        corrected_by__isnull=True,
        set_aside__isnull=True,
        inspection__date__gte=item.order.finished_on,
    ).exclude(inspection__state=InspectionState.OPEN)
    if item.installation_after_id is not None:
        readings = readings.filter(installation_id=item.installation_after_id)
    first = readings.order_by("taken_at", "pk").values_list("inspection_id", flat=True).first()
    return None if first is None else int(first)
