"""Names of time zones as people say them."""

from __future__ import annotations

import datetime as dt
from functools import cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

_PLACELESS = "Etc/"


@cache
def zone_words(name: str) -> str:
    """Return the name of a zone; one that names no place by what it is ahead of UTC.

    ``Etc/GMT+5`` counts westwards, so that its name tells the opposite of what people read in
    it: its clocks are five hours behind UTC.
    """
    if not name.startswith(_PLACELESS):
        return name
    try:
        whenever = dt.datetime(2000, 1, 1, tzinfo=ZoneInfo(name))
    except ZoneInfoNotFoundError:
        return name
    hours = round((whenever.utcoffset() or dt.timedelta(0)) / dt.timedelta(hours=1))
    return f"UTC{hours:+d}".replace("-", "−") if hours else "UTC"
