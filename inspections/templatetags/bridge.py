"""Words of the bridge's page."""

from django import template

from inspections.plan_of_movement import At

register = template.Library()
AT_WORDS = {
    At.VISIT: "At the temperature of the visit",
    At.COLDEST: "At the coldest design temperature",
    At.HOTTEST: "At the hottest design temperature",
}


@register.filter
def at_words(at: At) -> str:
    """Return the temperature that movements are shown at."""
    return AT_WORDS[at]


@register.filter
def signed_u(value: float | None) -> str:
    """Show a residual in standard uncertainties with its sign; a dash where there is none."""
    if value is None:
        return "–"
    text = f"{value:+.1f}"
    return f"{'0.0' if float(text) == 0 else text}\u202fu".replace("-", "−")
