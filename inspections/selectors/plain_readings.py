"""The reading that a page in plain words tells, and what it is compared with."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils import timezone

from inspections.models import Verdict
from inspections.models.choices import SettingFrom
from inspections.plain.facts import Measured, Then

ENOUGH_K = 5.0
"""Readings nearer than this in temperature say little of how something moves.  Judgement."""


def readings_of(rows: Sequence[Verdict], told: Verdict | None) -> list[Verdict]:
    """Return the readings of one point of one device, of each visit the last, oldest first."""
    if told is None:
        return []
    names = ("installation_id", "quantity", "point", "axis")
    found: dict[int, Verdict] = {}
    for each in rows:
        if all(getattr(each, name) == getattr(told, name) for name in names):
            found[each.inspection_id] = each
    return list(found.values())


def later_than(rows: Sequence[Verdict], told: Verdict | None) -> Verdict | None:
    """Return the last reading of a point after the one told, be it of a device set since."""
    if told is None:
        return None
    names = ("quantity", "point", "axis")
    later = [
        each
        for each in rows
        if each.taken_at > told.taken_at
        and each.inspection_id != told.inspection_id
        and all(getattr(each, name) == getattr(told, name) for name in names)
    ]
    return later[-1] if later else None


def measured_of(verdict: Verdict, readings: Sequence[Verdict], widest: bool = False) -> Measured:
    """Return a reading with what it is compared with.

    Parameters
    ----------
    readings
        All of its point, oldest first.
    widest
        Whether to compare it with the one at the most different temperature, which shows best
        whether something moves, and not with its setting.
    """
    then = _widest(verdict, readings) if widest else None
    uses = (verdict.use_now, verdict.use_at_min, verdict.use_at_max)
    return Measured(
        quantity=verdict.quantity,
        point=verdict.point,
        value=verdict.value,
        expected=verdict.expected,
        temperature_c=verdict.temperature_c,
        on=timezone.localtime(verdict.taken_at).date(),
        verdict=verdict.verdict,
        reasons=verdict.reasons,
        use=max((each for each in uses if each is not None), default=None),
        way=verdict.temperature_way,
        setting_from=verdict.setting_from,
        moves=bool(verdict.b),
        stands=verdict.stands,
        then=then or _setting(verdict, readings) or _before(verdict, readings),
    )


def _widest(verdict: Verdict, readings: Sequence[Verdict]) -> Then | None:
    if verdict.temperature_c is None:
        return None
    others = [
        each
        for each in readings
        if each.taken_at < verdict.taken_at
        and each.expected is not None
        and each.temperature_c is not None
        and abs(each.temperature_c - verdict.temperature_c) >= ENOUGH_K
    ]
    if not others:
        return None
    return _reading(max(others, key=lambda each: abs(each.temperature_c - verdict.temperature_c)))


def _setting(verdict: Verdict, readings: Sequence[Verdict]) -> Then | None:
    if verdict.setting_value is None:
        return None
    known = verdict.setting_from in (SettingFrom.MEASURED, SettingFrom.DRAWINGS)
    if not known and (not readings or readings[0].pk == verdict.pk):
        return None
    return Then(
        "setting" if known else "first",
        verdict.setting_value,
        verdict.setting_value,
        verdict.setting_temperature_c,
        verdict.installation.installed_on if known else _on(readings[0]),
    )


def _before(verdict: Verdict, readings: Sequence[Verdict]) -> Then | None:
    """Return the reading before that says how far it should have moved since."""
    earlier = [
        each for each in readings if each.taken_at < verdict.taken_at and each.expected is not None
    ]
    return _reading(earlier[-1]) if earlier else None


def _reading(row: Verdict) -> Then:
    return Then("reading", row.value, row.expected, row.temperature_c, _on(row))


def _on(row: Verdict) -> dt.date:
    return timezone.localtime(row.taken_at).date()
