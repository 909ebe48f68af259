"""Reads of what the model makes of many readings together, with their joins done."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Exists, F, Max, Min, OuterRef, Prefetch, QuerySet, Subquery

from inspections.models import (
    CapacityCheck,
    ElementHistory,
    Explanation,
    UnitDiagnosis,
    Verdict,
)
from inspections.models.choices import DiagnosisWord
from inventory.models import Bridge, Element


def _of_channel() -> QuerySet[Verdict]:
    """Return the verdicts of a history's channel that a history is made from."""
    return (
        Verdict.objects.filter(
            installation=OuterRef("installation"),
            quantity=OuterRef("quantity"),
            point=OuterRef("point"),
            axis=OuterRef("axis"),
            temperature_c__isnull=False,
        )
        .order_by()
        .values("installation")
    )


def histories() -> QuerySet[ElementHistory]:
    """Return histories with what their sentences need.

    ``coldest_c`` and ``hottest_c`` are the temperatures its readings span, ``shortens``
    whether creep and shrinkage are part of what is expected.
    """
    of_channel = _of_channel()
    return ElementHistory.objects.select_related("blunder_reading").annotate(
        coldest_c=Subquery(of_channel.annotate(found=Min("temperature_c")).values("found")),
        hottest_c=Subquery(of_channel.annotate(found=Max("temperature_c")).values("found")),
        shortens=Exists(of_channel.filter(shortening__isnull=False).exclude(shortening=0)),
    )


def current_histories() -> QuerySet[ElementHistory]:
    """Return the histories of the devices that stand at their places now."""
    return histories().filter(installation=F("element__current_installation"))


def current_checks() -> QuerySet[CapacityCheck]:
    """Return the checks of the devices that stand at their places now, in their order."""
    return CapacityCheck.objects.filter(
        installation=F("element__current_installation")
    ).select_related("inspection")


def explanations() -> QuerySet[Explanation]:
    """Return explanations with the places and visits that they name."""
    return Explanation.objects.select_related(
        "diagnosis", "element", "support", "visit", "last_before"
    )


def diagnoses() -> QuerySet[UnitDiagnosis]:
    """Return diagnoses with their explanations, by unit along its bridge."""
    return (
        UnitDiagnosis.objects.select_related("unit__bridge")
        .prefetch_related(Prefetch("explanations", explanations()))
        .order_by("unit__bridge__code", "unit__start_station_m", "unit__code")
    )


def diagnoses_of(bridge: Bridge) -> QuerySet[UnitDiagnosis]:
    """Return the diagnoses of a bridge's units."""
    return diagnoses().filter(unit__bridge=bridge)


def diagnoses_naming(element: Element) -> list[UnitDiagnosis]:
    """Return the diagnoses of an element's units whose leading explanations concern it.

    They name the element, the support it stands at, or no place at all (the temperature of
    a visit, the deck, the register of the unit).
    """
    units = [pk for pk in (element.unit_id, element.unit_ahead_id) if pk is not None]
    return [
        each
        for each in diagnoses().filter(unit__in=units)
        if any(_concerns(row, element) for row in leading(each))
    ]


def leading(diagnosis: UnitDiagnosis) -> list[Explanation]:
    """Return the explanations that a diagnosis stands by: the first, its equals, the second
    cause beside it."""
    if diagnosis.outcome not in (DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL):
        return []
    rows: Iterable[Explanation] = diagnosis.explanations.all()
    ranked = sorted((each for each in rows if not each.beside), key=lambda each: each.rank)
    beside = [each for each in rows if each.beside and each.cause]
    return [*ranked[: max(diagnosis.equal, 1)], *beside]


def _concerns(row: Explanation, element: Element) -> bool:
    if row.element_id is not None:
        return row.element_id == element.pk
    if row.support_id is not None:
        return row.support_id == element.support_id
    return True
