"""What was last read on each device, as visit after visit comes in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from operator import attrgetter, itemgetter

from inspections.models import Verdict
from inventory.models import Installation

_Numbered = tuple[int, Verdict]
_NUMBER, _TAKEN_AT = itemgetter(0), attrgetter("taken_at")


class LastReadings:
    """The points of the last visit that read a quantity of a device.

    Verdicts come with their number in the order of what was read, in which those of one visit
    may lie among those of another.
    """

    def __init__(self, devices: Iterable[Installation]) -> None:
        keys = [each.pk for each in devices]
        self._known: dict[object, dict[str, list[_Numbered]]] = {pk: {} for pk in keys}
        self._last: dict[object, dict[str, list[Verdict]]] = {pk: {} for pk in keys}

    def add(self, verdicts: Iterable[_Numbered]) -> None:
        """Take in what was read."""
        touched = set()
        for number, verdict in verdicts:
            of_device = self._known.get(verdict.installation_id)
            if of_device is not None:
                of_device.setdefault(verdict.quantity, []).append((number, verdict))
                touched.add((verdict.installation_id, verdict.quantity))
        for pk, quantity in touched:
            known = self._known[pk][quantity]
            known.sort(key=_NUMBER)
            self._last[pk][quantity] = _of_last_visit([verdict for _, verdict in known])

    def of(self, device: Installation) -> Mapping[str, Sequence[Verdict]]:
        """Return by quantity what was last read on a device."""
        return dict(self._last[device.pk])


def _of_last_visit(verdicts: list[Verdict]) -> list[Verdict]:
    """Return the last verdict of each point of the last visit."""
    visit = max(verdicts, key=_TAKEN_AT).inspection_id
    points = {
        (each.point, each.axis): each
        for each in sorted(verdicts, key=_TAKEN_AT)
        if each.inspection_id == visit
    }
    return list(points.values())
