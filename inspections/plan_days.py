"""Days of the plan: months added to a day, and the day of an hour at a bridge."""

from __future__ import annotations

import calendar
import datetime as dt
from collections.abc import Iterable
from zoneinfo import ZoneInfo

from django.utils import timezone

from inventory.models import Bridge


def months_after(day: dt.date, months: int) -> dt.date:
    """Return the same day of a later month, or the month's last day where it has no such day.

    One month after 31 January is 28 February, in a leap year the 29th: never a day later than
    the interval allows.
    """
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    last = calendar.monthrange(year, month + 1)[1]
    return dt.date(year, month + 1, min(day.day, last))


def first_day(bridges: Iterable[Bridge | None]) -> dt.date:
    """Return the day that it is at some bridges; of two the earlier, which has come at all.

    By the clock of the site an evening west of it is tomorrow, whose hours no reading may have.
    """
    now = timezone.now()
    days = {day_at(now, each.time_zone) for each in bridges if each is not None}
    return min(days, default=timezone.localdate())


def day_at(time: dt.datetime, time_zone: str) -> dt.date:
    """Return the day that an hour falls on where the bridge stands."""
    return time.astimezone(ZoneInfo(time_zone)).date()
