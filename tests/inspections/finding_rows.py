"""Rows of findings, made as the judge leaves them, for tests of what is said of them."""

import datetime as dt

from inspections.models import (
    CapacityCheck,
    ElementHistory,
    Explanation,
    Reading,
    UnitDiagnosis,
)
from inspections.models.choices import CauseWord, DiagnosisWord, ResponseWord
from tests.make import UTC, read

JUDGED = {"model_version": "test", "judged_at": dt.datetime(2026, 1, 1, tzinfo=UTC)}


def forget_findings(bridge) -> None:
    """Delete what the judge has made of many readings of a bridge; its verdicts stay."""
    ElementHistory.objects.filter(element__bridge=bridge).delete()
    CapacityCheck.objects.filter(element__bridge=bridge).delete()
    UnitDiagnosis.objects.filter(unit__bridge=bridge).delete()


def make_history(element, **fields) -> ElementHistory:
    """Return the history of the left gap of an element: frozen unless said otherwise."""
    values = {
        "quantity": "gap",
        "point": "left",
        "axis": "square",
        "response": ResponseWord.FROZEN,
        "visits": 7,
        "readings": 7,
        "spread_k": 31.0,
        "ratio": 0.06,
        "ratio_low": -0.08,
        "ratio_high": 0.19,
        "expected_slope_per_c": -1.17,
        "slope_per_c": -0.07,
        "slope_low_per_c": -0.22,
        "slope_high_per_c": 0.09,
        "level": 52.0,
        "level_low": 50.5,
        "level_high": 53.5,
        "mean_temperature_c": 12.0,
        "mean_at": dt.datetime(2023, 1, 1, tzinfo=UTC),
        **JUDGED,
    }
    values |= fields
    channel = {name: values[name] for name in ("quantity", "point", "axis")}
    element.histories.filter(**channel).delete()
    return ElementHistory.objects.create(
        element=element, installation=element.current_installation, **values
    )


def unclear(element, **fields) -> ElementHistory:
    """Return a history without a word on the response."""
    nothing = dict.fromkeys(
        ("ratio", "ratio_low", "ratio_high", "slope_per_c", "slope_low_per_c", "slope_high_per_c")
    )
    return make_history(
        element,
        **{"response": ResponseWord.NOT_ENOUGH_INFORMATION, "visits": 3, **nothing} | fields,
    )


def make_diagnosis(unit, *causes, outcome=DiagnosisWord.EXPLAINED, **fields) -> UnitDiagnosis:
    """Return the diagnosis of a unit with its explanations, each a dictionary, the best first."""
    UnitDiagnosis.objects.filter(unit=unit).delete()
    diagnosis = UnitDiagnosis.objects.create(
        unit=unit,
        outcome=outcome,
        **{"equal": int(outcome == DiagnosisWord.EXPLAINED), "visits": 7, "readings": 40, **JUDGED}
        | fields,
    )
    for rank, each in enumerate(causes):
        Explanation.objects.create(
            diagnosis=diagnosis,
            **{"rank": rank, "odds_log": 5.0 - 3 * rank, "log_ratio": 7.74 - 3 * rank} | each,
        )
    return diagnosis


def frozen(element, **fields) -> dict:
    """Return the explanation that an element is frozen."""
    return {
        "cause": CauseWord.FROZEN,
        "element": element,
        "size": 0.04,
        "low": -0.1,
        "high": 0.17,
    } | fields


def make_check(element, **fields) -> CapacityCheck:
    """Return a check of an element's capacity: met at 80 % unless said otherwise."""
    values = {
        "order": CapacityCheck.objects.filter(element=element).count(),
        "family": "aashto",
        "name": "Gap along the road",
        "clause": "14.5.3.2",
        "edition": "AASHTO LRFD, 9th ed. (2020)",
        "provenance": "read in the source",
        "when": "now",
        "unit": "mm",
        "demand": 80.0,
        "capacity": 100.0,
        "use": 0.8,
        **JUDGED,
    }
    return CapacityCheck.objects.create(
        element=element, installation=element.current_installation, **values | fields
    )


def read_over_years(visits, element, gaps_mm) -> list[Reading]:
    """Read the left gap of an element at (gap, temperature) in each of some visits."""
    for visit, (gap_mm, temperature_c) in zip(visits, gaps_mm, strict=True):
        read(visit, element, "gap", gap_mm, temperature_c, point="left", axis="square")
    return list(Reading.objects.filter(element=element).order_by("taken_at"))
