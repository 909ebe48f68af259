"""Garbage is looked for again after judging, however it ends."""

import gc
import threading
import weakref

import pytest

from inspections.services.collecting import collecting_put_off


class Circle:
    """An object that only the collector gives back."""

    def __init__(self) -> None:
        self.itself = self


@pytest.fixture(autouse=True)
def _leave_it_on():
    gc.enable()
    yield
    gc.enable()


def test_it_is_on_again_after_a_failure():
    @collecting_put_off()
    def fails():
        assert not gc.isenabled()
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fails()
    assert gc.isenabled()


def test_it_stays_off_until_the_last_of_several_threads_is_through():
    entered, leave = threading.Event(), threading.Event()

    def longer():
        with collecting_put_off():
            entered.set()
            leave.wait(10)

    other = threading.Thread(target=longer)
    with collecting_put_off():
        other.start()
        assert entered.wait(10)
    assert not gc.isenabled()
    leave.set()
    other.join()
    assert gc.isenabled()


def test_who_keeps_it_off_keeps_it_off():
    gc.disable()
    with collecting_put_off():
        pass
    assert not gc.isenabled()


def test_what_came_up_within_is_given_back_soon_afterwards():
    with collecting_put_off():
        gone = weakref.ref(Circle())
        kept = [[] for _ in range(10_000)]
        assert gone() is not None
    kept += [[] for _ in range(10_000)]
    assert gone() is None
