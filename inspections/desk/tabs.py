"""The tabs above the list of elements: how many have each verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inspections.desk.filters import VERDICTS_OF_TAB, Tab
from inspections.models.choices import VerdictWord
from inspections.paging import told_count


@dataclass(frozen=True, slots=True)
class TabShown:
    """One tab: what it narrows to, how many rows that leaves, and whether it is the one."""

    tab: Tab
    count: int
    current: bool

    @property
    def told(self) -> str:
        """How many rows that leaves, in words where there are more than are counted."""
        return told_count(self.count)

    @property
    def verdict(self) -> VerdictWord | None:
        """The one verdict it narrows to, whose mark it carries."""
        verdicts = VERDICTS_OF_TAB[self.tab]
        return verdicts[0] if len(verdicts) == 1 else None


def tabs_of(counts: Mapping[VerdictWord, int], current: Tab) -> list[TabShown]:
    """Return every tab with its count."""
    return [
        TabShown(tab, sum(counts[word] for word in VERDICTS_OF_TAB[tab]), tab == current)
        for tab in Tab
    ]
