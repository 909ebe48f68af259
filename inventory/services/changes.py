"""Tell the layers above that the register of a bridge has changed.

The register may not know who computes from it; whoever does subscribes when it starts.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from inventory.models import TemperatureBasis
from inventory.models.choices import BasisMethod

_subscribers: list[Callable[[set[int]], None]] = []
_gathered: ContextVar[set[int] | None] = ContextVar("gathered", default=None)


def subscribe(callback: Callable[[set[int]], None]) -> None:
    """Have ``callback`` called with the ids of changed bridges, in the writer's transaction."""
    if callback not in _subscribers:
        _subscribers.append(callback)


def bridges_designed_by(stations: Iterable[str]) -> set[int]:
    """Return the bridges whose design temperatures come from the years of some air stations."""
    names = set(stations) - {""}
    if not names:
        return set()
    return set(
        TemperatureBasis.objects.filter(
            method=BasisMethod.STATION, bridge__air_station__in=names
        ).values_list("bridge_id", flat=True)
    )


def register_changed(bridge_ids: Iterable[int]) -> None:
    """Report bridges whose register was written; called last inside each write."""
    changed = set(bridge_ids)
    gathered = _gathered.get()
    if gathered is not None:
        gathered |= changed
    elif changed:
        for callback in _subscribers:
            callback(changed)


@contextmanager
def reported_together() -> Iterator[None]:
    """Report what is written within once, at the end: for several writes of one transaction.

    Where a write is refused nothing is reported, as the transaction is to be undone.
    """
    gathered: set[int] = set()
    token = _gathered.set(gathered)
    try:
        yield
    finally:
        _gathered.reset(token)
    register_changed(gathered)
