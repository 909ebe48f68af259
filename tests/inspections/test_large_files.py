"""What a file of very many rows rests on: rows put aside on disk, and fewer searches for cycles."""

import gc

import pytest

from inspections.exchange.fewer_collections import fewer_collections
from inspections.exchange.put_aside import MOST_IN_MEMORY, RowsPutAside


def test_rows_put_aside_come_back_by_their_group_in_the_order_in_which_they_came():
    with RowsPutAside() as aside:
        for line in range(2, 2 * MOST_IN_MEMORY + 11):
            aside.add(("B-1", "B-2", "B-3")[line % 3], (line, [f"é {line}", ""]))
        assert aside.groups() == ["B-3", "B-1", "B-2"]
        for group, first in (("B-1", 3), ("B-2", 4), ("B-3", 2)):
            lines = range(first, 2 * MOST_IN_MEMORY + 11, 3)
            assert list(aside.of(group)) == [(line, [f"é {line}", ""]) for line in lines]


def test_searches_for_cycles_are_as_before_when_the_last_large_file_is_through():
    usual = gc.get_threshold()
    first, second = fewer_collections(), fewer_collections()
    first.__enter__()
    second.__enter__()
    rare = gc.get_threshold()
    assert rare > usual
    first.__exit__(None, None, None)
    assert gc.get_threshold() == rare
    second.__exit__(None, None, None)
    assert gc.get_threshold() == usual
    with pytest.raises(ZeroDivisionError), fewer_collections():
        raise ZeroDivisionError
    assert gc.get_threshold() == usual
