"""What is to be judged for the records of a tablet's request."""

from __future__ import annotations

import logging

from django.db import transaction

from inspections.models import Inspection
from inspections.models.choices import RecordKind
from inspections.services.judge import judge_bridges
from inspections.services.open_visits import judge_open, judge_visits
from inspections.services.standing_register import StandingRegister

logger = logging.getLogger(__name__)
MEASURED = {RecordKind.READING, RecordKind.TEMPERATURE}
"""What is taken in one go, as long as nothing is wrong with it."""


class Touched:
    """What is to be judged for the records that were taken."""

    def __init__(self) -> None:
        self._visits: dict[int, Inspection] = {}
        self._bridges: set[int] = set()

    def note(self, kind: str, inspection: Inspection) -> None:
        """Note what a record changes: a verdict, or flags at once."""
        if kind in MEASURED:
            self._visits[inspection.pk] = inspection
        elif kind == RecordKind.CRITICAL:
            self._bridges.add(inspection.bridge_id)
        elif kind == RecordKind.SIGN_OFF:
            # Signing judged the bridge, with all that was taken before it.
            self._bridges.discard(inspection.bridge_id)
            for each in self._visits_at({inspection.bridge_id}):
                del self._visits[each.pk]

    def judge(self) -> None:
        """Judge it: a visit or, where more than that has changed, its bridge."""
        for each in self._visits_at(self._bridges):
            del self._visits[each.pk]
        if self._bridges:
            judge_bridges(self._bridges)
        judge_visits(self._visits.values())

    def judge_at_once(self, visit: Inspection, register: StandingRegister) -> None:
        """Judge a visit in the transaction that took its records, unless more is to be judged."""
        try:
            with transaction.atomic():
                is_judged = judge_open(visit.bridge_id, [visit.pk], register)
        except Exception:
            # What has been taken stays all the same; judging it once more says what is wrong.
            logger.exception("What a tablet sent could not be judged at once.")
            return
        if is_judged:
            del self._visits[visit.pk]

    def _visits_at(self, bridges: set[int]) -> list[Inspection]:
        return [each for each in self._visits.values() if each.bridge_id in bridges]
