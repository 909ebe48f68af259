"""Checks of capacity in words: what is limited, by which rule, how far it is used."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from django.utils.translation import ngettext

from inspections.models import CapacityCheck
from inspections.models.choices import CheckFamily, CheckMoment, VerdictWord
from inspections.wording_figures import joined
from inventory.decimal_mark import with_mark
from inventory.models.designs import (
    BEARING_COUNTS,
    BEARING_QUANTITIES,
    JOINT_COUNTS,
    JOINT_QUANTITIES,
    RESTRAINT_COUNTS,
    RESTRAINT_QUANTITIES,
)
from inventory.models.element import ELEMENT_QUANTITIES
from inventory.models.installation import INSTALLATION_QUANTITIES
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence, translated
from movement.capacity.restraints import GAP_FIELD
from movement.capacity.results import Provenance

NEAR = 0.9
"""Use from which a check is near its capacity where the agency says nothing else."""
_REGISTER = (
    BEARING_QUANTITIES | JOINT_QUANTITIES | RESTRAINT_QUANTITIES | INSTALLATION_QUANTITIES
    | ELEMENT_QUANTITIES | BEARING_COUNTS | JOINT_COUNTS | RESTRAINT_COUNTS
)  # fmt: skip
_KEY_GAPS = {
    "back": mark("a reading of the key gap, back"),
    "ahead": mark("a reading of the key gap, ahead"),
    "left": mark("a reading of the key gap, left"),
    "right": mark("a reading of the key gap, right"),
}
_SLACK = {
    "back": mark("a reading of the slack, back"),
    "ahead": mark("a reading of the slack, ahead"),
    "left": mark("a reading of the slack, left"),
    "right": mark("a reading of the slack, right"),
}
NAMES = {
    # what a check may lack that is no field of the register
    "gap": mark("a reading of the gap"),
    "offset": mark("a reading of the offset"),
    "offset_along": mark("a reading of the offset along"),
    "offset_across": mark("a reading of the offset across"),
    "rotation": mark("a reading of the rotation"),
    "rotation_along": mark("a reading of the rotation"),
    "tilt": mark("a reading of the tilt"),
    "slip": mark("a reading of the slip"),
    "projection": mark("a reading of the rod projection"),
    "protrusion": mark("the height of the sliding gap"),
    "rod_tension": mark("the tension found in a rod"),
    "rods_broken": mark("the number of broken rods"),
    "temperature": mark("an effective temperature"),
    "ptfe_kind": mark("the kind of PTFE"),
    "sliding_surface": mark("the kind of sliding surface"),
    "rod_grade": mark("the grade of the rods, with its standard"),
    "projection_reading": mark("a reading of the rod projection"),
    **{f"key_gap_{each}": _KEY_GAPS[each] for each in GAP_FIELD.values()},
    **{f"slack_{each}": _SLACK[each] for each in GAP_FIELD.values()},
    "sheet": mark("the kind of sliding sheet"),
    "surface": mark("the kind of sliding surface"),
    "grade": mark("the hardness grade of the elastomer"),
    "losses_share": mark("the part of the clamping force that is lost"),
    "stressed_to": mark("what the rods are stressed to"),
    "faces": mark("the number of friction faces"),
    "rod_count": mark("the number of rods"),
    "cells": mark("the number of cells"),
    "skew": mark("the skew"),
}
_FIGURES = {
    Provenance.MEMORY: mark("figures from memory"),
    Provenance.JUDGEMENT: mark("figures judgement, no source"),
}
_UNIT = re.compile(r"_(mm2|mm|mrad|deg|kn|mpa|c|k|m|per_mm)(?=_|$)")


class State(IntEnum):
    """What a check found, the worst greatest."""

    CANNOT_CHECK = 0
    NOT_NEEDED = 1
    MET = 2
    NEAR = 3
    EXCEEDED = 4


STATE_WORDS = {
    State.CANNOT_CHECK: mark("cannot check"),
    State.NOT_NEEDED: mark("another method is met"),
    State.MET: mark("met"),
    State.NEAR: mark("near"),
    State.EXCEEDED: mark("exceeded"),
}


MARK_OF_STATE = {
    State.CANNOT_CHECK: VerdictWord.CANNOT_JUDGE,
    State.NOT_NEEDED: VerdictWord.CANNOT_JUDGE,
    State.MET: VerdictWord.IN_RANGE,
    State.NEAR: VerdictWord.WATCH,
    State.EXCEEDED: VerdictWord.OUT_OF_RANGE,
}
"""The mark beside the word: that of the verdict it is most like."""


@dataclass(frozen=True, slots=True)
class CheckTold:
    """One check in words, each found when it is asked for: of most checks only the state is."""

    check: CapacityCheck
    system: System
    state: State

    @property
    def word(self) -> str:
        """What was found, in a word."""
        return _(STATE_WORDS[self.state])

    @property
    def name(self) -> str:
        """What is limited."""
        return translated(self.check.name)

    @property
    def family(self) -> str:
        """Family of rules that the clause belongs to."""
        return CheckFamily(self.check.family).label

    @property
    def moment(self) -> str:
        """Position at which it was checked."""
        return CheckMoment(self.check.when).label

    @property
    def rule(self) -> str:
        """Clause and edition."""
        return rule_words(self.check)

    @property
    def demand(self) -> str:
        """The demand with its unit."""
        return amount(self.check.demand, self.check.unit, self.system)

    @property
    def capacity(self) -> str:
        """The capacity with its unit."""
        return capacity_words(self.check, self.system)

    @property
    def use(self) -> str:
        """The use as a share."""
        return use_words(self.check)

    @property
    def needs(self) -> str:
        """What it lacks; empty where it could be made."""
        return needs_words(self.check)


def tell_checks(
    checks: Iterable[CapacityCheck], system: System, near: float = NEAR
) -> list[CheckTold]:
    """Return checks in words, in their order."""
    return [tell_check(each, system, near) for each in checks]


def tell_check(check: CapacityCheck, system: System, near: float = NEAR) -> CheckTold:
    """Return one check in words."""
    return CheckTold(check, system, state_of(check, near))


def state_of(check: CapacityCheck, near: float = NEAR) -> State:
    """Return whether a check is met, near its capacity, past it, or cannot be made.

    What belongs to a method in whose place another is met counts for nothing.
    """
    if check.use is None and not check.nothing_left:
        return State.CANNOT_CHECK
    if not check.counts:
        return State.NOT_NEEDED
    if check.nothing_left or check.use > 1.0:
        return State.EXCEEDED
    return State.NEAR if check.use >= near else State.MET


def rule_words(check: CapacityCheck) -> str:
    """Return clause and edition, and how well the figures are known where that is to be told."""
    parts = [translated(check.clause), translated(check.edition)]
    if check.provenance in _FIGURES:
        parts.append(_(_FIGURES[Provenance(check.provenance)]))
    return ", ".join(part for part in parts if part)


def capacity_words(check: CapacityCheck, system: System) -> str:
    """Return the capacity; "no limit" where the clause sets none."""
    if check.capacity is None:
        return _("no limit") if check.use is not None else "–"
    return amount(check.capacity, check.unit, system)


def use_words(check: CapacityCheck) -> str:
    """Return the use as a share; words where nothing is left."""
    if check.nothing_left:
        return _("nothing left")
    if check.use is None:
        return "–"
    if check.use > 10:
        return _("over %(share)s") % {"share": "1000\u202f%"}
    return f"{check.use * 100:.0f}\u202f%"


def needs_words(check: CapacityCheck) -> str:
    """Return ``cannot check: needs ...``; empty where it could be checked."""
    if check.use is not None or check.nothing_left:
        return ""
    names = list(
        dict.fromkeys(lacking_name(each) for each in check.lacking.split(",") if each.strip())
    )
    if not names:
        return _("cannot check")
    return _("cannot check: needs %(lacking)s") % {"lacking": joined(names)}


def lacking_name(name: str) -> str:
    """Return the name of a register field or a reading as people say it."""
    name = name.strip()
    wrong, parted, text = name.partition(" wrong: ")
    if parted:
        corrected = _("%(name)s corrected: %(problem)s")
        return corrected % {"name": lacking_name(wrong), "problem": text.rstrip(".")}
    if " " in name and not name.endswith(" within range"):
        return translated(name)  # in words already
    if name.endswith(" within range"):
        within = lacking_name(name.removesuffix(" within range"))
        return _("%(name)s within the range of the rule") % {"name": within}
    for ending in ("", "_found"):
        quantity = _REGISTER.get(name.removesuffix(ending)) if name.endswith(ending) else None
        if quantity is not None and not ending:
            return f"«{translated(quantity.label)}»"
        if quantity is not None:
            label = in_sentence(translated(quantity.label))
            return _("a reading: %(quantity)s") % {"quantity": label}
    stem = name.removesuffix("_at_min").removesuffix("_at_max")
    carried = stem != name
    stem = _UNIT.sub("", stem)
    told = translated(NAMES.get(stem, stem.replace("_", " ")))
    return _("%(name)s, carried to a design temperature") % {"name": told} if carried else told


def check_sentence(told: CheckTold) -> str:
    """Return one check as a sentence."""
    check = told.check
    if told.state == State.CANNOT_CHECK:
        return f"{told.name}, {told.moment}: {told.needs} ({told.rule})."
    used = told.use if check.nothing_left else _("%(share)s used") % {"share": told.use}
    against = _("%(demand)s against %(capacity)s")
    amounts = against % {"demand": told.demand, "capacity": told.capacity}
    return f"{told.name}, {told.moment}: {amounts}, {used}: {told.word} ({told.rule})."


def checks_in_words(told: Iterable[CheckTold]) -> str:
    """Return in one sentence how many checks are exceeded, near, met, and cannot be made."""
    return states_in_words([each.state for each in told])


def states_in_words(found: Sequence[State]) -> str:
    """Return the same of checks of which nothing but this is told."""
    if not found:
        return _("No capacity has been checked.")
    counts = Counter(found)
    parts = [
        f"{counts[state]} {_(words)}"
        for state, words in (
            (State.EXCEEDED, mark("exceeded")),
            (State.NEAR, mark("near capacity")),
            (State.MET, mark("met")),
            (State.NOT_NEEDED, mark("of a method that another stands in for")),
            (State.CANNOT_CHECK, mark("cannot be made")),
        )
        if counts[state]
    ]
    checks = ngettext(
        "%(count)s check of capacity as found: %(states)s.",
        "%(count)s checks of capacity as found: %(states)s.",
        len(found),
    )
    return checks % {"count": len(found), "states": joined(parts)}


def made_and_lacking(told: Sequence[CheckTold]) -> tuple[list[CheckTold], list[CheckTold]]:
    """Return the checks that were made, family by family, and those that lack something."""
    families = list(CheckFamily)
    made = [each for each in told if each.state != State.CANNOT_CHECK]
    made.sort(key=lambda each: families.index(CheckFamily(each.check.family)))
    return made, [each for each in told if each.state == State.CANNOT_CHECK]


def worst_of(told: Sequence[CheckTold]) -> CheckTold | None:
    """Return the check with the greatest use, None where none that counts could be made."""
    made = [each for each in told if each.state > State.NOT_NEEDED]
    return max(
        made,
        key=lambda each: (each.state, each.check.nothing_left, each.check.use or 0.0),
        default=None,
    )


def amount(value: float | None, unit: str, system: System) -> str:
    """Return a demand or capacity in the reader's units; a dash where there is none."""
    if value is None:
        return "–"
    if unit in ("", "-"):
        return with_mark(f"{value:.3g}".replace("-", "−"))
    return shown(value, Dimension(unit), system)
