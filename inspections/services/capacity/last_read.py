"""What was last read on each device, as visit after visit comes in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from operator import attrgetter, itemgetter
from typing import NamedTuple

from inspections.models import Verdict

_TAKEN_AT = attrgetter("taken_at")


class ReadOn(NamedTuple):
    """A verdict with its number in the order of what was read, and the row of its device."""

    number: int
    device: int
    verdict: Verdict


class LastReadings:
    """The points of the last visit that read a quantity of a device, for so many devices.

    The verdicts of one visit may lie among those of another in the order of what was read.
    """

    def __init__(self, devices: int) -> None:
        self._known: list[dict[str, list[ReadOn]]] = [{} for _ in range(devices)]
        self._last: list[dict[str, list[Verdict]]] = [{} for _ in range(devices)]

    def add(self, verdicts: Iterable[ReadOn]) -> None:
        """Take in what was read."""
        touched = set()
        for each in verdicts:
            quantity = each.verdict.quantity
            self._known[each.device].setdefault(quantity, []).append(each)
            touched.add((each.device, quantity))
        for device, quantity in touched:
            known = self._known[device][quantity]
            known.sort(key=itemgetter(0))
            self._last[device][quantity] = _of_last_visit([each.verdict for each in known])

    def of(self, device: int) -> Mapping[str, Sequence[Verdict]]:
        """Return by quantity what was last read on a device."""
        return dict(self._last[device])


def _of_last_visit(verdicts: list[Verdict]) -> list[Verdict]:
    """Return the last verdict of each point of the last visit."""
    visit = max(verdicts, key=_TAKEN_AT).inspection_id
    points = {
        (each.point, each.axis): each
        for each in sorted(verdicts, key=_TAKEN_AT)
        if each.inspection_id == visit
    }
    return list(points.values())
