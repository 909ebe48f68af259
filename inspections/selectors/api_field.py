"""What the API reads of what crews brought home and of air records, with its joins done."""

from __future__ import annotations

from django.db.models import Count, Exists, Max, Min, Model, OuterRef, QuerySet

from inspections.models import (
    AirDay,
    AirTemperature,
    ComponentRating,
    Condition,
    CriticalFinding,
    FieldNote,
    LeftOut,
    Photo,
    SetAside,
    SignOff,
)


def conditions() -> QuerySet[Condition]:
    """Return condition states; ``counts`` where no later row of the same place replaces it."""
    return _counted(_at_visits(Condition), "inspection", "element", "defect")


def notes() -> QuerySet[FieldNote]:
    """Return notes in the order in which they came in."""
    return _at_visits(FieldNote)


def critical_findings() -> QuerySet[CriticalFinding]:
    """Return critical findings, newest first."""
    rows = _at_visits(CriticalFinding).select_related("seen_by")
    return rows.order_by("-found_at", "-pk")


def left_out() -> QuerySet[LeftOut]:
    """Return what was not read, and why."""
    return _at_visits(LeftOut)


def photos() -> QuerySet[Photo]:
    """Return photos in the order in which they were taken."""
    return _at_visits(Photo).order_by("taken_at", "pk")


def set_aside() -> QuerySet[SetAside]:
    """Return the readings that no longer count, because another of their point does."""
    return SetAside.objects.select_related(
        "reading__inspection__bridge", "reading__element", "created_by"
    ).order_by("pk")


def sign_offs() -> QuerySet[SignOff]:
    """Return the signatures under inspections, newest first."""
    return SignOff.objects.select_related("inspection__bridge", "created_by").order_by(
        "-signed_at", "-pk"
    )


def ratings() -> QuerySet[ComponentRating]:
    """Return national condition ratings; ``counts`` where none of its visit replaces it."""
    rows = ComponentRating.objects.select_related("inspection__bridge", "created_by").order_by("pk")
    return _counted(rows, "inspection", "item")


def air_hours() -> QuerySet[AirTemperature]:
    """Return the hours of shade air records."""
    return AirTemperature.objects.order_by("station", "time_utc", "pk")


def air_days() -> QuerySet[AirDay]:
    """Return the days of which only the extremes are known."""
    return AirDay.objects.order_by("station", "day", "pk")


def air_stations() -> QuerySet[AirTemperature, dict]:
    """Return the stations that have hours, with how many and from when to when."""
    return (
        AirTemperature.objects.order_by("station")
        .values("station")
        .annotate(hours=Count("pk"), first_at=Min("time_utc"), last_at=Max("time_utc"))
    )


def _at_visits(model: type[Model]) -> QuerySet:
    rows = model.objects.select_related("inspection__bridge", "element", "created_by")
    return rows.order_by("pk")


def _counted(rows: QuerySet, *same: str) -> QuerySet:
    later = rows.model.objects.filter(
        pk__gt=OuterRef("pk"), **{name: OuterRef(name) for name in same}
    )
    return rows.annotate(counts=~Exists(later))
