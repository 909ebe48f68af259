"""From the arrays of a check to what is stored of each device."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from inspections.models.choices import CheckFamily, CheckMoment, ReadingQuantity
from inspections.services.capacity.devices import Device, Devices
from movement.capacity.results import Check, Provenance, Rule, When
from movement.errors import InputError

MOMENTS = {
    When.NOW: CheckMoment.NOW,
    When.AT_MIN: CheckMoment.AT_MIN,
    When.AT_MAX: CheckMoment.AT_MAX,
}
REGISTER_NAMES = {
    # what a rule calls it: the field of the register, or what to do in words
    "ptfe": "ptfe_kind",
    "surface": "sliding_surface",
    "yield_mpa": "contact_yield_mpa",
    "ultimate_mpa": "contact_ultimate_mpa",
    "uplift_kn": "uplift_demand_kn",
    "losses_share": "clamp_loss_share",
    "gap_at_setting_mm": "setting_gap_mm",
    "rotation_mrad_found": "rotation_along_mrad",
    "temperature_c": "the design temperatures of the bridge",
}
READING_OF = {
    # a name that a check asks for: the quantity that is read for it
    "gap_mm": ReadingQuantity.GAP,
    "racking_mm": ReadingQuantity.GAP,
    "offset_along_mm": ReadingQuantity.OFFSET_ALONG,
    "offset_across_mm": ReadingQuantity.OFFSET_ACROSS,
    "tilt_deg": ReadingQuantity.TILT,
}


_AS_THEY_ARE: Mapping[str, str] = MappingProxyType({})


class Row(NamedTuple):
    """What is stored of one check of one device; the names are those of CapacityCheck."""

    family: str
    name: str
    clause: str
    edition: str
    provenance: str
    when: str
    unit: str
    demand: float | None
    capacity: float | None
    use: float | None
    nothing_left: bool
    counts: bool
    lacking: str


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A check of some devices, (n, columns), and which of them it is for.

    Attributes
    ----------
    check : Check
        Columns are points, of which the worst counts, or positions.
    by_position : bool
        The columns are the positions as found and at both extremes.
    applies, counts : array (n,) of bool, or None for all
        Which devices it is for; for which it counts.
    names : mapping of str to str
        What it asks for, beside ``REGISTER_NAMES``, by the name to store.
    """

    check: Check
    by_position: bool = False
    applies: np.ndarray | None = None
    counts: np.ndarray | None = None
    names: Mapping[str, str] = field(default_factory=dict)


def found(
    checks: Iterable[Check],
    *,
    by_position: bool = False,
    applies: np.ndarray | None = None,
    counts: np.ndarray | None = None,
    names: Mapping[str, str] = _AS_THEY_ARE,
) -> list[Found]:
    """Return several checks that are alike in what they are for."""
    return [Found(each, by_position, applies, counts, names) for each in checks]


def as_found(checks: Iterable[Check]) -> list[Check]:
    """Return the checks of the position as found: for what does not move with temperature."""
    return [each for each in checks if each.when is When.NOW]


def named(check: Check, name: str) -> Check:
    """Return a check under another name."""
    return replace(check, rule=replace(check.rule, name=name))


class _Worst(NamedTuple):
    """The point that counts of each device at one moment: lists with a place a device."""

    when: When
    demand: list[float]
    capacity: list[float]
    use: list[float]
    missing: list[tuple[str, list[bool]]]


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """A check of some devices, with what is stored of each.

    ``first`` is as in `Devices`, ``rule`` the number of the rule among those of its devices.
    """

    found: Found
    first: int
    rule: int
    head: tuple[str, ...]
    moments: list[_Worst]

    @classmethod
    def of(cls, found: Found, first: int, rule: int = 0) -> Told:
        """Find the points that count, of all devices together."""
        moments = [_worst(found.check, *each) for each in _moments(found)]
        return cls(found, first, rule, _head(found.check), moments)


def rows_of(device: Device, at: int, told: Iterable[Told]) -> Iterator[Row]:
    """Yield what is stored of one device; a rule that comes twice is stored once.

    ``at`` is its row among those that the checks were found of.  What cannot be checked
    as found is not told again for the extremes, unless these lack something else.
    """
    seen: dict[tuple[int, When], set[str]] = {}
    for each in told:
        index = at - each.first
        if each.found.applies is not None and not each.found.applies[index]:
            continue
        for worst in each.moments:
            key = (each.rule, worst.when)
            if key in seen:
                continue
            row = _row(each, worst, index, device)
            lacks = set(row.lacking.split(", ")) if row.lacking else set()
            seen[key] = lacks
            told_now = seen.get((each.rule, When.NOW), set())
            if not lacks or worst.when is When.NOW or lacks - told_now:
                yield row


class NowFound:
    """What the checks of the positions found say of each of some devices.

    Attributes
    ----------
    tells : array (n,) of bool
        Whether a check that counts could be made.
    exceeded : dict of list of Row
        The checks that count and are not met, by row of the device.
    """

    def __init__(self, count: int) -> None:
        self.tells = np.zeros(count, dtype=bool)
        self.exceeded: dict[int, list[Row]] = defaultdict(list)
        self._claimed: dict[Rule, np.ndarray] = {}

    def add(self, found: Found, devices: Devices) -> None:
        """Add a check of some of the devices; a rule that comes twice counts once."""
        moments = [each for each in _moments(found) if each[0] is When.NOW]
        if not moments:
            return
        here = slice(devices.first, devices.first + len(devices))
        of_rule = self._claimed.setdefault(found.check.rule, np.zeros(self.tells.size, dtype=bool))
        free = ~of_rule[here]
        if found.applies is not None:
            free &= found.applies
        of_rule[here] |= free
        if found.counts is not None:
            free &= found.counts
        _, columns = moments[0]
        use = _at_worst(found.check, columns)[1]
        self.tells[here] |= free & np.isfinite(use)
        over = np.flatnonzero(free & ((use > 1) | np.isinf(use)))
        if over.size:
            told = Told.of(found, devices.first)
            worst = next(each for each in told.moments if each.when is When.NOW)
            for index in over.tolist():
                row = _row(told, worst, index, devices.rows[index])
                self.exceeded[devices.first + index].append(row)


def refused(error: InputError) -> Row:
    """Return what is stored where a figure of the device cannot be right."""
    name = REGISTER_NAMES.get(error.field, error.field)
    # Names are listed with commas, so that a sentence must do without.
    text = f"{name} wrong: {error.message}. {error.remedy}".replace(",", ";")
    return Row(
        CheckFamily.DESIGN.value, "Figures on record", "", "register", Provenance.DESIGN.value,
        CheckMoment.NOW.value, "", None, None, None, False, True, text[:400],
    )  # fmt: skip


def family_of(rule: Rule) -> CheckFamily:
    """Return the family that a rule belongs to, by its edition."""
    if rule.provenance in (Provenance.DESIGN, Provenance.GEOMETRY):
        return CheckFamily.DESIGN
    if rule.edition.startswith("AASHTO"):
        return CheckFamily.AASHTO
    return CheckFamily.EN if rule.edition.startswith("EN ") else CheckFamily.OTHER


def _moments(each: Found) -> list[tuple[When, slice]]:
    if not each.by_position or each.check.use.shape[-1] == 1:
        return [(each.check.when, slice(None))]
    return [(when, slice(column, column + 1)) for column, when in enumerate(When)]


def _at_worst(check: Check, columns: slice) -> tuple[tuple[np.ndarray, np.ndarray], np.ndarray]:
    """Return where the greatest use of each device stands, and that use."""
    use = check.use[:, columns]
    column = np.where(np.isnan(use), -np.inf, use).argmax(axis=1) + (columns.start or 0)
    at = (np.arange(column.size), column)
    return at, check.use[at]


def _worst(check: Check, when: When, columns: slice) -> _Worst:
    at, use = _at_worst(check, columns)
    missing = [(name, lacking[at]) for name, lacking in check.missing.items()]
    return _Worst(
        when,
        check.demand[at].tolist(),
        check.capacity[at].tolist(),
        use.tolist(),
        [(name, lacking.tolist()) for name, lacking in missing if lacking.any()],
    )


def _head(check: Check) -> tuple[str, ...]:
    """Return what is the same of a check of whatever device."""
    rule = check.rule
    return (family_of(rule).value, rule.name, rule.clause, rule.edition, rule.provenance.value)


def _row(told: Told, worst: _Worst, index: int, device: Device) -> Row:
    each, use = told.found, worst.use[index]
    lacks = dict.fromkeys(
        _asked_for(name, each, device) for name, lacking in worst.missing if lacking[index]
    )
    unit = each.check.unit
    return Row(
        *told.head,
        MOMENTS[worst.when].value,
        "" if unit == "-" else unit,
        _finite(worst.demand[index]),
        _finite(worst.capacity[index]),
        _finite(use),
        math.isinf(use),
        each.counts is None or bool(each.counts[index]),
        ", ".join(lacks)[:400] if lacks else "",
    )


def _asked_for(name: str, each: Found, device: Device) -> str:
    """Return the register field or reading to ask for, or in words what keeps it away."""
    stem = name.removesuffix("_at_min").removesuffix("_at_max")
    stem = each.names.get(stem, REGISTER_NAMES.get(stem, stem))
    quantity = READING_OF.get(stem)
    if quantity is None:
        return stem
    if device.of(quantity):
        return device.why_not_carried(quantity)
    return "gap_mm" if quantity == ReadingQuantity.GAP else stem


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
