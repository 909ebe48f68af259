"""Look less often for garbage in circles while objects are made by the thousand.

Python looks for objects that refer to each other and are needed no more after every few hundred
new ones, and then passes over those that were made before.  Judging, reading a large file and
printing a long report make many that are all needed until their end: up to a third of their
processor time went there, and hardly anything was found.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

MANY = 50_000
"""New objects before it looks again."""
_lock = Lock()
_wanted: list[int] = []
"""What those who are within want, in any thread: all share one collector."""
_usual = gc.get_threshold()


@contextmanager
def collecting_seldom(objects: int = MANY) -> Iterator[None]:
    """Let the collector look after so many new objects until the last who is within has ended.

    Where several are within, the most is in force.
    """
    global _usual
    with _lock:
        if not _wanted:
            _usual = gc.get_threshold()
        _wanted.append(objects)
        _set()
    try:
        yield
    finally:
        with _lock:
            _wanted.remove(objects)
            _set()


def _set() -> None:
    gc.set_threshold(max(_wanted) if _wanted else _usual[0], *_usual[1:])
