"""Costs in words: the agency's currency, thousands apart by a thin space, never rounded."""

from __future__ import annotations

from decimal import Decimal

NARROW_SPACE = "\u202f"


def cost_words(amount: Decimal | None, currency: str) -> str:
    """Return ``EUR 12 500.00``; a dash where no cost is on record."""
    if amount is None:
        return "–"
    return f"{currency} {amount:,.2f}".replace(",", NARROW_SPACE).replace(" ", "\u00a0", 1)
