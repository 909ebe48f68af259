"""Status of each element: the verdict of its last visit that tells something."""

from collections import defaultdict

from inspections.models import ElementStatus, Inspection, Verdict
from inspections.models.choices import InspectionState, VerdictWord
from inventory.models import Element


def write_statuses(bridge_id: int, verdicts: list[Verdict]) -> None:
    """Give every element of a bridge its status: the worst of its last visit that tells."""
    ElementStatus.objects.filter(element__bridge_id=bridge_id).delete()
    open_visits = set(
        Inspection.objects.filter(bridge_id=bridge_id, state=InspectionState.OPEN).values_list(
            "pk", flat=True
        )
    )
    elements = dict(
        Element.objects.filter(bridge_id=bridge_id).values_list("pk", "current_installation_id")
    )
    by_element: dict[int, list[Verdict]] = defaultdict(list)
    for verdict in verdicts:
        if (
            verdict.inspection_id not in open_visits
            and verdict.installation_id == elements[verdict.element_id]
        ):
            by_element[verdict.element_id].append(verdict)
    ElementStatus.objects.bulk_create(
        [_status(element_id, by_element[element_id]) for element_id in elements], batch_size=500
    )


def _status(element_id: int, verdicts: list[Verdict]) -> ElementStatus:
    if not verdicts:
        return ElementStatus(element_id=element_id)
    telling = [each for each in verdicts if each.verdict != VerdictWord.CANNOT_JUDGE] or verdicts
    last = max(telling, key=lambda each: each.taken_at)
    of_visit = [each for each in telling if each.inspection_id == last.inspection_id]
    deciding = max(of_visit, key=_severity)
    return ElementStatus(
        element_id=element_id,
        verdict=deciding.verdict,
        deciding=deciding,
        last_seen_on=max(each.taken_at for each in verdicts).date(),
        greatest_use=max(
            (use for each in of_visit if (use := _use(each)) is not None), default=None
        ),
        greatest_residual_in_u=max(
            (abs(each.residual_in_u) for each in of_visit if each.residual_in_u is not None),
            default=None,
        ),
    )


def _use(verdict: Verdict) -> float | None:
    uses = (verdict.use_now, verdict.use_at_min, verdict.use_at_max)
    return max((each for each in uses if each is not None), default=None)


def _severity(verdict: Verdict) -> tuple[int, float, float]:
    return (verdict.verdict, abs(verdict.residual_in_u or 0.0), _use(verdict) or 0.0)
