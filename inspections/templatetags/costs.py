"""Costs and shares of a judgement on a page."""

from decimal import Decimal

from django import template

from inspections.wording_costs import cost_words
from inventory.decimal_mark import with_mark

register = template.Library()


@register.filter
def cost(amount: Decimal | None, currency: str) -> str:
    """Show an amount in the agency's currency; a dash where there is none."""
    return with_mark(cost_words(amount, currency))
