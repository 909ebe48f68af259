"""The handed-in visits of bridges, what each follows from, and which must be looked at anew."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np

from inspections.lookups.devices import stood_on
from inspections.models import AgencySettings, Condition, Verdict
from inspections.models.choices import InspectionState
from inspections.services.capacity import LastReadings, ReadOn, SoFar
from inspections.services.explanations import Asked
from inspections.services.histories import Known
from inspections.services.judged import Judged
from inspections.services.standing_register import StandingRegister
from inspections.services.unit_places import Site
from inspections.services.visit_digest import VisitDigest
from inspections.services.whole_unit import View
from inventory.models import Installation


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """A bridge among those that are judged together.

    Attributes
    ----------
    register : StandingRegister
    site : Site
        Its units and elements.
    rows : array of int
        Its points, oldest first.
    seen : mapping of int to str
        Digest by visit, of those whose sightings need not be computed if it is still the same.
    """

    register: StandingRegister
    site: Site
    rows: np.ndarray
    seen: Mapping[int, str]


class DeviceOf:
    """Device and element of each point of a bridge, by the row of the point."""

    def __init__(self, found: Judged, rows: np.ndarray, devices: Sequence[Installation]) -> None:
        self.count = len(devices)
        number = {device.pk: index for index, device in enumerate(devices)}
        channels, of_row = np.unique(found.of_point[rows], return_inverse=True)
        keys = [found.keys[channel] for channel in channels.tolist()]
        of_channel = np.array([number[key.installation_id] for key in keys], dtype=np.int64)
        elements = np.array([device.element_id for device in devices], dtype=np.int64)
        self.device = np.full(rows.max(initial=-1) + 1, -1, dtype=np.int64)
        self.device[rows] = of_channel[of_row]
        self.element = elements[self.device]


class Visit(NamedTuple):
    """A handed-in visit with the local hour of its last reading.

    Attributes
    ----------
    own, known : arrays of int
        Its points; those that it and the visits before it read.
    present, of_read : arrays of int
        Those of the known that were read on devices that stood then: what was read on a device
        that stood before is not seen now; and of these the ones at elements that it read.
    stood : mapping
        The devices that stood then, by key.
    stood_rows : array of bool
        The same, of the devices of the bridge.
    at
        Device and element of each point of the bridge.
    """

    inspection_id: int
    ended: dt.datetime
    digest: str
    own: np.ndarray
    known: np.ndarray
    present: np.ndarray
    of_read: np.ndarray
    stood: Mapping[object, Installation]
    stood_rows: np.ndarray
    at: DeviceOf

    @property
    def history_wanted(self) -> Known:
        """What was known of the elements that it read, for their histories."""
        return Known(self.of_read, self.ended)

    def asked_of(self, site: Site) -> Asked:
        """Return what its unit's readings are asked for: what explains them."""
        return Asked(View(site, self.known, frozenset(self.stood)), self.ended, every=False)


def visits_of(
    cases: Sequence[Case],
    found: Judged,
    agency: AgencySettings,
    conditions: Mapping[int, Sequence[Condition]],
) -> list[list[Visit]]:
    """Return the handed-in visits of each bridge, in their order."""
    return [list(_visits(case, found, agency, conditions)) for case in cases]


def _visits(
    case: Case,
    found: Judged,
    agency: AgencySettings,
    conditions: Mapping[int, Sequence[Condition]],
) -> Iterable[Visit]:
    register = case.register
    rows_of: dict[int, list[int]] = defaultdict(list)
    for row in case.rows[found.handed_in[case.rows]].tolist():
        rows_of[found.points[row].key.inspection_id].append(row)
    ended = {
        visit: max(found.points[row].key.taken_at for row in rows)
        for visit, rows in rows_of.items()
    }
    zone = ZoneInfo(register.bridge.time_zone)
    devices = register.devices_of({found.points[row].element_id for row in case.rows.tolist()})
    at = DeviceOf(found, case.rows, list(devices.values()))
    digest = VisitDigest(register, agency)
    known = np.zeros(0, dtype=np.int64)
    for visit, last_at in sorted(ended.items(), key=lambda pair: (pair[1], pair[0])):
        own = np.array(rows_of[visit], dtype=np.int64)
        known = np.sort(np.concatenate([known, own]))
        local = last_at.astimezone(zone)
        stands = stood_on(local.date())
        stood = np.array([stands(each) for each in devices.values()], dtype=bool)
        present = known[stood[at.device[known]]]
        yield Visit(
            visit,
            local,
            digest.after(found, own, conditions.get(visit, ())),
            own,
            known,
            present,
            present[np.isin(at.element[present], at.element[own])],
            {pk: each for (pk, each), there in zip(devices.items(), stood, strict=True) if there},
            stood,
            at,
        )


def so_far(
    visits: Sequence[Visit], new: Iterable[Visit], verdicts: Sequence[Verdict]
) -> Iterable[SoFar]:
    """Yield what was last read on each device after each new one of a bridge's visits."""
    wanted = {each.inspection_id for each in new}
    if not wanted:
        return
    last = LastReadings(max(each.at.count for each in visits))
    for visit in visits:
        own = zip(visit.own.tolist(), visit.at.device[visit.own].tolist(), strict=True)
        last.add(ReadOn(row, device, verdicts[row]) for row, device in own)
        if visit.inspection_id in wanted:
            devices = list(visit.stood.values())
            rows = np.flatnonzero(visit.stood_rows).tolist()
            yield SoFar(devices, [last.of(row) for row in rows])


def conditions_of(bridge_ids: Sequence[int]) -> Mapping[int, list[Condition]]:
    """Return the conditions that handed-in visits found, by visit."""
    found: dict[int, list[Condition]] = defaultdict(list)
    rows = Condition.objects.filter(inspection__bridge__in=bridge_ids)
    for row in rows.exclude(inspection__state=InspectionState.OPEN).order_by("created_at", "pk"):
        found[row.inspection_id].append(row)
    return found
