"""The five texts of a page in plain words, made from the facts, and how long each may be."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models.desk_choices import FlagCause, FlagState
from inspections.plain.facts import Facts
from inspections.plain.found import found
from inspections.plain.meaning import meaning
from inspections.plain.nouns import in_title, noun
from inspections.plain.plan import plan
from inspections.plain.unknown import unknown
from inspections.plain_lengths import TEXTS
from inventory.models.choices import ElementKind
from inventory.units import System

TITLES = {
    FlagCause.POSITION: gettext_lazy("not where it should be"),
    FlagCause.LIMIT: gettext_lazy("at or near its limit"),
    FlagCause.RESPONSE: gettext_lazy("does not move as it should"),
    FlagCause.CONDITION: gettext_lazy("in the worst of four grades"),
    FlagCause.CRITICAL: gettext_lazy("something that cannot wait"),
}
AFTER = {
    FlagState.MENDED: gettext_lazy("(mended, not yet proved)"),
    FlagState.CLOSED: gettext_lazy("(closed)"),
    FlagState.WITHDRAWN: gettext_lazy("(no longer shown)"),
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
        return _("Nothing is in our files yet")
    if not facts.cause:
        told = _("how it stands")
    elif facts.cause == FlagCause.POSITION and facts.place.kind == ElementKind.RESTRAINT:
        told = _("not as it should be")
    else:
        told = str(TITLES[FlagCause(facts.cause)])
    names = {"part": noun(facts.place), "where": in_title(facts.place), "told": told}
    after = AFTER.get(FlagState(facts.state)) if facts.cause else None
    title = _("The %(part)s %(where)s: %(told)s") % names
    return f"{title} {after}" if after else title


def within(sentences: Iterable[str], most: int) -> str:
    """Return the sentences in their order, those left out for which there is no room."""
    text = ""
    for sentence in sentences:
        longer = f"{text} {sentence}".strip()
        if len(longer) <= most:
            text = longer
    return text
