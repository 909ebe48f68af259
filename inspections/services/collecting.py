"""Put off looking for garbage in circles while rows are made by the thousand.

Python looks for objects that refer to each other and are needed no more after every few hundred
new ones, and then passes over all that were made before.  Judging makes many that are all needed
until its end: a third of its processor time went there, and nothing was found.
"""

from __future__ import annotations

import gc
import threading
from collections.abc import Iterator
from contextlib import contextmanager

_lock = threading.Lock()
_within = 0
_was_on = False


@contextmanager
def collecting_put_off() -> Iterator[None]:
    """Collect no such garbage within, in any thread; what has come up is looked at afterwards.

    To be left often enough: what circles keep in memory within is not given back before.
    """
    global _within, _was_on
    with _lock:
        if not _within:
            _was_on = gc.isenabled()
            gc.disable()
        _within += 1
    try:
        yield
    finally:
        with _lock:
            _within -= 1
            if not _within and _was_on:
                gc.enable()
