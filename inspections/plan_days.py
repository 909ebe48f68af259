"""Days of the plan: months added to a day, and the day of an hour at a bridge."""

from __future__ import annotations

import calendar
import datetime as dt
from zoneinfo import ZoneInfo


def months_after(day: dt.date, months: int) -> dt.date:
    """Return the same day of a later month, or the month's last day where it has no such day.

    One month after 31 January is 28 February, in a leap year the 29th: never a day later than
    the interval allows.
    """
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    last = calendar.monthrange(year, month + 1)[1]
    return dt.date(year, month + 1, min(day.day, last))


def day_at(time: dt.datetime, time_zone: str) -> dt.date:
    """Return the day that an hour falls on where the bridge stands."""
    return time.astimezone(ZoneInfo(time_zone)).date()
