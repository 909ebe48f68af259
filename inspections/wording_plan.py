"""Why a visit is due and when it would tell most, in words."""

from __future__ import annotations

import datetime as dt
import math

from django.utils.dates import MONTHS
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from django.utils.translation import ngettext

from inspections.models import Due, ElementHistory
from inspections.models.desk_choices import DueReason
from inspections.selectors.plan_best_time import ChannelTime
from inspections.wording_figures import difference, plain_number
from inventory.decimal_mark import with_mark
from inventory.units import Dimension, System, shown
from inventory.words import in_sentence
from movement.best_time import BestTimes, Window

NIGHT = (*range(5), 22, 23)
FROST_C, HEAT_C = 3.0, 32.0
"""From what the air usually is at that hour.  Judgement, no source: the day itself decides."""
WORTH_NAMING = 0.25
"""The other side of the mean is named where it gains so much of the best.  Judgement."""
KM_A_MILE = 1.609344
"""The international mile, exactly."""
_OF_INTERVAL = {
    DueReason.ROUTINE: (
        mark("Routine inspection every %(months)s months; last on %(last_on)s"),
        mark("Routine inspection every %(months)s months; never inspected"),
    ),
    DueReason.IN_DEPTH: (
        mark("In-depth inspection every %(months)s months; last on %(last_on)s"),
        mark("In-depth inspection every %(months)s months; never inspected in depth"),
    ),
}


def due_words(due: Due) -> str:
    """Return why a visit is due, with what it rests on."""
    at = f"{due.element.code}: " if due.element_id else ""
    return f"{at}{_why(due)}"


def _why(due: Due) -> str:
    reason = DueReason(due.reason)
    if reason in _OF_INTERVAL:
        since, never = _OF_INTERVAL[reason]
        return _(since if due.last_on else never) % {"months": due.months, "last_on": due.last_on}
    if reason == DueReason.EVENT:
        return _("After an event: %(event)s") % {"event": due.event}
    if reason == DueReason.PROVING:
        if due.order_id:
            return _("Proving measurement of %(code)s") % {"code": due.order.code}
        return _("Proving measurement")
    cause = f" ({in_sentence(due.flag.get_cause_display())})" if due.flag_id else ""
    if reason == DueReason.WATCH:
        words = _("Watched every %(months)s months") % {"months": due.months} + cause
        if due.last_on:
            words += "; " + _("last read on %(day)s") % {"day": due.last_on}
        return words
    if reason == DueReason.MEASURE_AGAIN:
        return _("To be measured again") + cause
    return _("Acceptance ends") + cause


def when_words(due_on: dt.date, today: dt.date) -> str:
    """Return how far a day is away: ``overdue by 12 days``, ``in 3 months``."""
    days = (due_on - today).days
    if days == 0:
        return _("today")
    unit, count = _span(abs(days))
    if days < 0:
        words = {
            "years": _("overdue by %(count)s years"),
            "months": _("overdue by %(count)s months"),
            "days": ngettext("overdue by %(count)s day", "overdue by %(count)s days", count),
        }
    else:
        words = {
            "years": _("in %(count)s years"),
            "months": _("in %(count)s months"),
            "days": ngettext("in %(count)s day", "in %(count)s days", count),
        }
    return words[unit] % {"count": count}


def when_due(due: Due, today: dt.date) -> str:
    """Return how far what is due is away; of an inspection never made only that it is due."""
    if due.reason in _OF_INTERVAL and due.last_on is None and due.due_on <= today:
        return _("due now")
    return when_words(due.due_on, today)


def _span(days: int) -> tuple[str, int]:
    """Return in which unit so many days are told, and how many of it they are."""
    for unit, length in (("years", 365), ("months", 30)):
        if days >= 2 * length:
            return unit, days // length
    return "days", days


def window_words(window: Window) -> str:
    """Return ``in January, 03:00 to 08:00, about sunrise``."""
    hours = _("%(first)s:00 to %(last)s:00") % {
        "first": f"{window.first_hour:02}",
        "last": f"{(window.last_hour + 1) % 24:02}",
    }
    if (window.last_hour - window.first_hour) % 24 == 23:
        hours = _("at any hour")
    return _("in %(month)s, %(hours)s, %(part_of_day)s") % {
        "month": MONTHS[window.month],
        "hours": hours,
        "part_of_day": _part_of_day(window.best_hour),
    }


def _part_of_day(hour: int) -> str:
    if hour in NIGHT:
        return _("at night")
    parts = (
        (9, mark("about sunrise")),
        (12, mark("before noon")),
        (18, mark("in the afternoon")),
    )
    return _(next((words for end, words in parts if hour < end), mark("in the evening")))


def time_words(times: BestTimes | None, system: System) -> str:
    """Return when to visit next and what it is compared with; empty where nothing can be said."""
    if times is None:
        return ""
    if times.best is None:
        if not times.visits:
            return outside_words([], system)
        return _("No month differs enough from the earlier visits to tell more.")
    best = times.best
    told = {"window": window_words(best), "apart": _apart(best, system), "count": times.visits}
    words = (
        _("Visit next %(window)s: %(apart)s than the mean of the %(count)s visits so far")
        if times.visits > 1
        else _("Visit next %(window)s: %(apart)s than the one visit so far")
    ) % told
    other = times.hot if best.delta_k < 0 else times.cold
    if other and other[0].gain_k2 >= WORTH_NAMING * best.gain_k2:
        told = {"window": window_words(other[0]), "apart": _apart(other[0], system)}
        words += "; " + _("or %(window)s: %(apart)s") % told
    return f"{words}."


def outside_words(earlier_c: list[float], system: System) -> str:
    """Return the temperatures that a channel was read at, where no climate tells a season."""
    if not earlier_c:
        return _("No visit has a temperature yet: take it along with the readings, in any season.")
    low, high = (
        shown(each, Dimension.TEMPERATURE, system) for each in (min(earlier_c), max(earlier_c))
    )
    words = (
        _(
            "Read between %(low)s and %(high)s so far: a visit that is much colder or hotter tells"
            " most."
        )
        if low != high
        else _("Read at %(low)s only so far: a visit that is much colder or hotter tells most.")
    )
    return words % {"low": low, "high": high}


def _apart(window: Window, system: System) -> str:
    words = _("%(difference)s colder") if window.delta_k < 0 else _("%(difference)s hotter")
    return words % {"difference": difference(abs(window.delta_k), system)}


def narrowing_words(channel: ChannelTime) -> str:
    """Return what a visit at the best time would do to an interval; empty where none is known."""
    history, best = channel.history, channel.times.best if channel.times else None
    half = half_width(history)
    if best is None or half is None or math.isnan(best.error_ratio):
        return ""
    return _(
        "A reading then would narrow the response of %(code)s from ±%(now)s to about ±%(then)s."
    ) % {
        "code": history.element.code,
        "now": plain_number(half),
        "then": plain_number(half * best.error_ratio),
    }


def distance_words(km: float, system: System) -> str:
    """Return a way in kilometres or miles."""
    km_a_unit, unit = way_unit(system)
    return with_mark(f"{km / km_a_unit:.1f}") + f"\u202f{unit}"


def way_unit(system: System) -> tuple[float, str]:
    """Return the kilometres of the unit in which ways are told, and its sign."""
    return (1.0, "km") if system is System.SI else (KM_A_MILE, "mi")


def half_width(history: ElementHistory) -> float | None:
    """Return half the 95 % interval of a history's response ratio."""
    if history.ratio_low is None or history.ratio_high is None:
        return None
    return (history.ratio_high - history.ratio_low) / 2


def cautions(window: Window) -> list[str]:
    """Return what to mind at such an hour."""
    found = []
    if window.best_hour in NIGHT or (window.delta_k < 0 and window.best_hour < 8):
        found.append(
            _(
                "Before daylight: light for the work and the way to it, traffic control that can be"
                " seen, and never alone."
            )
        )
    if window.temperature_c <= FROST_C:
        found.append(
            _(
                "Frost is likely: ice on ladders, platforms and shelves, and snow that covers"
                " edges. Put the visit off rather than go on ice."
            )
        )
    if window.temperature_c >= HEAT_C:
        found.append(_("Heat is likely: shade, water and breaks; steel in the sun burns the hand."))
    return found
