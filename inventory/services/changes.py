"""Tell the layers above that the register of a bridge has changed.

The register may not know who computes from it; whoever does subscribes when it starts.
"""

from collections.abc import Callable, Iterable

_subscribers: list[Callable[[set[int]], None]] = []


def subscribe(callback: Callable[[set[int]], None]) -> None:
    """Have ``callback`` called with the ids of changed bridges, in the writer's transaction."""
    if callback not in _subscribers:
        _subscribers.append(callback)


def register_changed(bridge_ids: Iterable[int]) -> None:
    """Report bridges whose register was written; called last inside each write."""
    changed = set(bridge_ids)
    if changed:
        for callback in _subscribers:
            callback(changed)
