"""Keep the checks of a bridge as its register and its last readings have them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import NamedTuple

from django.utils import timezone

from inspections.models import AgencySettings, CapacityCheck, Verdict
from inspections.models.choices import ReadingQuantity
from inspections.selectors.devices import stands_now
from inspections.services.capacity.devices import Device, Devices
from inspections.services.capacity.found import Row, Told, refused, rows_of
from inspections.services.capacity.rules import CHECKS_OF_DEVICE, checked
from inspections.services.channels import build_channels
from inspections.services.device_figures import ChannelKey
from inspections.services.standing_register import StandingRegister, design_of
from inventory.models import Element, Installation
from inventory.models.choices import GapAxis
from movement import MODEL_VERSION
from movement.errors import InputError


class _Stored(NamedTuple):
    """A check as it is stored, without when it was made."""

    inspection_id: int | None
    model_version: str
    row: Row


def write_checks(
    register: StandingRegister, verdicts: Iterable[Verdict], agency: AgencySettings
) -> None:
    """Check every current device of a bridge; checks that stay the same are left as they are.

    ``verdicts`` are those of the bridge that count: of visits that were handed in.
    """
    standing = [each for each in register.installations.values() if stands_now(each)]
    wanted = {
        device.installation.pk: [_Stored(_last_visit(device), MODEL_VERSION, row) for row in rows]
        for device, rows in _checked_devices(_devices(standing, verdicts, agency))
    }
    present: dict[object, list[_Stored]] = defaultdict(list)
    of_bridge = Element.objects.filter(bridge_id=register.bridge.pk).order_by()
    for pk, visit, version, *row in (
        CapacityCheck.objects.filter(element__in=of_bridge)
        .order_by("order")
        .values_list("installation_id", "inspection_id", "model_version", *Row._fields)
    ):
        present[pk].append(_Stored(visit, version, Row(*row)))
    stale = [pk for pk, rows in present.items() if wanted.get(pk) != rows]
    CapacityCheck.objects.filter(installation_id__in=stale).delete()
    elements = {device.pk: device.element_id for device in standing}
    now = timezone.now()
    CapacityCheck.objects.bulk_create(
        [
            CapacityCheck(
                element_id=elements[pk],
                installation_id=pk,
                inspection_id=each.inspection_id,
                order=order,
                model_version=each.model_version,
                judged_at=now,
                **each.row._asdict(),
            )
            for pk, rows in wanted.items()
            if rows != present.get(pk)
            for order, each in enumerate(rows)
        ],
        batch_size=500,
    )


class SoFar(NamedTuple):
    """What was known after a visit: the devices that stood, and the verdicts up to it."""

    devices: Sequence[Installation]
    verdicts: Sequence[Verdict]


def checks_after(visits: Sequence[SoFar], agency: AgencySettings) -> list[dict[int, list[Row]]]:
    """Return the checks of the positions found, by element, after each visit; writes nothing.

    What is the same of all visits is found once.
    """
    installed = dict.fromkeys(each for visit in visits for each in visit.devices)
    figures = dict(zip(installed, _figures(list(installed), agency), strict=True))
    devices = [
        [
            Device(each, design_of(each), last, *figures[each])
            for each, last in zip(
                visit.devices, _last_readings(visit.devices, visit.verdicts), strict=True
            )
        ]
        for visit in visits
    ]
    rows = dict(_checked_devices([each for some in devices for each in some], now_alone=True))
    return [{each.installation.element_id: rows[each] for each in some} for some in devices]


def _checked_devices(
    devices: Iterable[Device], now_alone: bool = False
) -> Iterator[tuple[Device, list[Row]]]:
    """Yield every device with its checks, those of one type found together."""
    of_type: dict[str, list[Device]] = defaultdict(list)
    for device in devices:
        of_type[device.installation.device_type].append(device)
    for device_type, alike in of_type.items():
        found: dict[Device, list[tuple[int, list[Told]]]] = defaultdict(list)
        wrong: dict[Device, dict[str, InputError]] = defaultdict(dict)
        for checks in CHECKS_OF_DEVICE[device_type]:
            for some, outcome in checked(checks, Devices(alike)):
                if isinstance(outcome, InputError):
                    for device in some.rows:
                        wrong[device].setdefault(str(outcome), outcome)
                    continue
                told = [Told.of(each, now_alone) for each in outcome]
                for index, device in enumerate(some.rows):
                    found[device].append((index, told))
        for device in alike:
            yield device, [*map(refused, wrong[device].values()), *rows_of(device, found[device])]


def _devices(
    current: list[Installation], verdicts: Iterable[Verdict], agency: AgencySettings
) -> list[Device]:
    """Return devices with what was last read on each."""
    last = _last_readings(current, verdicts)
    return [
        Device(each, design_of(each), read, *figures)
        for each, read, figures in zip(current, last, _figures(current, agency), strict=True)
    ]


def _figures(
    devices: list[Installation], agency: AgencySettings
) -> list[tuple[float, float, float]]:
    """Return the extremes of the place of each device [degC], and its slip a degree [mm]."""
    if not devices:
        return []
    # The channel of a gap knows the extremes of any place, and how far a joint racks.
    keys = [ChannelKey(each.pk, ReadingQuantity.GAP, "left", GapAxis.SQUARE) for each in devices]
    channels = build_channels(keys, {each.pk: each for each in devices}, agency)
    slip_per_c = (channels.racking.lever * channels.racking.expansion_per_c).sum(axis=-1)
    columns = (channels.extremes.min_c, channels.extremes.max_c, slip_per_c)
    return list(zip(*(each.tolist() for each in columns), strict=True))


def _last_readings(
    current: Iterable[Installation], verdicts: Iterable[Verdict]
) -> list[dict[str, list[Verdict]]]:
    """Return of each device, by quantity, the points of the last visit that read it."""
    of_quantity: dict[object, dict[str, list[Verdict]]] = {each.pk: {} for each in current}
    for verdict in verdicts:
        known = of_quantity.get(verdict.installation_id)
        if known is not None:
            known.setdefault(verdict.quantity, []).append(verdict)
    return [
        {quantity: _of_last_visit(rows) for quantity, rows in known.items()}
        for known in of_quantity.values()
    ]


def _of_last_visit(verdicts: list[Verdict]) -> list[Verdict]:
    """Return the last verdict of each point of the last visit."""
    visit = max(verdicts, key=lambda each: each.taken_at).inspection_id
    points = {
        (each.point, each.axis): each
        for each in sorted(verdicts, key=lambda each: each.taken_at)
        if each.inspection_id == visit
    }
    return list(points.values())


def _last_visit(device: Device) -> int | None:
    """Return the last of the visits whose readings are used."""
    used = max(
        chain.from_iterable(device.last.values()), key=lambda each: each.taken_at, default=None
    )
    return None if used is None else used.inspection_id
