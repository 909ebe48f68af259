"""Python's search for objects that hold each other, made rarer while very many are made.

It is started by the number of new objects, so a reader of a large file spends a third of its time
in it, and finds nothing: rows hold no one that holds them.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

_RARELY = (50_000, 20, 50)
_lock = Lock()
_before: list[tuple[int, int, int]] = []
"""What held before each block under way, in any thread."""


@contextmanager
def fewer_collections() -> Iterator[None]:
    """Search rarely in this process until the last of the blocks under way ends."""
    with _lock:
        _before.append(gc.get_threshold() if not _before else _before[0])
        gc.set_threshold(*_RARELY)
    try:
        yield
    finally:
        with _lock:
            usual = _before.pop()
            if not _before:
                gc.set_threshold(*usual)
