"""What is read on each element of a packet: limits, last value, expected value and band."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import fields
from itertools import product
from typing import Any

import numpy as np

from inspections.form_spec import RODS, ReadingField
from inspections.lookups.stops import Stop
from inspections.models import AgencySettings, Inspection, Verdict
from inspections.models.choices import ReadingQuantity
from inspections.selectors.forecast import with_baselines
from inspections.services.channels import build_channels, limits_at, load_installations
from inspections.services.device_figures import ChannelKey
from inspections.services.shortening import day_of, shortening_of
from inventory.models.choices import GapAxis
from inventory.words import translated
from movement.expected import expected_line
from movement.inputs import Setting, Sides
from movement.results import ExpectedLine

LINE = ("a", "b", "c0", "c1", "c2")


def channels_of(
    inspection: Inspection, stops: list[Stop], agency: AgencySettings
) -> dict[int, list[dict[str, Any]]]:
    """Return what is read at each element, with limits and the five numbers."""
    wanted: list[tuple[Stop, ReadingField, ChannelKey]] = [
        (stop, each, ChannelKey(stop.installation.pk, each.quantity.value, point, axis))
        for stop in stops
        for each in stop.fields
        for point, axis in product(_points(stop, each), _axes(stop, each))
    ]
    if not wanted:
        return {}
    installed = load_installations({stop.element.pk for stop in stops})
    keys = [key for _, _, key in wanted]
    built = build_channels(keys, installed, agency)
    newest, last = _verdicts(inspection)
    on_the_day = shortening_of(built.units, built.set_day, day_of(inspection.date), agency).into(
        built.sides
    )
    line = with_baselines(
        expected_line(on_the_day, built.setting), [newest.get(key) for key in keys]
    )
    by_side = _by_side(on_the_day, built.setting)
    limits = limits_at(built.limits, built.limits_from_setting, built.setting.value)
    numbers = {
        **{name: getattr(line, name) for name in LINE},
        "limit_lower": limits.lower,
        "limit_upper": limits.upper,
        "neutral": limits.neutral,
        "design_min_c": built.extremes.min_c,
        "design_max_c": built.extremes.max_c,
    }
    result = defaultdict(list)
    for row, (stop, each, key) in enumerate(wanted):
        result[stop.element.pk].append(
            {
                "quantity": key.quantity,
                "label": each.quantity.label,
                "point": key.point,
                "axis": key.axis,
                "is_wanted": each.wanted and key.point in stop.wanted(each),
                "is_offered": key.point in stop.offered(each),
                "dimension": each.dimension.value,
                "low": each.low,
                "high": each.high,
                "why": translated(each.why),
                "accuracy": agency.accuracy_of(each.dimension),
                "last": _last(last.get(key)),
                **{name: _finite(column[row]) for name, column in numbers.items()},
                **_sides(built.unit_ids[row], by_side, row),
            }
        )
    return result


def _by_side(sides: Sides, setting: Setting) -> list[ExpectedLine]:
    """Return the line of each side alone: where two units meet, each has its own temperature."""
    return [
        expected_line(
            Sides(*(getattr(sides, each.name)[..., [side]] for each in fields(sides))),
            setting,
        )
        for side in range(sides.lever.shape[-1])
    ]


def _sides(
    units: tuple[int | None, int | None], by_side: list[ExpectedLine], row: int
) -> dict[str, Any]:
    """Return the sides of a joint between two units, where their setting is on record."""
    if None in units:
        return {}
    found = [
        {"unit_id": unit} | {name: _finite(getattr(line, name)[row]) for name in ("b", "c1", "c2")}
        for unit, line in zip(units, by_side, strict=True)
    ]
    return {} if any(None in each.values() for each in found) else {"sides": found}


def _points(stop: Stop, each: ReadingField) -> list[str]:
    """Return the points to read; of what a visit need not read, those that it may.

    Rods that nobody has counted all come along, for a tablet cannot fetch more of them on site.
    """
    if stop.rods_on_record is None and RODS[-1] in each.points:
        return list(each.points)
    return stop.wanted(each) if each.wanted else stop.offered(each)


def _axes(stop: Stop, each: ReadingField) -> list[str]:
    if each.quantity != ReadingQuantity.GAP:
        return [""]
    return [*GapAxis.values] if stop.element.skew_deg else [GapAxis.SQUARE.value]


def _verdicts(
    inspection: Inspection,
) -> tuple[dict[ChannelKey, Verdict], dict[ChannelKey, Verdict]]:
    """Return each channel's newest verdict that has its five numbers, and its last reading."""
    newest: dict[ChannelKey, Verdict] = {}
    last: dict[ChannelKey, Verdict] = {}
    rows = Verdict.objects.filter(element__bridge_id=inspection.bridge_id).select_related("reading")
    for row in rows.order_by("taken_at", "pk"):
        key = ChannelKey(row.installation_id, row.quantity, row.point, row.axis)
        if row.a is not None:
            newest[key] = row
        if row.inspection_id != inspection.pk and row.taken_at.date() <= inspection.date:
            last[key] = row
    return newest, last


def _last(verdict: Verdict | None) -> dict[str, Any] | None:
    if verdict is None:
        return None
    return {
        "value": verdict.value,
        "taken_at": verdict.taken_at.isoformat(),
        "typed": verdict.reading.typed,
        "expected": verdict.expected,
        "temperature_c": verdict.temperature_c,
    }


def _finite(value: float | np.floating) -> float | None:
    return float(value) if math.isfinite(value) else None
