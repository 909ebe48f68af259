"""Times of day in a bridge's time zone."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache
from zoneinfo import ZoneInfo

from movement.errors import InputError

FIRST_YEAR, LAST_YEAR = 1850, 2200
"""Years in which a reading can have been taken, well inside what a calendar can count."""


@lru_cache(20_000)
def read_time(text: str, zone_name: str) -> dt.datetime:
    """Return a local time, or one with its offset, as an instant; a file repeats few many times.

    Raises
    ------
    movement.errors.InputError
        If it is no time, or clocks were put forward over it or back to it.
    """
    try:
        # A date alone would read as midnight, which nobody has written.
        time = dt.datetime.fromisoformat(text if ":" in text else "")
    except ValueError:
        raise InputError(
            "taken_at",
            f"«{text}» is no time",
            "Write 2024-06-01 08:30, or with its offset 2024-06-01T08:30+01:00.",
        ) from None
    if not FIRST_YEAR <= time.year <= LAST_YEAR:
        raise InputError(
            "taken_at",
            f"«{text}» is not between the years {FIRST_YEAR} and {LAST_YEAR}",
            "Check the year.",
        )
    if time.tzinfo is not None:
        return time.astimezone(dt.UTC)
    zone = ZoneInfo(zone_name)
    first, second = (time.replace(tzinfo=zone, fold=fold).astimezone(dt.UTC) for fold in (0, 1))
    if first.astimezone(zone).replace(tzinfo=None) != time:
        raise InputError(
            "taken_at",
            f"«{text}» does not exist in {zone_name}, where clocks were put forward",
            "Check the hour.",
        )
    if first != second:
        raise InputError(
            "taken_at",
            f"«{text}» came twice in {zone_name}, where clocks were put back",
            f"Write which: {first.astimezone(zone).isoformat(timespec='minutes')} or"
            f" {second.astimezone(zone).isoformat(timespec='minutes')}.",
        )
    return first
