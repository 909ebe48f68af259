"""Less work for Python's collector of cycles while pages are printed.

A long report makes millions of objects and hardly a cycle, and the collector looks through them
over and over: a tenth of the time of a report. It stays on, and looks less often.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

OBJECTS = 5_000
"""Objects that are made before it looks again."""
_lock = Lock()
_before: list[tuple[int, int, int]] = []
"""What was set when each of those who print now began: threads share one collector."""


@contextmanager
def seldom_collected() -> Iterator[None]:
    """Let the collector look seldom until the last who prints has ended."""
    with _lock:
        _before.append(_before[0] if _before else gc.get_threshold())
        gc.set_threshold(OBJECTS, *_before[0][1:])
    try:
        yield
    finally:
        with _lock:
            before = _before.pop()
            if not _before:
                gc.set_threshold(*before)
