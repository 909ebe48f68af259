"""Garbage is looked for as often as before when work that makes very many objects is through."""

import gc
import threading
import weakref

import pytest

from inspections.collecting import MANY, collecting_seldom


class Circle:
    """An object that only the collector gives back."""

    def __init__(self) -> None:
        self.itself = self


@pytest.fixture(autouse=True)
def usual():
    """What was in force before, and is again."""
    before = gc.get_threshold()
    yield before
    assert gc.get_threshold() == before


def test_it_is_as_before_after_a_failure(usual):
    @collecting_seldom()
    def fails():
        assert gc.get_threshold()[0] == MANY
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fails()
    assert gc.get_threshold() == usual


def test_the_most_of_those_who_are_within_is_in_force_until_the_last_has_ended(usual):
    entered, leave = threading.Event(), threading.Event()

    def longer():
        with collecting_seldom(5_000):
            entered.set()
            leave.wait(10)

    other = threading.Thread(target=longer)
    with collecting_seldom():
        other.start()
        assert entered.wait(10)
        assert gc.get_threshold()[0] == MANY
    assert gc.get_threshold()[0] == 5_000
    leave.set()
    other.join()
    assert gc.get_threshold() == usual


def test_what_came_up_within_is_given_back_soon_afterwards():
    with collecting_seldom():
        gone = weakref.ref(Circle())
        kept = [[] for _ in range(10_000)]
        assert gone() is not None
    kept += [[] for _ in range(10_000)]
    assert gone() is None
