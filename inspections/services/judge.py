"""The one adapter from rows to the model and back: readings in, verdict rows out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import fields, replace
from typing import NamedTuple, TypeVar

import numpy as np
from django.db import transaction
from django.utils import timezone

from inspections.form_spec import FIELDS
from inspections.models import AgencySettings, Reading, Verdict
from inspections.models.choices import InspectionState, SettingFrom
from inspections.services.channels import (
    Channels,
    build_channels,
    limits_at,
    load_installations,
)
from inspections.services.device_figures import NOT_COMPARED, WATCH_USE, ChannelKey
from inspections.services.status import mark_standing, open_visit_ids, write_statuses
from inspections.services.temperatures import Hour, effective_temperatures
from movement import MODEL_VERSION
from movement.expected import common_temperature, expected_line
from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides
from movement.results import Judgement
from movement.temperature import EffectiveTemperature, weakest
from movement.uncertainty import from_accuracy, of_reading
from movement.verdict import judge

T = TypeVar("T", Sides, Setting, Limits, DesignExtremes, EffectiveTemperature)


class PointKey(NamedTuple):
    """One point in one visit at one time; repeats of it are averaged."""

    channel: ChannelKey
    inspection_id: int
    taken_at: dt.datetime


class Point(NamedTuple):
    """Mean of the repeats of one point."""

    key: PointKey
    reading_id: int
    element_id: int
    accepted: bool
    values: list[float]
    accuracy: float


def judge_bridges(
    bridge_ids: Iterable[int], progress: Callable[[int], None] = lambda count: None
) -> None:
    """Judge every reading of some bridges again and replace their verdicts and statuses.

    Each bridge is one transaction; ``progress`` is told the bridges done, one by one.
    """
    agency = AgencySettings.current()
    for bridge_id in sorted(set(bridge_ids)):
        with transaction.atomic():
            verdicts = _judged(_points(bridge_id, agency), agency)
            _mark(bridge_id, verdicts, agency)
            Verdict.objects.filter(element__bridge_id=bridge_id).delete()
            Verdict.objects.bulk_create(verdicts, batch_size=500)
            write_statuses(bridge_id, verdicts)
        progress(1)


def _mark(bridge_id: int, verdicts: list[Verdict], agency: AgencySettings) -> None:
    """Let readings of open visits neither stand nor disprove."""
    still_open = open_visit_ids(bridge_id)
    handed_in = [each for each in verdicts if each.inspection_id not in still_open]
    mark_standing(handed_in, agency.watch_k)


def _points(bridge_id: int, agency: AgencySettings) -> list[Point]:
    """Return the points of a bridge, oldest first, leaving out what a later row corrects."""
    grouped: dict[PointKey, Point] = {}
    rows = (
        Reading.objects.filter(inspection__bridge_id=bridge_id, corrected_by__isnull=True)
        .order_by("taken_at", "repeat", "pk")
        .values_list(
            "installation_id", "quantity", "point", "axis", "inspection_id", "taken_at", "pk",
            "element_id", "inspection__state", "value", "accuracy", "instrument__accuracy",
        )
    )  # fmt: skip
    for installation_id, quantity, point, axis, inspection_id, taken_at, *rest in rows:
        pk, element_id, state, value, accuracy, of_instrument = rest
        key = PointKey(ChannelKey(installation_id, quantity, point, axis), inspection_id, taken_at)
        stated = next(
            (each for each in (accuracy, of_instrument) if each is not None),
            agency.accuracy_of(FIELDS[quantity].dimension),
        )
        if key not in grouped:
            accepted = state == InspectionState.ACCEPTED
            grouped[key] = Point(key, pk, element_id, accepted, [], stated)
        grouped[key].values.append(value)
    return list(grouped.values())


def _judged(points: list[Point], agency: AgencySettings) -> list[Verdict]:
    if not points:
        return []
    installations = load_installations({point.element_id for point in points})
    keys = list(dict.fromkeys(point.key.channel for point in points))
    channels = build_channels(keys, installations, agency)
    position = {key: index for index, key in enumerate(keys)}
    of_point = np.array([position[point.key.channel] for point in points])

    value = np.array([np.mean(point.values) for point in points])
    u_value = of_reading(
        from_accuracy([point.accuracy for point in points]),
        [np.std(point.values, ddof=1) if len(point.values) > 1 else 0.0 for point in points],
        [len(point.values) for point in points],
    )
    sides = _rows(channels.sides, of_point)
    temperature = _by_side(points, channels, of_point, agency)
    now_c = common_temperature(sides, temperature.temperature_c)
    u_now_k = temperature.u_temperature_k.max(axis=-1)
    quantities = np.array([point.key.channel.quantity for point in points])
    compared = ~np.isin(quantities, NOT_COMPARED)
    setting, setting_from = _with_baselines(
        points,
        of_point,
        _rows(channels.setting, of_point),
        channels.setting_from[of_point],
        Measured.of(value, now_c, u_value, u_now_k),
        (sides.lever == 0).all(axis=-1),
        compared,
    )
    limits = limits_at(
        _rows(channels.limits, of_point), channels.limits_from_setting[of_point], setting.value
    )
    extremes = _rows(channels.extremes, of_point)
    judgement = judge(
        sides,
        setting,
        Measured.of(value, temperature.temperature_c, u_value, temperature.u_temperature_k),
        limits,
        extremes,
        agency.thresholds(),
        is_baseline=setting_from == _THIS_READING,
        is_compared=compared,
        watch_use=[WATCH_USE.get(each, np.nan) for each in quantities],
    )
    racking = expected_line(
        _rows(channels.racking, of_point), replace(setting, value=np.zeros_like(value))
    ).value(now_c)
    numbers = {
        "u_reading": u_value,
        "temperature_c": now_c,
        "u_temperature_k": u_now_k,
        "setting_value": setting.value,
        "setting_temperature_c": setting.temperature_c,
        "limit_lower": limits.lower,
        "limit_upper": limits.upper,
        "design_min_c": extremes.min_c,
        "design_max_c": extremes.max_c,
        "racking_mm": racking,
        **_numbers_of(judgement),
    }
    now = timezone.now()
    ways = weakest(temperature.way)
    words = np.where(setting_from == _THIS_READING, SettingFrom.BASELINE.value, setting_from)
    return [
        Verdict(
            reading_id=point.reading_id,
            element_id=point.element_id,
            installation_id=point.key.channel.installation_id,
            inspection_id=point.key.inspection_id,
            quantity=point.key.channel.quantity,
            point=point.key.channel.point,
            axis=point.key.channel.axis,
            taken_at=point.key.taken_at,
            repeats=len(point.values),
            value=float(value[row]),
            temperature_way=int(ways[row]),
            setting_from=str(words[row]),
            verdict=int(judgement.verdict[row]),
            reasons=int(judgement.reasons[row]),
            problem=channels.problems[of_point[row]][:240],
            model_version=MODEL_VERSION,
            judged_at=now,
            **{name: _finite(column[row]) for name, column in numbers.items()},
        )
        for row, point in enumerate(points)
    ]


_THIS_READING = "this"


def _rows(table: T, index: np.ndarray) -> T:
    """Return the rows of a table of arrays that each reading needs."""
    return replace(table, **{each.name: getattr(table, each.name)[index] for each in fields(table)})


def _by_side(
    points: list[Point], channels: Channels, of_point: np.ndarray, agency: AgencySettings
) -> EffectiveTemperature:
    """Return temperatures (n, 2); a backwall takes that of the unit that faces it."""
    hours: dict[Hour, int] = {}
    index = np.empty((len(points), 2), dtype=np.intp)
    for row, point in enumerate(points):
        units = channels.unit_ids[of_point[row]]
        for side, unit_id in enumerate(units):
            unit = next(each for each in (unit_id, *units) if each is not None)
            hour = Hour(point.key.inspection_id, unit, point.key.taken_at)
            index[row, side] = hours.setdefault(hour, len(hours))
    return _rows(effective_temperatures(list(hours), agency), index)


def _with_baselines(
    points: list[Point],
    of_point: np.ndarray,
    setting: Setting,
    setting_from: np.ndarray,
    measured: Measured,
    still: np.ndarray,
    compared: np.ndarray,
) -> tuple[Setting, np.ndarray]:
    """Fill settings that are not known from each channel's first accepted reading."""
    unknown = np.isnan(setting.value) | (np.isnan(setting.temperature_c) & ~still)
    unknown &= compared
    usable = ~np.isnan(measured.temperature_c) | still
    first: dict[int, int] = {}
    for row in np.flatnonzero(unknown & usable & np.array([each.accepted for each in points])):
        first.setdefault(int(of_point[row]), int(row))
    source = np.array([first.get(int(channel), -1) for channel in of_point])
    take = unknown & (source >= 0)

    def filled(recorded: np.ndarray, read: np.ndarray) -> np.ndarray:
        return np.where(take, read[source], recorded)

    own = np.where(source == np.arange(len(points)), _THIS_READING, SettingFrom.BASELINE.value)
    return (
        Setting.of(
            filled(setting.value, measured.value),
            filled(setting.temperature_c, measured.temperature_c),
            filled(setting.u_value, measured.u_value),
            filled(setting.u_temperature_k, measured.u_temperature_k),
        ),
        np.where(take, own, setting_from),
    )


def _numbers_of(judgement: Judgement) -> dict[str, np.ndarray]:
    line = judgement.prediction.line
    return {
        "expected": judgement.prediction.expected,
        "u_residual": judgement.prediction.standard_uncertainty,
        **{name: getattr(line, name) for name in ("a", "b", "c0", "c1", "c2")},
        **{
            name: getattr(judgement, name)
            for name in (
                "residual",
                "residual_in_u",
                "use_now",
                "use_at_min",
                "use_at_max",
                "carried_to_min",
                "carried_to_max",
                "lower_at_c",
                "upper_at_c",
            )
        },
    }


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
