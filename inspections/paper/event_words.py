"""What the report of an event says of its bridges and their steps, in words."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from inspections.lookups.plan_facts import HANDED_IN
from inspections.models import Event
from inspections.models.choices import VerdictWord
from inspections.paper.words import word
from inspections.selectors.event_steps import StepFound
from inspections.selectors.events import BridgeAfter
from inspections.wording_plan import distance_words
from inventory.decimal_mark import with_mark
from inventory.units import System, shown
from movement.event_step import StepWord

WORDS = {
    StepWord.STEPPED: (gettext_noop("stepped"), VerdictWord.OUT_OF_RANGE),
    StepWord.WATCH: (gettext_noop("to watch"), VerdictWord.WATCH),
    StepWord.NONE: (gettext_noop("no step"), VerdictWord.IN_RANGE),
    StepWord.CANNOT_COMPARE: (gettext_noop("cannot be told"), VerdictWord.CANNOT_JUDGE),
}
STOOD_STILL = gettext_noop(
    "reads as before though the temperature called for it to move: does not follow"
)


def is_seen(each: BridgeAfter) -> bool:
    """True where a visit has been handed in."""
    return each.inspection is not None and each.inspection.state in HANDED_IN


def where(event: Event, system: System) -> str:
    """Return where it happened."""
    if event.latitude_deg is None or event.longitude_deg is None:
        return _("Bridges by list")
    at = _("%(latitude)s, %(longitude)s") % {
        "latitude": with_mark(f"{event.latitude_deg:.3f}"),
        "longitude": with_mark(f"{event.longitude_deg:.3f}"),
    }
    if not event.radius_km:
        return at
    within = distance_words(event.radius_km, system)
    return _("%(place)s, within %(distance)s") % {"place": at, "distance": within}


def km(distance: float | None, system: System) -> str:
    """Return a distance; a dash where it is not known."""
    return "–" if distance is None else distance_words(distance, system)


def found_words(each: BridgeAfter) -> tuple[StepWord, str]:
    """Return the worst step of a bridge, and all of them in words."""
    if not is_seen(each):
        return StepWord.CANNOT_COMPARE, _("not yet visited")
    compared = len(each.channels.compared)
    if not compared:
        return StepWord.CANNOT_COMPARE, _("nothing to compare with")
    of_all = _("of %(count)s compared") % {"count": compared}
    untold = [_("%(count)s cannot be told") % {"count": each.not_told}] if each.not_told else []
    if each.moved:
        worst = max(row.word for row in each.channels.compared)
        moved = [moved_words(count, what) for count, what in each.moved]
        return worst, ", ".join([*moved, of_all, *untold])
    if each.not_told == compared:
        return StepWord.CANNOT_COMPARE, _("none of %(count)s can be told") % {"count": compared}
    none = _("no step in %(count)s comparisons") % {"count": compared}
    return StepWord.NONE, ", ".join([none, *untold])


def moved_words(count: int, what: str) -> str:
    """Return how many channels of a bridge moved so, in words."""
    if what == "stood_still":
        told = ngettext("%(count)s does not follow", "%(count)s do not follow", count)
    else:
        told = _("%(count)s stepped") if what == "stepped" else _("%(count)s to watch")
    return told % {"count": count}


def size_words(step: StepFound, system: System) -> str:
    """Return the word of a step with its size, or with why it cannot be told."""
    size = word(WORDS[step.word][0])
    if step.size is not None:
        size = f"{size}: {shown(step.size, step.dimension, system, sign=True)}"
        if step.u is not None:
            size += f" ± {shown(step.u, step.dimension, system)}"
    elif step.why_not:
        size = f"{size}: {step.why_not}"
    if step.stood_still:
        size = f"{size}; {_(STOOD_STILL)}"
    return size
