"""A reading belongs to the device that stood at its place on its day, as the register says."""

from collections import defaultdict
from collections.abc import Iterable
from zoneinfo import ZoneInfo

from django.db.models import Count

from inspections.lookups.devices import device_on
from inspections.models import Reading
from inventory.models import Installation
from inventory.scoping import seeing_all


@seeing_all
def readings_follow_devices(bridge_ids: Iterable[int]) -> None:
    """Give readings of replaced or reset devices to the one that stood there on their day.

    A replacement is often entered after the first readings of the new device.  What was
    measured stays as it is; a reading of a day on which no device stood keeps its own.
    """
    several = (
        Installation.objects.filter(element__bridge_id__in=set(bridge_ids))
        .values("element_id")
        .annotate(devices=Count("pk"))
        .filter(devices__gt=1)
        .values("element_id")
    )
    devices: dict[int, list[Installation]] = defaultdict(list)
    for device in Installation.objects.filter(element_id__in=several):
        devices[device.element_id].append(device)
    moved = []
    readings = Reading.objects.filter(element_id__in=list(devices))
    for reading in readings.select_related("inspection__bridge"):
        zone = ZoneInfo(reading.inspection.bridge.time_zone)
        stood = device_on(devices[reading.element_id], reading.taken_at.astimezone(zone).date())
        if stood is not None and stood.pk != reading.installation_id:
            reading.installation = stood
            moved.append(reading)
    Reading.objects.bulk_update(moved, ["installation"], batch_size=500)
