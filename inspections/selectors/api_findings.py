"""What the API reads of histories, diagnoses and checks, with its joins done."""

from __future__ import annotations

from django.db.models import QuerySet

from inspections.models import CapacityCheck, ElementHistory, UnitDiagnosis
from inspections.selectors import findings


def histories() -> QuerySet[ElementHistory]:
    """Return the histories of all devices, also of those that were replaced."""
    return (
        findings.histories()
        .select_related("element__bridge", "blunder_reading")
        .order_by(
            "element__bridge__code", "element__code", "installation__installed_on", "quantity",
            "point", "axis", "pk",
        )
    )  # fmt: skip


def diagnoses() -> QuerySet[UnitDiagnosis]:
    """Return the diagnoses of units with their explanations."""
    return findings.diagnoses()


def capacity_checks() -> QuerySet[CapacityCheck]:
    """Return the checks of the devices that stand at their places now."""
    return (
        findings.current_checks()
        .select_related("element__bridge")
        .order_by("element__bridge__code", "element__code", "order", "pk")
    )
