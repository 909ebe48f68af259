"""The five texts of a page in plain words, made from the facts, and how long each may be."""

from __future__ import annotations

from collections.abc import Iterable

from inspections.models.desk_choices import FlagCause, FlagState
from inspections.plain.facts import Facts
from inspections.plain.found import found
from inspections.plain.meaning import meaning
from inspections.plain.nouns import noun, where
from inspections.plain.plan import plan
from inspections.plain.unknown import unknown
from inspections.plain_lengths import TEXTS
from inventory.models.choices import ElementKind
from inventory.units import System

TITLES = {
    FlagCause.POSITION: "not where it should be",
    FlagCause.LIMIT: "at or near its limit",
    FlagCause.RESPONSE: "does not move as it should",
    FlagCause.CONDITION: "in the worst of four grades",
    FlagCause.CRITICAL: "something that cannot wait",
}
AFTER = {
    FlagState.MENDED: " (mended, not yet proved)",
    FlagState.CLOSED: " (closed)",
    FlagState.WITHDRAWN: " (no longer shown)",
}


def generated(facts: Facts, system: System) -> dict[str, str]:
    """Return the texts by name, each within its length."""
    made = {
        "found": found(facts, system),
        "meaning": meaning(facts),
        "plan": plan(facts),
        "unknown": unknown(facts, system),
    }
    most = {each.name: each.most for each in TEXTS}
    return {
        "title": title(facts)[: most["title"]],
        **{name: within(sentences, most[name]) for name, sentences in made.items()},
    }


def title(facts: Facts) -> str:
    """Return what the page is about."""
    if facts.place is None:
        return "Nothing is in our files yet"
    name = f"{noun(facts.place)} {where(facts.place)}".removesuffix(" from the start")
    if not facts.cause:
        return f"The {name}: how it stands"
    told = TITLES[FlagCause(facts.cause)]
    if facts.cause == FlagCause.POSITION and facts.place.kind == ElementKind.RESTRAINT:
        told = "not as it should be"
    return f"The {name}: {told}{AFTER.get(FlagState(facts.state), '')}"


def within(sentences: Iterable[str], most: int) -> str:
    """Return the sentences in their order, those left out for which there is no room."""
    text = ""
    for sentence in sentences:
        longer = f"{text} {sentence}".strip()
        if len(longer) <= most:
            text = longer
    return text
