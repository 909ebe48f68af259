"""Words and figures of the engineer's pages that are no quantity with a unit."""

import datetime as dt
from collections.abc import Mapping
from functools import cache

from django import template
from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections import wording
from inspections.drawing.marks import WORST_FIRST, mark_drawing
from inspections.drawing.svg import numbered_anew, to_svg
from inspections.models import Due, ElementStatus, UnitDiagnosis, Verdict
from inspections.models.choices import VerdictWord
from inspections.wording_explanation import readings_words as readings_of
from inspections.wording_figures import NARROW_SPACE, coefficient
from inspections.wording_plan import distance_words
from inspections.wording_plan import when_due as when_due_words
from inspections.wording_status import shortening_words
from inspections.wording_status import status_in_short as in_short
from inspections.wording_status import status_sentence as sentence
from inventory.decimal_mark import with_mark
from inventory.models import Bridge
from inventory.units import System, shown
from inventory.words import translated

register = template.Library()
ROLES = (mark("inspector"), mark("engineer"), mark("manager"), mark("administrator"))


@register.filter
def when_due(due: Due, today: dt.date) -> str:
    """Show how far what is due is away."""
    return when_due_words(due, today)


@register.filter
def share(value: float | None) -> str:
    """Show a share of a limit: 0.914 as 91 %; a dash where there is none."""
    return "–" if value is None else f"{value * 100:.0f}\u202f%"


@register.filter
def share_used(value: float | None) -> str:
    """Show the share used of a limit; what stands on the other side of neutral uses none."""
    return share(None if value is None else max(value, 0.0))


@register.filter
def chance(value: float) -> str:
    """Show a chance: 0.0027 as 0.27 %."""
    told = f"{value * 100:.2g}" if value >= 1e-5 else "0.001"
    return with_mark(f"{told}{NARROW_SPACE}%")


@register.filter
def in_u(value: float | None) -> str:
    """Show a residual in standard uncertainties; a dash where there is none."""
    return "–" if value is None else with_mark(f"{value:.1f}".replace("-", "−"))


@register.simple_tag(takes_context=True)
def expansion(context: dict, per_c: float) -> str:
    """Show a coefficient of thermal expansion per degree of the user's units."""
    return coefficient(per_c, context.get("unit_system", System.SI))


@register.simple_tag
def verdict_svg(verdict: int) -> SafeString:
    """Draw the mark of a verdict; the word stands beside it."""
    return numbered_anew(_mark(verdict, get_language()))


@register.simple_tag
def verdict_told(verdict: int, word: str) -> SafeString:
    """Tell a verdict by shape, word and colour, in a table of many rows whose words are few."""
    return numbered_anew(_told(verdict, word, get_language()))


@cache
def _mark(verdict: int, _language: str | None) -> SafeString:
    return to_svg(mark_drawing(verdict))


@cache
def _told(verdict: int, word: str, _language: str | None) -> str:
    return render_to_string("partials/_mark.html", {"verdict": verdict, "word": word}).strip()


@register.filter(expects_localtime=True)
def day_and_hour(at: dt.datetime) -> SafeString:
    """Show a time as day and hour in the zone of the page; each of the two stays on its line."""
    return format_html(
        '<span class="nowrap">{}</span> <span class="nowrap">{}</span>',
        f"{at:%Y-%m-%d}",
        f"{at:%H:%M}",
    )


@register.simple_tag(takes_context=True)
def expected_band(context: dict, verdict: Verdict) -> str:
    """Show the expected band from its lower to its upper edge; a dash where there is none."""
    edges = wording.band(verdict)
    if edges is None:
        return "–"
    system = context.get("unit_system", System.SI)
    lower, upper = (shown(edge, wording.dimension_of(verdict), system) for edge in edges)
    return _("%(low)s to %(high)s") % {"low": lower.partition(NARROW_SPACE)[0], "high": upper}


@register.filter
def counts_of(bridge: Bridge) -> dict[VerdictWord, int]:
    """Return the counts by verdict that a bridge of the list carries."""
    return {
        VerdictWord.OUT_OF_RANGE: bridge.out_of_range,
        VerdictWord.WATCH: bridge.watch,
        VerdictWord.CANNOT_JUDGE: bridge.cannot_judge,
        VerdictWord.IN_RANGE: bridge.in_range,
    }


@register.filter
def worst_first(counts: Mapping[VerdictWord, int]) -> list[tuple[VerdictWord, int]]:
    """Return the verdicts that occur with their counts, the worst first."""
    return [(word, counts[word]) for word in WORST_FIRST if counts[word]]


@register.simple_tag(takes_context=True)
def in_unit_of(context: dict, row: object, name: str) -> str:
    """Show a number of a row that says itself what it measures, by its ``dimension``."""
    return shown(getattr(row, name), row.dimension, context.get("unit_system", System.SI))


@register.simple_tag(takes_context=True)
def way(context: dict, km: float | None) -> str:
    """Show a way over land in kilometres or miles; a dash where it is not known."""
    return "–" if km is None else distance_words(km, context.get("unit_system", System.SI))


@register.simple_tag(takes_context=True)
def status_sentence(context: dict, status: ElementStatus | None) -> str:
    """Tell why an element has its status: what raised it, and its reading."""
    return sentence(status, context.get("unit_system", System.SI))


@register.filter
def status_in_short(status: ElementStatus | None) -> str:
    """Tell the weightiest reasons of a status in a few words."""
    return in_short(status)


@register.simple_tag(takes_context=True)
def shortening(context: dict, verdict: Verdict) -> str:
    """Tell creep and shrinkage's part of an expected value; nothing where none is reckoned."""
    return shortening_words(verdict, context.get("unit_system", System.SI))


@register.filter
def roles_in_words(roles: str) -> str:
    """Tell the roles in which somebody signed, which are kept by their English names."""
    return ", ".join(translated(each) for each in roles.split(", "))


@register.filter
def readings_words(diagnosis: UnitDiagnosis) -> str:
    """Tell how many readings of how many visits a diagnosis rests on."""
    return readings_of(diagnosis)
