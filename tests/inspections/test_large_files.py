"""What a file of very many rows rests on: rows put aside on disk, and fewer searches for cycles."""

from inspections.exchange.put_aside import MOST_IN_MEMORY, RowsPutAside


def test_rows_put_aside_come_back_by_their_group_in_the_order_in_which_they_came():
    with RowsPutAside() as aside:
        for line in range(2, 2 * MOST_IN_MEMORY + 11):
            aside.add(("B-1", "B-2", "B-3")[line % 3], (line, [f"é {line}", ""]))
        assert aside.groups() == ["B-3", "B-1", "B-2"]
        for group, first in (("B-1", 3), ("B-2", 4), ("B-3", 2)):
            lines = range(first, 2 * MOST_IN_MEMORY + 11, 3)
            assert list(aside.of(group)) == [(line, [f"é {line}", ""]) for line in lines]
