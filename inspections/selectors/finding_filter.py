"""Narrowing a list of statuses by what histories, units and checks of capacity found."""

from __future__ import annotations

from collections.abc import Callable

from django.db.models import F, Q, QuerySet
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


# What was found is gathered first and the elements looked up in it: found are few, and to ask of
# each element whether it is among them takes as long as the list is.
def _history(**wanted: object) -> QuerySet:
    return _histories().filter(**wanted)


def _histories() -> QuerySet[ElementHistory]:
    return ElementHistory.objects.filter(element__current_installation=F("installation"))


def _found(bit: Finding) -> QuerySet:
    some = _histories().filter(findings__gt=0)
    return some.alias(bit=F("findings").bitand(int(bit))).filter(bit__gt=0)


def _explained(*causes: CauseWord) -> QuerySet:
    """Return a unit's leading explanations that are one of some causes at the element itself."""
    return Explanation.objects.filter(
        cause__in=causes,
        diagnosis__outcome__in=(DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL),
        element__isnull=False,
    ).filter(Q(beside=True) | Q(rank__lt=F("diagnosis__equal")))


def _of_elements(*found: QuerySet) -> Q:
    """Return whether an element is in one of some; together, as a store joins one set of them."""
    first, *others = [rows.order_by().values("element") for rows in found]
    return Q(element__in=first.union(*others) if others else first)


def _register() -> Q:
    """Return whether the unit of an element has a leading explanation in the register."""
    leading = Explanation.objects.filter(
        cause__in=[CauseWord(each) for each in REGISTER],
        diagnosis__outcome__in=(DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL),
        rank__lt=F("diagnosis__equal"),
        beside=False,
    ).order_by()
    of_all = leading.filter(element__isnull=True).values("diagnosis__unit")
    unit = F("diagnosis__unit")
    own = leading.filter(Q(element__unit=unit) | Q(element__unit_ahead=unit))
    return Q(element__unit__in=of_all) | Q(element__unit_ahead__in=of_all) | _of_elements(own)


def _exceeded() -> Q:
    return _of_elements(
        CapacityCheck.objects.filter(
            Q(use__gt=1.0) | Q(nothing_left=True),
            counts=True,
            installation__current_at__isnull=False,
        )
    )


_CONDITIONS: dict[FindingWord, Callable[[], Q]] = {
    FindingWord.HISTORY: lambda: Q(raised_by=RaisedBy.HISTORY),
    FindingWord.UNIT: lambda: Q(raised_by=RaisedBy.UNIT),
    FindingWord.FROZEN: lambda: _of_elements(
        _history(response__in=(ResponseWord.FROZEN, ResponseWord.SLUGGISH_OR_FROZEN)),
        _explained(CauseWord.FROZEN),
    ),
    FindingWord.SLUGGISH: lambda: _of_elements(
        _history(response__in=(ResponseWord.SLUGGISH, ResponseWord.SLUGGISH_OR_FROZEN)),
        _explained(CauseWord.SLUGGISH),
    ),
    FindingWord.OTHER_WAY: lambda: _of_elements(
        _history(response__in=(ResponseWord.WRONG_SIGN, ResponseWord.MORE_THAN_FREE))
    ),
    FindingWord.DRIFT: lambda: _of_elements(_found(Finding.DRIFT)),
    FindingWord.STEP: lambda: _of_elements(_found(Finding.STEP), _explained(CauseWord.STEP)),
    FindingWord.BLUNDER: lambda: _of_elements(
        _found(Finding.BLUNDER), _explained(CauseWord.BLUNDER)
    ),
    FindingWord.LIMIT: lambda: _of_elements(_found(Finding.REACHES_LIMIT)),
    FindingWord.UNCLEAR: lambda: _of_elements(
        _history(response=ResponseWord.NOT_ENOUGH_INFORMATION)
    ),
    FindingWord.REGISTER: _register,
    FindingWord.CAPACITY: _exceeded,
}
