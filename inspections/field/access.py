"""Fetches with the permission inside: no view holds a row that its user may not have."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404

from inspections.models import CriticalFinding, Inspection, Reading, TemperatureReading
from inspections.models.choices import InspectionState
from inspections.rights import User, only_in, require

VIEW = "inspections.view_inspection"
OPEN_VISIT = "inspections.add_inspection"
ENTER = "inspections.add_reading"
REVIEW = "inspections.review_inspection"


def inspection_for(user: User, pk: int, permission: str = VIEW) -> Inspection:
    """Return an inspection to a user who may see it and do what is asked."""
    require(user, VIEW, permission)
    rows = Inspection.objects.select_related("bridge", "created_by", "reviewed_by", "lead", "event")
    inspection = get_object_or_404(rows, pk=pk)
    only_in(inspection.bridge.district_id)
    return inspection


def may_correct(user: User, inspection: Inspection) -> bool:
    """True for a reviewer, and for whoever enters readings while the inspection is open."""
    return user.has_perm(REVIEW) or (
        inspection.state == InspectionState.OPEN and user.has_perm(ENTER)
    )


def reading_to_correct(user: User, pk: int) -> Reading:
    """Return a reading to a user who may correct it now."""
    require(user, VIEW, ENTER)
    reading = get_object_or_404(
        Reading.objects.select_related("inspection__bridge", "element", "created_by"), pk=pk
    )
    only_in(reading.inspection.bridge.district_id)
    if not may_correct(user, reading.inspection):
        raise PermissionDenied
    return reading


def temperature_to_correct(user: User, pk: int) -> TemperatureReading:
    """Return a temperature to a user who may correct it now."""
    require(user, VIEW, ENTER)
    rows = TemperatureReading.objects.select_related("inspection__bridge", "unit", "created_by")
    temperature = get_object_or_404(rows, pk=pk)
    only_in(temperature.inspection.bridge.district_id)
    if not may_correct(user, temperature.inspection):
        raise PermissionDenied
    return temperature


def critical_to_see(user: User, pk: int) -> CriticalFinding:
    """Return a critical finding to a reviewer."""
    require(user, VIEW, REVIEW)
    return get_object_or_404(CriticalFinding.objects.select_related("inspection"), pk=pk)
