"""What a check of capacity answers, one array element per device."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from movement.checks import Floats, known_or_missing
from movement.errors import InputError


class Provenance(StrEnum):
    """How far the figures of a rule may be trusted."""

    READ = "read in the source"
    READ_IN_COPY = "read in a copy of the source"
    MEMORY = "from memory"
    GEOMETRY = "geometry"
    DESIGN = "the device's own design figure"
    JUDGEMENT = "judgement, no source"


class When(StrEnum):
    """Which position a check speaks of."""

    NOW = "as found"
    AT_MIN = "carried to the least design temperature"
    AT_MAX = "carried to the greatest design temperature"


@dataclass(frozen=True, slots=True)
class Rule:
    """A clause: what it limits, where it stands, and how well its figures are known."""

    name: str
    clause: str
    edition: str
    unit: str
    provenance: Provenance


@dataclass(frozen=True, slots=True, eq=False)
class Check:
    """Demand against capacity by one clause.

    Attributes
    ----------
    rule : Rule
        Name, clause, edition, unit, provenance.
    when : When
        Position checked.
    demand, capacity : array (n,)
        [unit of the rule].  For a rule that asks for *at least* something the demand is
        what is asked and the capacity what is there.  An infinite capacity: no limit.
    use : array (n,)
        Demand over capacity [-]; above 1 the rule is broken; infinite where nothing is
        left; NaN where the check cannot be made, and only there.
    missing : mapping of str to bool array (n,)
        What each element lacks: a register field, or "field within range".
    """

    rule: Rule
    when: When
    demand: Floats
    capacity: Floats
    use: Floats
    missing: Mapping[str, NDArray[np.bool_]]

    @property
    def name(self) -> str:
        """What is limited, in plain English."""
        return self.rule.name

    @property
    def unit(self) -> str:
        """Unit of demand and capacity."""
        return self.rule.unit

    @property
    def clause(self) -> str:
        """Clause of the rule."""
        return self.rule.clause

    @property
    def edition(self) -> str:
        """Standard and edition of the rule."""
        return self.rule.edition

    @property
    def provenance(self) -> Provenance:
        """How well the figures of the rule are known."""
        return self.rule.provenance

    def lacks(self, index: int | tuple[int, ...] = ()) -> tuple[str, ...]:
        """Names of what one element lacks; empty where it can be checked."""
        return tuple(name for name, lacking in self.missing.items() if lacking[index])

    def cannot_check(self, index: int | tuple[int, ...] = ()) -> str:
        """Return "cannot check: needs ..." for one element, or an empty text."""
        names = self.lacks(index)
        return f"cannot check: needs {', '.join(names)}" if names else ""


@dataclass(frozen=True, slots=True, eq=False)
class Carried:
    """A measured quantity as found and carried to both design extremes; NaN: not known."""

    now: Floats
    at_min: Floats
    at_max: Floats
    quantity: str

    @classmethod
    def of(
        cls,
        quantity: str,
        now: ArrayLike,
        at_min: ArrayLike = np.nan,
        at_max: ArrayLike = np.nan,
    ) -> Carried:
        """Check and broadcast; ``quantity`` is its name with unit, such as "gap_mm"."""
        found, low, high = np.broadcast_arrays(
            known_or_missing(quantity, now),
            known_or_missing(f"{quantity}_at_min", at_min),
            known_or_missing(f"{quantity}_at_max", at_max),
        )
        return cls(found, low, high, quantity)

    def states(self) -> Iterator[tuple[When, Floats, str]]:
        """Yield each position with its values and the name to ask for if they lack."""
        yield When.NOW, self.now, self.quantity
        yield When.AT_MIN, self.at_min, f"{self.quantity}_at_min"
        yield When.AT_MAX, self.at_max, f"{self.quantity}_at_max"

    def scaled(self, factor: ArrayLike, quantity: str) -> Carried:
        """Return the three multiplied by a factor, under another name."""
        by = np.asarray(factor, dtype=np.float64)
        return Carried.of(quantity, self.now * by, self.at_min * by, self.at_max * by)


def above_zero_or_missing(field: str, values: ArrayLike) -> Floats:
    """Return ``values`` (NaN: not known); zero, below and infinity are refused."""
    array = known_or_missing(field, values)
    if (array <= 0).any():
        raise InputError(field, f"{np.nanmin(array):g} is not above zero", "Give a positive value.")
    return array


def quotient(demand: ArrayLike, capacity: ArrayLike) -> Floats:
    """Demand over capacity; infinite where nothing is left, 0 where nothing is asked of it."""
    demand, capacity = np.broadcast_arrays(
        np.asarray(demand, dtype=np.float64), np.asarray(capacity, dtype=np.float64)
    )
    spent = np.where((demand <= 0) & (capacity == 0), 0.0, np.inf)
    spent = np.where(np.isnan(demand) | np.isnan(capacity), np.nan, spent)
    out = np.array(spent)
    with np.errstate(over="ignore"):  # a hair of capacity: infinite, as where none is left
        np.divide(demand, capacity, out=out, where=capacity > 0)
    return out


def compare(
    rule: Rule,
    demand: ArrayLike,
    capacity: ArrayLike,
    needs: Mapping[str, ArrayLike],
    when: When = When.NOW,
    bounds: Mapping[str, ArrayLike] | None = None,
) -> Check:
    """Make a check from demand and capacity.

    Parameters
    ----------
    rule : Rule
    demand, capacity : array_like
        [unit of the rule]; NaN where an input is.
    needs : mapping of str to array_like
        Every input that the rule needs, by name; NaN there is reported as missing.
    when : When
    bounds : mapping of str to array_like of bool
        Conditions under which the rule speaks, "field within range": False is reported.

    Returns
    -------
    Check
        Broadcast of everything given.
    """
    lacking = {name: np.isnan(np.asarray(value, np.float64)) for name, value in needs.items()}
    outside = {name: ~np.asarray(holds, dtype=bool) for name, holds in (bounds or {}).items()}
    use = quotient(demand, capacity)
    shape = np.broadcast_shapes(
        use.shape, *(each.shape for each in (*lacking.values(), *outside.values()))
    )
    missing = {
        name: np.broadcast_to(each, shape)
        for name, each in (*lacking.items(), *outside.items())
        if each.any()
    }
    cannot = np.zeros(shape, dtype=bool)
    for each in missing.values():
        cannot |= each
    return Check(
        rule,
        when,
        np.where(cannot, np.nan, np.asarray(demand, dtype=np.float64)),
        np.where(cannot, np.nan, np.asarray(capacity, dtype=np.float64)),
        np.where(cannot, np.nan, use),
        MappingProxyType(missing),
    )
