"""Words of the bridge's page."""

from django import template
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.plan_of_movement import At
from inventory.decimal_mark import with_mark

register = template.Library()
AT_WORDS = {
    At.VISIT: mark("At the temperature of the visit"),
    At.COLDEST: mark("At the coldest design temperature"),
    At.HOTTEST: mark("At the hottest design temperature"),
}


@register.filter
def at_words(at: At) -> str:
    """Return the temperature that movements are shown at."""
    return _(AT_WORDS[at])


@register.filter
def signed_u(value: float | None) -> str:
    """Show a residual in standard uncertainties with its sign; a dash where there is none."""
    if value is None:
        return "–"
    text = f"{value:+.1f}"
    return with_mark(f"{'0.0' if float(text) == 0 else text}\u202fu".replace("-", "−"))
