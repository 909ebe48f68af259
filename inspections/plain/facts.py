"""What a page in plain words relies on: all of it, as plain values that can be kept with it.

Numbers are in the SI unit of their quantity, temperatures in degC.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder

DIGITS = 4
"""Figures that are kept of a number: less is no change of the record."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where it is; ``number`` counts the supports from the start of the bridge.

    ``beside`` is how many of its kind stand at its support; ``sides`` says where there is a
    deck: behind it, towards the start of the bridge, and ahead; ``ties`` whether it is a
    restraint between two that move apart.
    """

    code: str
    kind: str
    device_type: str
    support_kind: str
    number: int
    supports: int
    beside: int
    sides: tuple[bool, bool]
    ties: bool = False


@dataclass(frozen=True, slots=True)
class Then:
    """What a reading is compared with: the setting, the first reading or an earlier one."""

    what: str
    value: float
    expected: float
    temperature_c: float | None
    on: dt.date | None


@dataclass(frozen=True, slots=True)
class Measured:
    """One reading with what was expected of it; ``use`` is the greatest share of a limit.

    ``stands``: no later reading could have shown that what it found has gone.
    """

    quantity: str
    point: str
    value: float
    expected: float | None
    temperature_c: float | None
    on: dt.date
    verdict: int
    reasons: int
    use: float | None
    way: int
    setting_from: str
    moves: bool
    stands: bool
    then: Then | None = None

    @property
    def moved(self) -> float | None:
        """How much it has changed since then."""
        return None if self.then is None else self.value - self.then.value

    @property
    def should(self) -> float | None:
        """How much it should have changed since then."""
        if self.then is None or self.expected is None:
            return None
        return self.expected - self.then.expected


@dataclass(frozen=True, slots=True)
class Critical:
    """A finding of a crew that cannot wait."""

    what: str
    told: str
    found_on: dt.date
    seen_on: dt.date | None


@dataclass(frozen=True, slots=True)
class Decided:
    """The decision that was signed last."""

    kind: str
    on: dt.date
    until: dt.date | None
    months: int | None


@dataclass(frozen=True, slots=True)
class Order:
    """Work on the place; ``proved_on`` is the day of the visit that proved it."""

    code: str
    kind: str
    state: str
    ordered_on: dt.date
    planned_on: dt.date | None
    begun_on: dt.date | None
    finished_on: dt.date | None
    estimate: str
    billed: str
    late: bool
    proved_on: dt.date | None


@dataclass(frozen=True, slots=True)
class DueVisit:
    """A visit that is due there."""

    reason: str
    on: dt.date
    late: bool


@dataclass(frozen=True, slots=True)
class Proposal:
    """The reading that would best tell the causes apart; empty where none would."""

    quantity: str
    place: Place | None
    temperature_c: float | None
    month: int | None
    rare: bool


@dataclass(frozen=True, slots=True)
class Facts:
    """All that the texts and the drawing are made from.

    ``later`` is the last reading of the same point where the one told is older, of whatever
    device stands there now; ``causes`` are those that explain the readings, ``equal`` whether
    several fit as well.
    """

    bridge: str
    cause: str
    state: str
    severity: int
    first_seen_on: dt.date | None
    last_seen_on: dt.date | None
    times_seen: int
    until: dt.date | None
    evidence_changed: bool
    place: Place | None
    measured: Measured | None
    later: Measured | None
    evidence: tuple[Mapping[str, Any], ...]
    critical: tuple[Critical, ...]
    decided: Decided | None
    orders: tuple[Order, ...]
    due: tuple[DueVisit, ...]
    visits: int
    coldest_c: float | None
    hottest_c: float | None
    causes: tuple[int, ...]
    equal: bool
    proposal: Proposal | None
    other_flags: int

    def as_kept(self) -> dict[str, Any]:
        """Return the facts as they are kept with a page."""
        told: dict[str, Any] = json.loads(json.dumps(_rounded(asdict(self)), cls=DjangoJSONEncoder))
        return told


def digest_of(kept: Mapping[str, Any]) -> str:
    """Return the SHA-256 of facts as they are kept."""
    return hashlib.sha256(json.dumps(kept, sort_keys=True).encode()).hexdigest()


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}")
    if isinstance(value, dict):
        return {name: _rounded(each) for name, each in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(each) for each in value]
    return value
