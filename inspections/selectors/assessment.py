"""What an assessment reads: the bridges asked for, their elements' statuses and counts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import get_close_matches

from django.db.models import Count, QuerySet
from django.utils import timezone

from inspections.assessment import UNIT_COUNTS, Assessment
from inspections.assessment_codes import VERDICT_CODES
from inspections.models import AgencySettings, ElementStatus, UnitDiagnosis
from inspections.models.choices import DiagnosisWord, RaisedBy, VerdictWord
from inspections.selectors.findings import diagnoses, with_findings
from inspections.selectors.statuses import FLAGGED, element_statuses
from inventory.models import Bridge, Element
from movement import MODEL_VERSION
from movement.errors import InputError
from movement.expected import BAND_K

ROWS_AT_A_TIME = 2000
TELLING = (DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL)
FINDING_THRESHOLDS = (
    "frozen_below", "free_above", "sluggish_below", "more_than_free_above", "chance",
    "horizon_years", "explanation_needed", "explanations_apart", "creep_scatter",
    "shrinkage_scatter",
)  # fmt: skip
"""Settings of the agency that histories, units and shortening turn on."""


def bridges_to_assess(codes: Sequence[str] = ()) -> QuerySet[Bridge]:
    """Return bridges by their codes, or every one that has elements if none is named.

    Raises
    ------
    movement.errors.InputError
        If a code is not known, with those that are near it.
    """
    if not codes:
        return Bridge.objects.filter(pk__in=Element.objects.order_by().values("bridge_id"))
    found = Bridge.objects.filter(code__in=codes)
    known = set(found.values_list("code", flat=True))
    unknown = [code for code in dict.fromkeys(codes) if code not in known]
    if unknown:
        raise InputError(
            "bridge",
            f"no bridge has the code {', '.join(f'«{code}»' for code in unknown)}",
            near(unknown[0], list(Bridge.objects.values_list("code", flat=True))),
        )
    return found


def near(wrong: str, known: Sequence[str]) -> str:
    """Return the remedy for a code that is not known: the ones that look like it."""
    by_lower = {code.lower(): code for code in known}
    close = [by_lower[each] for each in get_close_matches(wrong.lower(), by_lower, n=5, cutoff=0.5)]
    if close:
        return f"Did you mean {', '.join(close)}?"
    return "Check the code." if known else "The ledger holds none yet."


def statuses_of(bridges: QuerySet[Bridge]) -> Iterator[ElementStatus]:
    """Yield the statuses of bridges with all that is told of them, along each bridge."""
    return (
        with_findings(element_statuses())
        .filter(element__bridge__in=bridges.order_by())
        .order_by("element__bridge__code", "element__station_m", "element__code")
        .iterator(chunk_size=ROWS_AT_A_TIME)
    )


def diagnoses_to_tell(bridges: QuerySet[Bridge]) -> Iterator[UnitDiagnosis]:
    """Yield the diagnoses of the units of bridges, along each bridge."""
    return diagnoses().filter(unit__bridge__in=bridges.order_by()).iterator(ROWS_AT_A_TIME)


def telling_units(bridges: QuerySet[Bridge]) -> Iterator[UnitDiagnosis]:
    """Yield the same of those units alone whose readings one or more faults explain."""
    return (
        diagnoses()
        .filter(unit__bridge__in=bridges.order_by(), outcome__in=TELLING)
        .iterator(ROWS_AT_A_TIME)
    )


def worst_first(bridges: QuerySet[Bridge], flagged_only: bool) -> Iterator[ElementStatus]:
    """Yield the statuses of bridges, the worst first; only those flagged if asked."""
    rows = with_findings(element_statuses()).filter(element__bridge__in=bridges.order_by())
    if flagged_only:
        rows = rows.filter(verdict__in=FLAGGED)
    return rows.iterator(chunk_size=ROWS_AT_A_TIME)


def assessment_of(bridges: QuerySet[Bridge]) -> Assessment:
    """Return counts, thresholds and versions of an assessment of bridges, as of now."""
    rows = ElementStatus.objects.filter(element__bridge__in=bridges.order_by()).order_by()
    by_verdict = dict(rows.values_list("verdict").annotate(Count("pk")))
    by_raiser = dict(rows.values_list("raised_by").annotate(Count("pk")))
    units = UnitDiagnosis.objects.filter(unit__bridge__in=bridges.order_by()).order_by()
    by_outcome = dict(units.values_list("outcome").annotate(Count("pk")))
    agency = AgencySettings.current()
    return Assessment(
        model_version=MODEL_VERSION,
        generated_at=timezone.now(),
        thresholds={
            "watch_k": agency.watch_k,
            "out_k": agency.out_k,
            "watch_use": agency.watch_use,
            "band_k": BAND_K,
            **{name: getattr(agency, name) for name in FINDING_THRESHOLDS},
        },
        counts={
            "bridges": bridges.count(),
            "elements": sum(by_verdict.values()),
            **{
                code: by_verdict.get(VerdictWord(word).value, 0)
                for word, code in VERDICT_CODES.items()
            },
            "raised_by_history": by_raiser.get(RaisedBy.HISTORY.value, 0),
            "raised_by_unit": by_raiser.get(RaisedBy.UNIT.value, 0),
            "units": sum(by_outcome.values()),
            **{name: by_outcome.get(outcome.value, 0) for outcome, name in UNIT_COUNTS.items()},
        },
    )
