"""Narrowing a list of statuses by what histories, units and checks of capacity found."""

from __future__ import annotations

from collections.abc import Callable

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.utils.translation import gettext_noop as _

from inspections.models import CapacityCheck, ElementHistory, ElementStatus, Explanation
from inspections.models.choices import CauseWord, DiagnosisWord, RaisedBy, ResponseWord
from inventory.words import TextWords
from movement.history.findings import Finding
from movement.whole_bridge.causes import REGISTER


class FindingWord(TextWords):
    """What a list can be narrowed to, as in its address."""

    HISTORY = "by-history", _("Raised by its history")
    UNIT = "by-unit", _("Raised by its whole unit")
    FROZEN = "frozen", _("Frozen")
    SLUGGISH = "sluggish", _("Sluggish")
    OTHER_WAY = "other-way", _("Moves too much, or the wrong way")
    DRIFT = "drift", _("Drifts")
    STEP = "step", _("Stepped")
    BLUNDER = "blunder", _("Reading to repeat")
    LIMIT = "limit", _("Will reach its limit")
    UNCLEAR = "unclear", _("History not clear yet")
    REGISTER = "register", _("Register to check first")
    CAPACITY = "capacity", _("Capacity exceeded as found")


def with_finding(statuses: QuerySet[ElementStatus], word: FindingWord) -> QuerySet[ElementStatus]:
    """Keep the statuses whose element has a finding."""
    return statuses.filter(_CONDITIONS[word]())


def _history(**wanted: object) -> Exists:
    return Exists(_histories().filter(**wanted))


def _histories() -> QuerySet[ElementHistory]:
    return ElementHistory.objects.filter(
        element=OuterRef("element"), installation=OuterRef("element__current_installation")
    )


def _found(bit: Finding) -> Exists:
    return Exists(_histories().alias(bit=F("findings").bitand(int(bit))).filter(bit__gt=0))


def _explained(*causes: CauseWord) -> Exists:
    """Return whether a unit's leading explanation is one of some causes at the element itself."""
    return Exists(
        Explanation.objects.filter(
            element=OuterRef("element"),
            cause__in=causes,
            diagnosis__outcome__in=(DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL),
        ).filter(Q(beside=True) | Q(rank__lt=F("diagnosis__equal")))
    )


def _register() -> Q:
    """Return whether the unit of an element has a leading explanation in the register."""
    leading = Explanation.objects.filter(
        cause__in=[CauseWord(each) for each in REGISTER],
        diagnosis__outcome__in=(DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL),
        rank__lt=F("diagnosis__equal"),
        beside=False,
    ).filter(Q(element=OuterRef("element")) | Q(element__isnull=True))
    return Q(Exists(leading.filter(diagnosis__unit=OuterRef("element__unit")))) | Q(
        Exists(leading.filter(diagnosis__unit=OuterRef("element__unit_ahead")))
    )


def _exceeded() -> Exists:
    return Exists(
        CapacityCheck.objects.filter(
            element=OuterRef("element"),
            installation=OuterRef("element__current_installation"),
            counts=True,
        ).filter(Q(use__gt=1.0) | Q(nothing_left=True))
    )


_CONDITIONS: dict[FindingWord, Callable[[], Q]] = {
    FindingWord.HISTORY: lambda: Q(raised_by=RaisedBy.HISTORY),
    FindingWord.UNIT: lambda: Q(raised_by=RaisedBy.UNIT),
    FindingWord.FROZEN: lambda: (
        Q(_history(response__in=(ResponseWord.FROZEN, ResponseWord.SLUGGISH_OR_FROZEN)))
        | Q(_explained(CauseWord.FROZEN))
    ),
    FindingWord.SLUGGISH: lambda: (
        Q(_history(response__in=(ResponseWord.SLUGGISH, ResponseWord.SLUGGISH_OR_FROZEN)))
        | Q(_explained(CauseWord.SLUGGISH))
    ),
    FindingWord.OTHER_WAY: lambda: Q(
        _history(response__in=(ResponseWord.WRONG_SIGN, ResponseWord.MORE_THAN_FREE))
    ),
    FindingWord.DRIFT: lambda: Q(_found(Finding.DRIFT)),
    FindingWord.STEP: lambda: Q(_found(Finding.STEP)) | Q(_explained(CauseWord.STEP)),
    FindingWord.BLUNDER: lambda: Q(_found(Finding.BLUNDER)) | Q(_explained(CauseWord.BLUNDER)),
    FindingWord.LIMIT: lambda: Q(_found(Finding.REACHES_LIMIT)),
    FindingWord.UNCLEAR: lambda: Q(_history(response=ResponseWord.NOT_ENOUGH_INFORMATION)),
    FindingWord.REGISTER: _register,
    FindingWord.CAPACITY: lambda: Q(_exceeded()),
}
