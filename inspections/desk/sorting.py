"""Column headings that sort a list, and which of them does."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.words import translated


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a sortable list.

    Attributes
    ----------
    key : str
        What its heading sorts by; empty where it cannot.
    label : str
        In English in a table of columns, in the reader's language in an order.
    falling : bool
        The first click puts the greatest first.
    sorted : str
        "ascending" or "descending" where the list is sorted by it, as ``aria-sort`` says it.
    """

    key: str
    label: str
    number: bool = False
    falling: bool = False
    sorted: str = ""

    @property
    def next_sort(self) -> str:
        """What the address asks for when its heading is followed."""
        down = self.sorted == "ascending" or (self.falling and not self.sorted)
        return f"-{self.key}" if down else self.key


@dataclass(frozen=True, slots=True)
class Order:
    """The order of a list: by which key, which way, and the headings that tell it."""

    by: str
    down: bool
    columns: list[Column]

    @property
    def asked(self) -> str:
        """The same as the address says it."""
        return f"-{self.by}" if self.down else self.by


def order(asked: str, default: str, columns: tuple[Column, ...]) -> Order:
    """Return the order asked for, such as ``-use``; the default one where it is unknown."""
    by = asked.removeprefix("-")
    if by not in {column.key for column in columns if column.key}:
        asked = default
        by = asked.removeprefix("-")
    down = asked.startswith("-")
    return Order(
        by,
        down,
        [
            Column(
                each.key,
                translated(each.label),
                each.number,
                each.falling,
                ("descending" if down else "ascending") if each.key == by else "",
            )
            for each in columns
        ],
    )
