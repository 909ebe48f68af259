"""The first step where there are too many bridges for a list: find one by what is known of it."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet

from inspections import bridge_choice
from inspections.list_filter import holding_words
from inventory.models import Bridge

MOST_FOUND = 20
"""Bridges that a search shows: as many as are read at a glance."""
LONGEST_SEARCH = 100


@dataclass(frozen=True, slots=True)
class BridgesFound:
    """What a search among many bridges led to.

    ``chosen`` is the bridge where one alone has all the words, or has them as its code.
    """

    asked: str
    chosen: Bridge | None
    found: list[Bridge]
    more: bool

    @property
    def most(self) -> int:
        """How many are shown at most."""
        return MOST_FOUND


def find_bridges(bridges: QuerySet[Bridge], asked: str) -> BridgesFound:
    """Return the bridges whose code or name holds every word, by code."""
    asked = asked.replace("\x00", "").strip()[:LONGEST_SEARCH]
    if not asked:
        return BridgesFound("", None, [], more=False)
    rows = list(holding_words(bridges, asked, "code", "name")[: MOST_FOUND + 1])
    chosen = rows[0] if len(rows) == 1 else bridges.filter(code=asked).first()
    return BridgesFound(asked, chosen, rows[:MOST_FOUND], len(rows) > MOST_FOUND)


def are_many(bridges: QuerySet[Bridge]) -> bool:
    """Return whether there are more bridges than a list to choose from may hold."""
    longest = bridge_choice.LONGEST_LIST
    return len(bridges.order_by().values_list("pk")[: longest + 1]) > longest
