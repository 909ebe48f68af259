"""The history of an element: of the device that stands there, or else of the last one read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.desk.findings import ChannelShown, channels_shown
from inspections.drawing.events import events_of
from inspections.drawing.time_chart import Renewal
from inspections.selectors import findings
from inspections.selectors.desk import Judged
from inventory.models import Installation
from inventory.models.choices import EndReason
from inventory.units import System

ENDED = {EndReason.REPLACED: mark("replaced"), EndReason.RESET: mark("reset")}
"""What became of a device, beside the day on a chart."""


@dataclass(frozen=True, slots=True)
class HistoryShown:
    """Channels with their charts; ``former``: the device they are of, where it has gone."""

    channels: list[ChannelShown]
    former: Installation | None


def history_shown(
    present: Installation, judged: Sequence[Judged], earlier: Sequence[Installation], system: System
) -> HistoryShown:
    """Return the history of the present device; before its first reading, of the one before.

    ``judged`` are all readings of the place, newest first; ``earlier`` the devices before.
    """
    verdicts = [each.verdict for each in judged]
    shown_pk = present.pk
    if verdicts and not any(each.current for each in judged):
        shown_pk = verdicts[0].installation_id
    channels = channels_shown(
        [each for each in verdicts if each.installation_id == shown_pk],
        findings.histories().filter(installation=shown_pk),
        system,
        [each for each in verdicts if each.installation_id != shown_pk],
        [
            Renewal(each.removed_on, _(ENDED[EndReason(each.end_reason)]))
            for each in earlier
            if each.removed_on is not None
        ],
        events_of(verdicts),
    )
    return HistoryShown(channels, next((each for each in earlier if each.pk == shown_pk), None))
