"""Keep the checks of a bridge as its register and its last readings have them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from typing import Any, NamedTuple

from django.utils import timezone

from inspections.lookups.devices import stands_now
from inspections.lookups.parts import in_parts
from inspections.models import AgencySettings, CapacityCheck, Verdict
from inspections.models.choices import ReadingQuantity
from inspections.services.capacity.devices import Device, Devices
from inspections.services.capacity.found import NowFound, Row, Told, refused, rows_of
from inspections.services.capacity.last_read import LastReadings, ReadOn
from inspections.services.capacity.rules import CHECKS_OF_DEVICE, checked
from inspections.services.channels import build_channels
from inspections.services.device_figures import ChannelKey
from inspections.services.many_rows import insert_columns
from inspections.services.standing_register import StandingRegister, design_of
from inventory.models import Element, Installation
from inventory.models.choices import GapAxis
from movement import MODEL_VERSION
from movement.capacity.results import Rule
from movement.errors import InputError

_STORED = ("inspection_id", "model_version", *Row._fields)
"""Columns of a check that must be the same for it to be left as it is."""


class Held(NamedTuple):
    """A bridge whose checks are written; ``verdicts`` are those of visits that were handed in."""

    register: StandingRegister
    verdicts: Sequence[Verdict]


def write_checks(bridges: Sequence[Held], agency: AgencySettings) -> None:
    """Check every current device of some bridges; checks that stay the same are left."""
    standing = [
        device
        for each in bridges
        for device in each.register.installations.values()
        if stands_now(device)
    ]
    row_of = {device.pk: row for row, device in enumerate(standing)}
    verdicts = [verdict for each in bridges for verdict in each.verdicts]
    rows = [row_of.get(each.installation_id) for each in verdicts]
    last = LastReadings(len(standing))
    last.add(
        ReadOn(number, row, each)
        for number, (row, each) in enumerate(zip(rows, verdicts, strict=True))
        if row is not None
    )
    devices = [
        Device(each, design_of(each), last.of(row), *figures)
        for row, (each, figures) in enumerate(
            zip(standing, _figures(standing, agency), strict=True)
        )
    ]
    wanted: dict[object, list[tuple[Any, ...]]] = {}
    for device, rows in _checked_devices(devices):
        head = (_last_visit(device), MODEL_VERSION)
        wanted[device.installation.pk] = [(*head, *row) for row in rows]
    present: dict[object, list[tuple[Any, ...]]] = defaultdict(list)
    here = [each.register.bridge.pk for each in bridges]
    of_bridges = Element.objects.filter(bridge__in=here).order_by()
    stored = CapacityCheck.objects.filter(element__in=of_bridges).order_by("order")
    for row in stored.values_list("installation_id", *_STORED):
        present[row[0]].append(row[1:])
    for stale in in_parts(pk for pk, rows in present.items() if wanted.get(pk) != rows):
        CapacityCheck.objects.filter(installation_id__in=stale).delete()
    _insert({pk: rows for pk, rows in wanted.items() if rows != present.get(pk)}, standing)


def _insert(
    wanted: Mapping[object, Sequence[tuple[Any, ...]]], devices: Iterable[Installation]
) -> None:
    elements = {device.pk: device.element_id for device in devices}
    rows = [
        (elements[pk], pk, order, *row)
        for pk, stored in wanted.items()
        for order, row in enumerate(stored)
    ]
    if rows:
        names = ("element_id", "installation_id", "order", *_STORED)
        columns = dict(zip(names, zip(*rows, strict=True), strict=True))
        insert_columns(CapacityCheck, columns | {"judged_at": [timezone.now()] * len(rows)})


class SoFar(NamedTuple):
    """What was known after a visit: the devices that stood, and what was last read on each."""

    devices: Sequence[Installation]
    last: Sequence[Mapping[str, Sequence[Verdict]]]


class Now(NamedTuple):
    """The checks of the position found that count: those not met, and if any could be made."""

    exceeded: Sequence[Row]
    tells: bool


def checks_after(visits: Sequence[SoFar], agency: AgencySettings) -> list[dict[int, Now]]:
    """Return what the checks of the positions found say after each visit, by element.

    Writes nothing.  What is the same of all visits is found once.
    """
    # By what it is and not by its key, whose hash is computed anew each time.
    installed = {id(each): each for visit in visits for each in visit.devices}
    figures = dict(zip(installed, _figures(list(installed.values()), agency), strict=True))
    told: list[dict[int, Now]] = [{} for _ in visits]
    # One device after all visits before the next: what is wrong with it is then told in one
    # piece, and the rest can be checked in large ones.
    seen: dict[int, list[tuple[int, Device]]] = {each: [] for each in installed}
    for number, visit in enumerate(visits):
        for each, last in zip(visit.devices, visit.last, strict=True):
            device = Device(each, design_of(each), last, *figures[id(each)])
            seen[id(each)].append((number, device))
    of_type: dict[str, list[tuple[int, Device]]] = defaultdict(list)
    for key, views in seen.items():
        of_type[installed[key].device_type] += views
    for device_type, alike in of_type.items():
        devices = Devices([device for _, device in alike])
        found = NowFound(len(devices))
        for checks in CHECKS_OF_DEVICE[device_type]:
            for some, outcome in checked(checks, devices):
                if not isinstance(outcome, InputError):
                    for each in outcome:
                        found.add(each, some)
        tells = found.tells.tolist()
        for row, (number, device) in enumerate(alike):
            now = Now(found.exceeded.get(row, ()), tells[row])
            told[number][device.installation.element_id] = now
    return told


def _checked_devices(devices: Iterable[Device]) -> Iterator[tuple[Device, list[Row]]]:
    """Yield every device with its checks, those of one type found together."""
    of_type: dict[str, list[Device]] = defaultdict(list)
    for device in devices:
        of_type[device.installation.device_type].append(device)
    for device_type, alike in of_type.items():
        found: dict[Device, list[Told]] = defaultdict(list)
        wrong: dict[Device, dict[str, InputError]] = defaultdict(dict)
        rules: dict[Rule, int] = {}
        for checks in CHECKS_OF_DEVICE[device_type]:
            for some, outcome in checked(checks, Devices(alike)):
                if isinstance(outcome, InputError):
                    for device in some.rows:
                        wrong[device].setdefault(str(outcome), outcome)
                    continue
                told = [
                    Told.of(each, some.first, rules.setdefault(each.check.rule, len(rules)))
                    for each in outcome
                ]
                for device in some.rows:
                    found[device] += told
        for row, device in enumerate(alike):
            rows = rows_of(device, row, found[device])
            yield device, [*map(refused, wrong[device].values()), *rows]


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


def _last_visit(device: Device) -> int | None:
    """Return the last of the visits whose readings are used."""
    used = max(
        chain.from_iterable(device.last.values()), key=lambda each: each.taken_at, default=None
    )
    return None if used is None else used.inspection_id
