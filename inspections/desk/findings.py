"""What a page shows of histories, checks of capacity and explanations, in words and pictures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from inspections.drawing.carried import carrier_of
from inspections.drawing.chart import channels_of, expected_chart
from inspections.drawing.events import NO_EVENTS, Events
from inspections.drawing.svg import to_svg
from inspections.drawing.time_chart import Renewal, time_chart
from inspections.models import (
    AgencySettings,
    ElementHistory,
    ElementStatus,
    UnitDiagnosis,
    Verdict,
)
from inspections.models.choices import RaisedBy, VerdictWord
from inspections.selectors.findings import (
    concerning,
    current_checks,
    current_histories,
    diagnoses,
    same_channel,
)
from inspections.wording_capacity import (
    MARK_OF_STATE,
    CheckTold,
    State,
    checks_in_words,
    made_and_lacking,
    state_of,
    states_in_words,
)
from inspections.wording_explanation import explanation_in_short
from inspections.wording_figures import as_sentence
from inspections.wording_history import history_in_short, history_sentence
from inspections.wording_readings import ReadingTold, reading_told
from inventory.models import Element
from inventory.units import Dimension, System, shown

CHART_WIDTH = 560.0
"""Two charts stand side by side on a wide screen with their words still legible."""


@dataclass(frozen=True, slots=True)
class ChannelShown:
    """One channel of an element: its last reading, its history and its charts."""

    last: Verdict
    sentence: str
    against_temperature: SafeString
    over_time: SafeString
    readings: list[ReadingTold]
    earlier: list[ReadingTold]
    carried_to: str

    @property
    def after_event(self) -> list[ReadingTold]:
        """The readings of visits that were made after an event, oldest first."""
        return [each for each in (*self.earlier, *self.readings) if each.event]


def channels_shown(
    verdicts: list[Verdict],
    histories: Iterable[ElementHistory],
    system: System,
    earlier: Sequence[Verdict] = (),
    renewals: Sequence[Renewal] = (),
    events: Events = NO_EVENTS,
) -> list[ChannelShown]:
    """Return the channels of a device with what their readings show together.

    ``earlier`` are the readings of devices that stood there before, ``renewals`` their
    ends, ``events`` what visits were made after.
    """
    known = list(histories)
    before = sorted(earlier, key=lambda each: each.taken_at)
    return [
        _shown(
            channel,
            next((each for each in known if same_channel(each, channel[0])), None),
            [each for each in before if _same_place(each, channel[0])],
            renewals,
            events,
            system,
        )
        for channel in channels_of(verdicts)
    ]


def _same_place(one: Verdict, other: Verdict) -> bool:
    """Return whether two readings are of one point, whichever device stood there."""
    return all(getattr(one, name) == getattr(other, name) for name in ("quantity", "point", "axis"))


def _shown(
    channel: list[Verdict],
    history: ElementHistory | None,
    earlier: list[Verdict],
    renewals: Sequence[Renewal],
    events: Events,
    system: System,
) -> ChannelShown:
    over_time = time_chart(
        channel,
        history,
        system,
        earlier=earlier,
        renewals=renewals,
        events=events,
        width=CHART_WIDTH,
    )
    # Where no chart over time is drawn, nothing in it is carried.
    carrier = None if over_time is None else carrier_of(channel, history)

    def told(verdict: Verdict) -> ReadingTold:
        carried = None if carrier is None else carrier.value(verdict)
        event = events.get(verdict.inspection_id)
        return reading_told(verdict, system, carried=carried, event=event)

    return ChannelShown(
        channel[-1],
        "" if history is None else history_sentence(history, system),
        to_svg(expected_chart(channel, system, history=history, events=events, width=CHART_WIDTH)),
        SafeString("") if over_time is None else to_svg(over_time),
        [told(each) for each in channel],
        [told(each) for each in earlier],
        "" if carrier is None else shown(carrier.to_c, Dimension.TEMPERATURE, system),
    )


@dataclass(frozen=True, slots=True)
class CheckShown:
    """A check of capacity with the mark that goes with what it found."""

    told: CheckTold
    mark: VerdictWord


@dataclass(frozen=True, slots=True)
class ChecksShown:
    """The checks of a device: those that were made, by family, and those that lack something."""

    summary: str
    made: list[CheckShown]
    lacking: list[CheckTold]


def checks_shown(told: Sequence[CheckTold]) -> ChecksShown:
    """Return checks with their marks."""
    made, lacking = made_and_lacking(told)
    return ChecksShown(
        checks_in_words(told),
        [CheckShown(each, MARK_OF_STATE[each.state]) for each in made],
        lacking,
    )


def checks_in_short(elements: Iterable[Element]) -> dict[int, str]:
    """Return the summary of the checks of some elements, by element, as each page tells it."""
    found: dict[int, list[State]] = {each.pk: [] for each in elements}
    near = AgencySettings.current().watch_use
    # An element has some twenty checks: to tell each in words first took longer than all else.
    checks = current_checks().select_related(None).order_by().filter(element__in=found)
    for check in checks.only("element_id", "use", "nothing_left", "counts"):
        found[check.element_id].append(state_of(check, near))
    return {pk: states_in_words(each) for pk, each in found.items()}


def with_findings_in_short(
    rows: Iterable[ElementStatus], explained: Sequence[UnitDiagnosis] | None = None
) -> list[ElementStatus]:
    """Return statuses that each say, as ``finding``, what their history and their unit show.

    What raised a status is left out: its sentence says it already.  ``explained``: the
    diagnoses of their units, where they have been read.
    """
    found = list(rows)
    histories: dict[int, list[ElementHistory]] = {}
    for history in current_histories().filter(element__in=[row.element_id for row in found]):
        histories.setdefault(history.element_id, []).append(history)
    if explained is None:
        units = {
            pk for row in found for pk in (row.element.unit_id, row.element.unit_ahead_id) if pk
        }
        explained = list(diagnoses().filter(unit__in=units))
    for row in found:
        parts = []
        if row.raised_by != RaisedBy.HISTORY:
            told = history_in_short(*histories.get(row.element_id, ()))
            parts = [_("history: %(findings)s") % {"findings": told}] if told else []
        explanation = concerning(explained, row.element)
        if explanation is not None and row.raised_by != RaisedBy.UNIT:
            told = explanation_in_short(explanation)
            parts.append(_("whole unit: %(cause)s") % {"cause": told})
        row.finding = as_sentence("; ".join(parts))
    return found
