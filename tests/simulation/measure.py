"""How often the planted cause is found, how surely, and how fast."""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from movement.whole_bridge import Cause, Outcome, diagnose
from tests.simulation.reference import Plain
from tests.simulation.tables import make_units, tables
from tests.simulation.world import USUAL, grown


@dataclass
class Measured:
    """Counts over the units of one plan."""

    confusion: Counter = field(default_factory=Counter)
    """(planted, named) -> units"""
    rates: dict[str, float] = field(default_factory=dict)
    reference: Counter = field(default_factory=Counter)
    misses: list = field(default_factory=list)


def name_of(cause):
    return Cause(cause).name.lower().replace("_", " ")


class Answers:
    """A diagnosis by unit, in the words and local places of the simulator."""

    def __init__(self, worlds, priors=None):
        self.tables = tables(worlds)
        begin = time.process_time()
        self.found = diagnose(*self.tables, priors=priors)
        self.seconds = time.process_time() - begin
        units = np.arange(len(worlds))
        self.e0, self.s0, self.v0 = (
            np.searchsorted(self.tables[at].unit, units) for at in (2, 1, 3)
        )

    def named(self, unit, ranked=None, rank=0):
        ranked = self.found.ranked if ranked is None else ranked
        kind = name_of(ranked.cause[unit, rank])
        place = -1
        if ranked.element[unit, rank] >= 0:
            place = int(ranked.element[unit, rank] - self.e0[unit])
        elif ranked.support[unit, rank] >= 0:
            place = int(ranked.support[unit, rank] - self.s0[unit])
        elif kind == "wrong temperature":
            place = int(ranked.visit[unit, rank] - self.v0[unit])
        return kind, place

    def said(self, unit):
        """Return all explanations that are named, best first; none: healthy."""
        return [self.named(unit, rank=rank) for rank in range(int(self.found.equal[unit]))]

    def said_beside(self, unit):
        """Return what is named as the second cause, and what fits as well."""
        both = (self.named(unit, each) for each in (self.found.beside, self.found.beside_rival))
        return [each for each in both if each[0] != "healthy"]


def truth_of(cause):
    place = cause.get("element", cause.get("support", -1))
    return cause["kind"], cause["visit"] if cause["kind"] == "wrong temperature" else place


def measure(plan, count, seed, reference=True, priors=None, population=USUAL):
    """Make units by a plan, let both methods judge them, and count."""
    worlds = make_units(np.random.default_rng(seed), plan, count, population)
    answers = Answers(worlds, priors)
    out, tally = Measured(), Counter()
    begin = time.process_time()
    plain = [Plain(*world) for world in worlds]
    by_plain = [each.explain() for each in plain] if reference else []
    plain_seconds = time.process_time() - begin
    for unit, (world, *_) in enumerate(worlds):
        planted = [truth_of(cause) for cause in world.causes]
        said = answers.said(unit)
        not_enough = answers.found.outcome[unit] == Outcome.NOT_ENOUGH
        first = said[0] if said else ("not enough" if not_enough else "healthy", -1)
        label = " + ".join(kind for kind, _ in planted) or "healthy"
        if reference:
            out.reference[label, by_plain[unit][0]] += 1
            tally["plain right"] += by_plain[unit] in (planted or [("healthy", -1)])
        if not planted:
            tally["healthy"] += 1
            tally["false alarms"] += bool(said)
            tally["plain false alarms"] += reference and by_plain[unit][0] != "healthy"
            right = strict = not said
        else:
            strict = first in planted
            right = strict or any(each in planted for each in said)
        tally["right"] += right
        tally["strictly first"] += strict
        tally["cannot tell"] += len(said) > 1
        named = first[0] if right == strict else next(k for k, p in said if (k, p) in planted)
        out.confusion[label, named] += 1
        if len(planted) == 2:
            beside = answers.said_beside(unit)
            both = any(one in said and two in beside for one, two in (planted, planted[::-1]))
            tally["both strictly"] += bool(beside) and set(planted) == {first, beside[0]}
            tally["of two"] += 1
            tally["both"] += both
            if all(is_clear(plain[unit], cause) for cause in world.causes):
                tally["both clear"] += 1
                tally["both clear named"] += both
                if not both:
                    out.misses.append((planted, world.shape, world.set_known, said, beside))
        elif answers.found.beside.cause[unit, 0]:
            tally["second too many"] += 1
        if len(planted) == 1:
            _one(tally, answers, plain[unit], unit, world.causes[0], right, strict, named)
        if not right:
            u = plain[unit].standard_error(world.causes[0]) if planted else 0.0
            out.misses.append((u, world.set_known, world.causes, world.shape, first, said))
    out.rates = _rates(tally, count, answers.seconds, plain_seconds)
    return out


def is_clear(plain, cause):
    """Whether the data can tell: response known to 0.15, or a size above 4 standard errors."""
    kind, u = cause["kind"], plain.standard_error(cause)
    if kind in ("frozen", "sluggish", "sign"):
        return u < 0.15
    size = cause["size"] - 1.0 if kind == "coefficient" else cause["size"]
    # the time course of shortening is not known either
    return abs(size) > 4.0 * u * (2.0 if kind == "shortening" else 1.0)


def _one(tally, answers, plain, unit, cause, right, strict, named):
    """Count a unit with one cause: what the data could tell, and the interval."""
    kind, size = cause["kind"], cause["size"]
    if is_clear(plain, cause):
        tally["clear"] += 1
        tally["clear right"] += right
        tally[f"clear {kind}"] += 1
        tally[f"clear right {kind}"] += right
        if kind == "frozen":
            tally["clear frozen missed"] += named in ("healthy", "not enough")
    if kind in ("step", "blunder") and _only_in_the_last(plain, cause):
        said = answers.said(unit)
        tally["equal"] += 1
        tally["equal named"] += all(
            (each, cause["element"]) in said for each in ("step", "blunder")
        )
    if strict:
        ranked = answers.found.ranked
        low, high = ranked.low[unit, 0], ranked.high[unit, 0]
        if kind == "shortening" and not plain.world.set_known:
            # without a setting only what came since the first visit can be known
            share = grown(plain.world, cause, plain.world.days)
            size *= 1.0 - share[0] / share[-1]
        if np.isfinite(low):
            inside = low <= size <= high
            for key in ("", f" {kind}"):
                tally["intervals" + key] += 1
                tally["inside" + key] += inside


def _only_in_the_last(plain, cause):
    own = plain.visit[plain.row == cause["element"]]
    return cause["visit"] == own.max()


def _rates(tally, count, seconds, plain_seconds):
    def share(part, whole):
        return 100.0 * tally[part] / tally[whole] if tally[whole] else np.nan

    tally["all"] = count
    rates = {
        "right cause and place first, or among equals [%]": share("right", "all"),
        "strictly first [%]": share("strictly first", "all"),
        "cannot tell [%]": share("cannot tell", "all"),
        "false alarms [% of healthy]": share("false alarms", "healthy"),
        "both of two named [%]": share("both", "of two"),
        "both of two named, each strictly first [%]": share("both strictly", "of two"),
        "both of two named where the data can tell [%]": share("both clear named", "both clear"),
        "a second cause too many [%]": share("second too many", "all"),
        "data can tell: right [%]": share("clear right", "clear"),
        "data can tell: frozen called healthy [%]": share("clear frozen missed", "clear frozen"),
        "in an element's last reading: step and blunder named [%]": share("equal named", "equal"),
        "units a second of one core": count / seconds,
        "reference: right [%]": share("plain right", "all"),
        "reference: false alarms [% of healthy]": share("plain false alarms", "healthy"),
        "reference: units a second of one core": count / plain_seconds,
    }
    for key in sorted(tally):
        if key.startswith("clear right "):
            kind = key.removeprefix("clear right ")
            of = tally[f"clear {kind}"]
            rates[f"data can tell: right, {kind} [%] of {of}"] = share(key, f"clear {kind}")
    for key in sorted(tally):
        if key.startswith("intervals"):
            kind = key.removeprefix("intervals")
            rates[f"95 % intervals that cover{kind} [%] of {tally[key]}"] = share(
                f"inside{kind}", key
            )
    return rates
