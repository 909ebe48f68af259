"""What an import did, or would do."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from inventory.exchange.problems import Problem


@dataclass(slots=True)
class ImportResult:
    """Rows of the file by record, and what to know about some of them.

    Attributes
    ----------
    created, updated, unchanged : Counter
        Rows by record.
    problems : list of Problem
        Rows left out because the user asked to skip bad ones; empty otherwise.
    notices : list of Problem
        What was read with a reservation, or passed over by its nature.
    dry_run : bool
        True if everything was done but the commit.
    """

    dry_run: bool = False
    created: Counter[str] = field(default_factory=Counter)
    updated: Counter[str] = field(default_factory=Counter)
    unchanged: Counter[str] = field(default_factory=Counter)
    problems: list[Problem] = field(default_factory=list)
    notices: list[Problem] = field(default_factory=list)

    @property
    def rows(self) -> int:
        """Return how many rows were taken."""
        return self.changes + self.unchanged.total()

    @property
    def changes(self) -> int:
        """Return how many rows were created or updated."""
        return self.created.total() + self.updated.total()
