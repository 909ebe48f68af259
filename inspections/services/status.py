"""Status of each element: the worst that its readings leave standing, or what raises it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from inspections.models import ElementHistory, ElementStatus, Verdict
from inspections.models.choices import RaisedBy, VerdictWord
from inspections.reasons import RESIDUAL_OUT
from inspections.services.explanations import ToldUnit
from inspections.services.raising import Findings, worst_history
from inventory.models import Element, Installation
from movement.results import Reason
from movement.verdict import could_show


def mark_standing(verdicts: Iterable[Verdict], channels: Iterable[int], shown_at_k: float) -> None:
    """Mark findings that a later reading in range of the same channel could not disprove."""
    for verdict in standing(verdicts, channels, shown_at_k):
        verdict.stands = True


def standing(
    verdicts: Iterable[Verdict], channels: Iterable[int], shown_at_k: float
) -> Iterator[Verdict]:
    """Yield findings that a later reading in range of the same channel could not disprove.

    ``verdicts`` come oldest first, each with the number of its channel.  Only residuals beyond
    the outer threshold are kept alive: a frozen part looks healthy whenever it is read near its
    setting temperature.
    """
    numbered = list(zip(channels, verdicts, strict=True))
    # Most channels have none.
    by_channel: dict[int, list[Verdict]] = {
        channel: [] for channel, each in numbered if each.reasons & RESIDUAL_OUT
    }
    if not by_channel:
        return
    for channel, each in numbered:
        if channel in by_channel:
            by_channel[channel].append(each)
    for of_channel in by_channel.values():
        for index, found in enumerate(of_channel):
            if not found.reasons & RESIDUAL_OUT:
                continue
            later = [each for each in of_channel[index + 1 :] if _tells(each)]
            if later and not any(_disproves(each, found, shown_at_k) for each in later):
                yield found


def statuses_of(
    elements: Sequence[Element],
    devices: Mapping[object, Installation],
    verdicts: list[Verdict],
    histories: Iterable[ElementHistory],
    told: Iterable[ToldUnit],
) -> list[ElementStatus]:
    """Return the status of some elements of a bridge, from visits that were handed in.

    ``devices`` are those at their places, by key.
    Its history and its whole unit may raise a status to watch; they never lower one.
    """
    current = {element.pk: element.current_installation_id for element in elements}
    by_element: dict[int, list[Verdict]] = defaultdict(list)
    for verdict in verdicts:
        if verdict.installation_id == current[verdict.element_id]:
            by_element[verdict.element_id].append(verdict)
    of_device: dict[object, list[ElementHistory]] = defaultdict(list)
    for history in histories:
        of_device[history.installation_id].append(history)
    units = Findings(told)
    statuses = []
    for element in elements:
        device = devices[element.current_installation_id]
        status = _status(element, device, by_element[element.pk])
        if status.verdict < VerdictWord.WATCH:
            _raise(status, element, of_device[element.current_installation_id], units)
        statuses.append(status)
    return statuses


def _status(element: Element, device: Installation, verdicts: list[Verdict]) -> ElementStatus:
    """Return the worst of the last visit that tells, or an earlier finding that stands."""
    place = {
        "element_id": element.pk,
        "bridge_id": element.bridge_id,
        "device_type": device.device_type,
    }
    if not verdicts:
        return ElementStatus(**place)
    telling = [each for each in verdicts if _tells(each)] or verdicts
    last = max(telling, key=lambda each: each.taken_at)
    of_visit = [each for each in telling if each.inspection_id == last.inspection_id]
    deciding = max([*of_visit, *(each for each in telling if each.stands)], key=_severity)
    counted = [*of_visit, deciding]
    return ElementStatus(
        **place,
        verdict=deciding.verdict,
        deciding=deciding,
        last_seen_on=max(each.taken_at for each in verdicts).date(),
        greatest_use=max(
            (use for each in counted if (use := _use(each)) is not None), default=None
        ),
        greatest_residual_in_u=max(
            (abs(each.residual_in_u) for each in counted if each.residual_in_u is not None),
            default=None,
        ),
    )


def _raise(
    status: ElementStatus, element: Element, histories: list[ElementHistory], units: Findings
) -> None:
    """Raise a status to watch where its history, else its whole unit, gives a reason."""
    history = worst_history(histories, steps_count=not units.move_all_of(element))
    explanation = units.against(element)
    if history is not None:
        status.raised_by, status.history = RaisedBy.HISTORY, history
    elif explanation is not None:
        status.raised_by, status.explanation = RaisedBy.UNIT, explanation
    else:
        return
    status.verdict = VerdictWord.WATCH


def _tells(verdict: Verdict) -> bool:
    return verdict.verdict != VerdictWord.CANNOT_JUDGE


def _disproves(later: Verdict, found: Verdict, k: float) -> bool:
    """Return whether a later reading shows that what was found is no longer there.

    A later residual that is itself outside its band disproves nothing, but says so itself.
    """
    if later.residual_in_u is None or later.u_residual is None:
        return False
    if abs(later.residual_in_u) > k:
        return bool(later.reasons & Reason.RESIDUAL_OUT)  # the newer finding takes its place
    still = found.b == 0
    temperatures = [
        0.0 if still else math.nan if each is None else each
        for each in (found.temperature_c, found.setting_temperature_c, later.temperature_c)
    ]
    return bool(could_show(found.residual, *temperatures, later.u_residual, k))


def _use(verdict: Verdict) -> float | None:
    uses = (verdict.use_now, verdict.use_at_min, verdict.use_at_max)
    return max((each for each in uses if each is not None), default=None)


def _severity(verdict: Verdict) -> tuple[int, float, float]:
    return (verdict.verdict, abs(verdict.residual_in_u or 0.0), _use(verdict) or 0.0)
