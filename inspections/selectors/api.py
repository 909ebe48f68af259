"""What the API reads, with its joins done; lists that a page has too come from its selector."""

from __future__ import annotations

from django.db.models import Prefetch, QuerySet
from django.utils import timezone

from inspections.lookups import field, options
from inspections.models import (
    AgencySettings,
    Decision,
    Flag,
    Inspection,
    Interval,
    Option,
    OptionStudy,
    Reading,
    TemperatureReading,
    Verdict,
    WorkItem,
    WorkOrder,
)
from inspections.selectors import flags, work
from inspections.selectors.statuses import REASONS
from inventory.models import Bridge, District, Element, Support, Unit


def districts() -> QuerySet[District]:
    """Return districts by code."""
    return District.objects.order_by("code")


def bridges() -> QuerySet[Bridge]:
    """Return bridges by code."""
    return Bridge.objects.select_related("district").order_by("code")


def units() -> QuerySet[Unit]:
    """Return units along their bridges."""
    return Unit.objects.select_related("bridge").order_by("bridge__code", "start_station_m", "pk")


def supports() -> QuerySet[Support]:
    """Return supports along their bridges."""
    return Support.objects.select_related("bridge").order_by("bridge__code", "station_m", "pk")


def elements() -> QuerySet[Element]:
    """Return elements along their bridges, with status, device and design capacities."""
    return Element.objects.select_related(
        "bridge",
        "support",
        "unit",
        "unit_ahead",
        "status",
        "current_installation__bearing_design",
        "current_installation__joint_design",
        "current_installation__restraint_design",
        *(f"status__{each}" for each in REASONS),
    ).order_by("bridge__code", "station_m", "code", "pk")


def inspections() -> QuerySet[Inspection]:
    """Return inspections with their leads, newest first."""
    return field.inspections().select_related("bridge", "lead")


def readings() -> QuerySet[Reading]:
    """Return readings in the order in which they were taken, those set right later as well."""
    return Reading.objects.select_related(
        "inspection__bridge", "element", "instrument", "corrected_by"
    ).order_by("taken_at", "pk")


def temperatures() -> QuerySet[TemperatureReading]:
    """Return temperatures in the order in which they were taken."""
    return TemperatureReading.objects.select_related(
        "inspection__bridge", "unit", "instrument", "corrected_by"
    ).order_by("taken_at", "pk")


def verdicts() -> QuerySet[Verdict]:
    """Return verdicts in the order of their readings."""
    return Verdict.objects.select_related("element__bridge").order_by("taken_at", "pk")


def flags_with_decisions(agency: AgencySettings | None = None) -> QuerySet[Flag]:
    """Return flags as the queue orders them today, each with its decisions as they hold."""
    decisions = Decision.objects.select_related("decided_by", "order").order_by(
        "as_of", "decided_at", "pk"
    )
    return (
        flags.queue(timezone.localdate(), agency)
        .prefetch_related(Prefetch("decisions", decisions))
        .order_by("-score", "pk")
    )


def orders_with_items() -> QuerySet[WorkOrder]:
    """Return work orders with what they work on, newest first."""
    items = WorkItem.objects.select_related("element").order_by("element__code", "pk")
    return work.orders().prefetch_related(Prefetch("items", items))


def studies_with_options() -> QuerySet[OptionStudy]:
    """Return option studies with their options, newest first."""
    its = Option.objects.select_related("dropped_by").order_by("pk")
    return (
        options.studies()
        .select_related("bridge", "element", "chosen", "chosen_by", "opened_by")
        .prefetch_related(Prefetch("options", its))
    )


def intervals() -> QuerySet[Interval]:
    """Return the intervals that are set, by place."""
    return Interval.objects.select_related("bridge", "element").order_by(
        "bridge__code", "element__code", "kind", "pk"
    )
