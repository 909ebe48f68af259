"""Why a visit is due and when it would tell most, in words."""

from __future__ import annotations

import calendar
import datetime as dt
import math

from inspections.models import Due, ElementHistory
from inspections.models.desk_choices import DueReason
from inspections.selectors.plan_best_time import ChannelTime
from inspections.wording_figures import difference, plain_number
from inventory.units import Dimension, System, shown
from movement.best_time import BestTimes, Window

NIGHT = (*range(5), 22, 23)
FROST_C, HEAT_C = 3.0, 32.0
"""From what the air usually is at that hour.  Judgement, no source: the day itself decides."""
WORTH_NAMING = 0.25
"""The other side of the mean is named where it gains so much of the best.  Judgement."""
DUE_NOW = "due now"
KM_A_MILE = 1.609344
"""The international mile, exactly."""
_OF_INTERVAL = {
    DueReason.ROUTINE: ("Routine inspection", "never inspected"),
    DueReason.IN_DEPTH: ("In-depth inspection", "never inspected in depth"),
}


def due_words(due: Due) -> str:
    """Return why a visit is due, with what it rests on."""
    at = f"{due.element.code}: " if due.element_id else ""
    return f"{at}{_why(due)}"


def _why(due: Due) -> str:
    reason = DueReason(due.reason)
    if reason in _OF_INTERVAL:
        name, never = _OF_INTERVAL[reason]
        every = f"{name} every {due.months} months"
        return f"{every}; last on {due.last_on}" if due.last_on else f"{every}; {never}"
    if reason == DueReason.EVENT:
        return f"After an event: {due.event}"
    if reason == DueReason.PROVING:
        work = f" of {due.order.code}" if due.order_id else ""
        return f"Proving measurement{work}"
    cause = f" ({due.flag.get_cause_display().lower()})" if due.flag_id else ""
    if reason == DueReason.WATCH:
        last = f"; last read on {due.last_on}" if due.last_on else ""
        return f"Watched every {due.months} months{cause}{last}"
    if reason == DueReason.MEASURE_AGAIN:
        return f"To be measured again{cause}"
    return f"Acceptance ends{cause}"


def when_words(due_on: dt.date, today: dt.date) -> str:
    """Return how far a day is away: ``overdue by 12 days``, ``in 3 months``."""
    days = (due_on - today).days
    if days < 0:
        return f"overdue by {_span(-days)}"
    return "today" if days == 0 else f"in {_span(days)}"


def when_due(due: Due, today: dt.date) -> str:
    """Return how far what is due is away; of an inspection never made only that it is due."""
    if due.reason in _OF_INTERVAL and due.last_on is None and due.due_on <= today:
        return DUE_NOW
    return when_words(due.due_on, today)


def _span(days: int) -> str:
    for unit, length in (("year", 365), ("month", 30)):
        if days >= 2 * length:
            return f"{days // length} {unit}s"
    return f"{days} day{'s' if days > 1 else ''}"


def window_words(window: Window) -> str:
    """Return ``in January, 03:00 to 08:00, about sunrise``."""
    hours = f"{window.first_hour:02}:00 to {(window.last_hour + 1) % 24:02}:00"
    if (window.last_hour - window.first_hour) % 24 == 23:
        hours = "at any hour"
    return f"in {calendar.month_name[window.month]}, {hours}, {_part_of_day(window.best_hour)}"


def _part_of_day(hour: int) -> str:
    if hour in NIGHT:
        return "at night"
    parts = ((9, "about sunrise"), (12, "before noon"), (18, "in the afternoon"))
    return next((words for end, words in parts if hour < end), "in the evening")


def time_words(times: BestTimes | None, system: System) -> str:
    """Return when to visit next and what it is compared with; empty where nothing can be said."""
    if times is None:
        return ""
    if times.best is None:
        if not times.visits:
            return outside_words([], system)
        return "No month differs enough from the earlier visits to tell more."
    best = times.best
    count = f"the {times.visits} visits" if times.visits > 1 else "the one visit"
    words = f"Visit next {window_words(best)}: {_apart(best, system)} than {count} so far"
    if times.visits > 1:
        words = words.replace("than", "than the mean of", 1)
    other = times.hot if best.delta_k < 0 else times.cold
    if other and other[0].gain_k2 >= WORTH_NAMING * best.gain_k2:
        words += f"; or {window_words(other[0])}: {_apart(other[0], system)}"
    return f"{words}."


def outside_words(earlier_c: list[float], system: System) -> str:
    """Return the temperatures that a channel was read at, where no climate tells a season."""
    if not earlier_c:
        return "No visit has a temperature yet: take it along with the readings, in any season."
    low, high = (
        shown(each, Dimension.TEMPERATURE, system) for each in (min(earlier_c), max(earlier_c))
    )
    at = f"between {low} and {high}" if low != high else f"at {low} only"
    return f"Read {at} so far: a visit that is much colder or hotter tells most."


def _apart(window: Window, system: System) -> str:
    side = "colder" if window.delta_k < 0 else "hotter"
    return f"{difference(abs(window.delta_k), system)} {side}"


def narrowing_words(channel: ChannelTime) -> str:
    """Return what a visit at the best time would do to an interval; empty where none is known."""
    history, best = channel.history, channel.times.best if channel.times else None
    half = half_width(history)
    if best is None or half is None or math.isnan(best.error_ratio):
        return ""
    return (
        f"A reading then would narrow the response of {history.element.code} from"
        f" ±{plain_number(half)} to about ±{plain_number(half * best.error_ratio)}."
    )


def distance_words(km: float, system: System) -> str:
    """Return a way in kilometres or miles."""
    km_a_unit, unit = way_unit(system)
    return f"{km / km_a_unit:.1f}\u202f{unit}"


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
            "Before daylight: light for the work and the way to it, traffic control that can be"
            " seen, and never alone."
        )
    if window.temperature_c <= FROST_C:
        found.append(
            "Frost is likely: ice on ladders, platforms and shelves, and snow that covers edges."
            " Put the visit off rather than go on ice."
        )
    if window.temperature_c >= HEAT_C:
        found.append("Heat is likely: shade, water and breaks; steel in the sun burns the hand.")
    return found
