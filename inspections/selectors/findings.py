"""Reads of what the model makes of many readings together, with their joins done."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Exists, Max, Min, OuterRef, Prefetch, QuerySet, Subquery

from inspections.models import (
    CapacityCheck,
    ElementHistory,
    ElementStatus,
    Explanation,
    UnitDiagnosis,
    Verdict,
)
from inspections.models.choices import DiagnosisWord, RaisedBy
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
    return histories().filter(installation__current_at__isnull=False)


def current_checks() -> QuerySet[CapacityCheck]:
    """Return the checks of the devices that stand at their places now, in their order."""
    # Asked of the device alone: of a pair of columns PostgreSQL expects one row of all to agree.
    return CapacityCheck.objects.filter(installation__current_at__isnull=False).select_related(
        "inspection"
    )


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


def concerning(diagnoses: Iterable[UnitDiagnosis], element: Element) -> Explanation | None:
    """Return the first leading explanation that names an element or the support it stands at."""
    units = (element.unit_id, element.unit_ahead_id)
    return next(
        (
            row
            for each in diagnoses
            if each.unit_id in units
            for row in leading(each)
            if row.element_id == element.pk
            or (row.support_id is not None and row.support_id == element.support_id)
        ),
        None,
    )


def _concerns(row: Explanation, element: Element) -> bool:
    if row.element_id is not None:
        return row.element_id == element.pk
    if row.support_id is not None:
        return row.support_id == element.support_id
    return True


def with_findings(statuses: QuerySet[ElementStatus]) -> QuerySet[ElementStatus]:
    """Read the histories and checks of the present devices along with statuses.

    They stand on each element as ``told_histories`` and ``told_checks``.
    """
    return statuses.prefetch_related(
        Prefetch("element__histories", current_histories(), to_attr="told_histories"),
        Prefetch("element__capacity_checks", current_checks(), to_attr="told_checks"),
    )


def deciding_history(status: ElementStatus) -> ElementHistory | None:
    """Return the history that raised a status, else that of the channel that decides it.

    The status comes from ``with_findings``.
    """
    wanted: ElementHistory | Verdict | None = status.deciding
    if status.raised_by == RaisedBy.HISTORY and status.history is not None:
        wanted = status.history
    if wanted is None:
        return None
    return next(
        (each for each in status.element.told_histories if same_channel(each, wanted)), None
    )


def same_channel(one: ElementHistory | Verdict, other: ElementHistory | Verdict) -> bool:
    """Return whether two rows are of one quantity at one point along one axis."""
    names = ("installation_id", "quantity", "point", "axis")
    return all(getattr(one, name) == getattr(other, name) for name in names)
