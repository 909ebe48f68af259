"""What a bridge's page shows, gathered from the reads and told in words and pictures."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone
from django.utils.safestring import SafeString

from inspections.desk.bridge.side_by_side import SideBySide, side_by_side
from inspections.desk.bridge.stems import stems_by_unit
from inspections.desk.findings import with_findings_in_short
from inspections.drawing.plan_view import plan_view
from inspections.drawing.residual_stems import residual_stems
from inspections.drawing.strips import elevation_strip
from inspections.drawing.svg import to_svg
from inspections.lookups.explanation_pairs import pairs_of
from inspections.lookups.plan_climate import Climate, climates_of
from inspections.lookups.usual_temperatures import usual_months
from inspections.models import Inspection, UnitDiagnosis
from inspections.plan_of_movement import At, PlanOfMovement, plan_of_movement
from inspections.selectors import desk, findings
from inspections.selectors.bridge_around import around
from inspections.selectors.bridge_visit import (
    chosen_visit,
    verdicts_of_visit,
    with_readings,
)
from inspections.selectors.desk import UnitExtremes
from inspections.selectors.ratings import ratings_of
from inspections.selectors.statuses import BridgeStrip, bridge_strip
from inspections.services.tell_apart import to_tell_apart
from inspections.wording_explanation import UnitTold, tell_unit
from inspections.wording_tell_apart import Told, tell_pair
from inventory import facts
from inventory.models import Bridge, TemperatureBasis
from inventory.station_records import StationRecords
from inventory.units import System

LATEST = 8
"""Visits offered at once; the older ones on demand."""


@dataclass(frozen=True, slots=True)
class UnitShown:
    """What explains a unit's readings, and what to measure to tell its explanations apart."""

    told: UnitTold
    apart: list[Told]


@dataclass(frozen=True, slots=True)
class VisitShown:
    """One visit: all supports side by side, the plan of movement, residuals along each unit."""

    visit: Inspection
    latest: Sequence[Inspection]
    older: Sequence[Inspection]
    at: At
    temperatures: list[At]
    table: SideBySide
    plan: PlanOfMovement
    drawing: SafeString | None
    curved: bool
    stems: list[SafeString]


@dataclass(frozen=True, slots=True)
class _Read:
    """What the parts of a bridge's page rest on."""

    strip: BridgeStrip
    basis: TemperatureBasis | None
    records: StationRecords
    extremes: list[UnitExtremes]
    diagnoses: list[UnitDiagnosis]
    climate: Climate | None
    today: dt.date


def page_of(bridge: Bridge, asked: Mapping[str, str], system: System) -> dict[str, Any]:
    """Return what the page of a bridge shows."""
    read = _read(bridge)
    strip, basis = read.strip, read.basis
    with_findings_in_short(strip.statuses, read.diagnoses)
    inspections = list(desk.inspections_of(bridge))
    return {
        "bridge": bridge,
        "head": facts.facts_of(bridge, facts.HEAD_OF_BRIDGE, system),
        "basis": basis and facts.facts_of(basis, facts.BASIS, system),
        "extremes": read.extremes,
        "strip": strip,
        "elevation": strip.statuses and to_svg(elevation_strip(strip, system)),
        "supports": desk.by_support(strip),
        "counts": desk.count_of_verdicts(strip.statuses),
        "units": _units(read, system),
        "climate": read.climate,
        "shown": _visit(bridge, strip, inspections, asked, system),
        "around": around(bridge),
        "today": read.today,
        "inspections": inspections,
        "ratings": ratings_of(bridge),
    }


def explained(bridge: Bridge, system: System) -> tuple[list[UnitShown], Climate | None]:
    """Return the units of a bridge as its page explains them, and the climate they ask for."""
    read = _read(bridge)
    return _units(read, system), read.climate


def _read(bridge: Bridge) -> _Read:
    strip = bridge_strip(bridge, list(bridge.units.all()))
    records = StationRecords([bridge.air_station])
    basis = getattr(bridge, "temperature_basis", None)
    diagnoses = list(findings.diagnoses_of(bridge))
    return _Read(
        strip,
        basis,
        records,
        desk.extremes_of_units(basis, strip.units, records),
        diagnoses,
        _climate(bridge, diagnoses, records),
        timezone.now().astimezone(ZoneInfo(bridge.time_zone)).date(),
    )


def _climate(
    bridge: Bridge, diagnoses: Sequence[UnitDiagnosis], records: StationRecords
) -> Climate | None:
    """Return the climate where something is to be told apart, the only place that asks."""
    if not any(pairs_of(each) for each in diagnoses):
        return None
    return climates_of([bridge], records)[bridge.pk]


def _units(read: _Read, system: System) -> list[UnitShown]:
    apart = to_tell_apart(
        read.strip.bridge,
        read.diagnoses,
        read.strip.units,
        [each.element for each in read.strip.statuses],
        {
            each.unit.pk: (float(each.extremes.min_c), float(each.extremes.max_c))
            for each in read.extremes
            if each.extremes
        },
        usual_months(read.climate),
        read.today,
        read.records,
    )
    return [
        UnitShown(
            register_first(tell_unit(each, system)),
            [tell_pair(pair, system) for pair in apart.get(each.unit_id, [])],
        )
        for each in read.diagnoses
    ]


def register_first(told: UnitTold) -> UnitTold:
    """Put what is to be looked up in the register before what would be wrong on the bridge."""
    explanations = sorted(told.explanations, key=lambda each: not each.check_register)
    first = [each.next for each in explanations]
    order = {step: first.index(step) for step in dict.fromkeys(first)}
    return replace(
        told,
        explanations=explanations,
        next=sorted(told.next, key=lambda step: order.get(step, len(order))),
    )


def _visit(
    bridge: Bridge,
    strip: BridgeStrip,
    inspections: Sequence[Inspection],
    asked: Mapping[str, str],
    system: System,
) -> VisitShown | None:
    visits = with_readings(inspections)
    visit = chosen_visit(visits, asked.get("visit", ""))
    if visit is None:
        return None
    wanted = asked.get("at", "")
    at = At(wanted) if wanted in list(At) else At.VISIT
    verdicts = verdicts_of_visit(visit)
    plan = plan_of_movement(
        bridge.code,
        bridge.skew_deg,
        strip.units,
        strip.supports,
        [each.element for each in strip.statuses],
        verdicts,
        at,
    )
    drawing = plan_view(plan, system)
    pictures = [
        residual_stems(unit, stems, system) for unit, stems in stems_by_unit(strip.units, verdicts)
    ]
    return VisitShown(
        visit,
        visits[:LATEST],
        visits[LATEST:],
        at,
        list(At),
        side_by_side(verdicts),
        plan,
        drawing and to_svg(drawing),
        any(each.free is not None for each in plan.rows),
        [to_svg(each) for each in pictures if each is not None],
    )
