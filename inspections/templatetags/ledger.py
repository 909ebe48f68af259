"""Template tags: every number on a page goes through ``quantity``."""

from django import template
from django.utils.translation import gettext as _

from inspections import wording
from inspections.form_spec import point_words
from inspections.models import Verdict
from inspections.models.choices import VerdictWord
from inventory.decimal_mark import with_mark
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence
from inventory.zones import zone_words

register = template.Library()

MARKS = {
    VerdictWord.IN_RANGE: "in-range",
    VerdictWord.WATCH: "watch",
    VerdictWord.OUT_OF_RANGE: "out-of-range",
    VerdictWord.CANNOT_JUDGE: "cannot-judge",
}


@register.simple_tag(takes_context=True)
def quantity(context: dict, value: float | None, dimension: str, sign: bool = False) -> str:
    """Show a stored value in the user's units: ``{% quantity joint.opening_min_mm "mm" %}``."""
    return shown(value, Dimension(dimension), context.get("unit_system", System.SI), sign)


@register.simple_tag(takes_context=True)
def reading_value(context: dict, verdict: Verdict, name: str, sign: bool = False) -> str:
    """Show a number of a verdict that is in the unit of its quantity."""
    value = getattr(verdict, name)
    system = context.get("unit_system", System.SI)
    return shown(value, wording.dimension_of(verdict), system, sign)


@register.simple_tag(takes_context=True)
def verdict_sentence(context: dict, verdict: Verdict | None) -> str:
    """Tell a verdict in words."""
    if verdict is None:
        return _(wording.NEVER_READ)
    return wording.sentence(verdict, context.get("unit_system", System.SI))


@register.filter
def verdict_in_short(verdict: Verdict | None) -> str:
    """Tell its weightiest reasons in a few words."""
    return _("never measured") if verdict is None else wording.in_short(verdict)


@register.filter
def verdict_name(verdict: Verdict) -> str:
    """Tell what was read and where."""
    return wording.name_of(verdict)


@register.filter
def temperature_way(verdict: Verdict, station: str = "") -> str:
    """Tell how its temperature was got, the station by its code."""
    return wording.way_words(verdict, station)


@register.filter
def in_words(text: str) -> str:
    """Tell a text of the code, such as a point, in the reader's language."""
    return point_words(text)


@register.filter
def zone_in_words(name: str) -> str:
    """Name a time zone as people say it."""
    return zone_words(name)


@register.filter(name="in_sentence")
def label_in_sentence(words: str) -> str:
    """Tell a label as it stands within a sentence."""
    return in_sentence(words)


@register.filter
def as_typed(text: str) -> str:
    """Show a value as it was typed, with the reader's decimal mark."""
    return with_mark(text)


@register.filter
def verdict_mark(value: int) -> str:
    """Return the class name of a verdict's mark."""
    return MARKS[VerdictWord(value)]
