"""Records made on tablets: each is taken once, stands alone, and is answered by a receipt."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django_scopes import scopes_disabled

from inspections.collecting import collecting_seldom
from inspections.models import Inspection, TabletRecord
from inspections.models.choices import InspectionState, RecordKind
from inspections.services.many_rows import insert, made
from inspections.services.on_record import Devices
from inspections.services.open_visits import hold_bridge
from inspections.services.read_ahead import Ahead
from inspections.services.readings import RowsRefused
from inspections.services.standing_register import StandingRegister
from inspections.services.tablet_lookups import Named
from inspections.services.tablet_rows import (
    WRITERS,
    Measured,
    TrueTime,
    append_measured,
    measured,
)
from inspections.services.tablet_touched import MEASURED, Touched
from inventory.models import Bridge
from inventory.words import in_sentence
from movement.errors import InputError

CLOCK_TOLERANCE = dt.timedelta(minutes=2)
"""A tablet whose clock is further off than this has its times moved."""
FEW = 10
"""Of fewer records each is taken by itself where one of them cannot be."""
OWN = ("uid", "kind", "made_at", "payload")
"""Columns in which records of one request differ."""


@dataclass(frozen=True, slots=True)
class Sent:
    """One record as a tablet sent it."""

    uid: uuid.UUID
    inspection_id: int
    kind: str
    made_at: dt.datetime
    payload: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Receipt:
    """What became of a record: ``taken``, ``already`` there, or ``refused`` and why."""

    uid: uuid.UUID
    outcome: str
    field: str = ""
    message: str = ""


@dataclass(frozen=True, slots=True)
class Tablet:
    """Which tablet sends, and how far its clock lags behind the server's."""

    name: str
    clock_slow: dt.timedelta

    @classmethod
    def of(cls, name: str, its_now: dt.datetime) -> Tablet:
        """Compare its clock with ours."""
        return cls(name, timezone.now() - its_now)

    def true_time(self, told: dt.datetime) -> dt.datetime:
        """Return a time that the tablet told, moved where its clock is wrong."""
        return told + self.clock_slow if abs(self.clock_slow) > CLOCK_TOLERANCE else told


def take_records(*, tablet: Tablet, sent: list[Sent], user: AbstractBaseUser) -> list[Receipt]:
    """Take records; what is wrong with one does not hold up another.

    Returns
    -------
    list of Receipt
        One for each record, in their order.
    """
    touched = Touched()
    receipts = []
    runs = [(at, list(some)) for at, some in groupby(sent, key=_together)]
    last = {at: number for number, (at, _some) in enumerate(runs)}
    for number, (at, run) in enumerate(runs):
        if at is None:
            receipts += [_take(tablet, each, user, touched) for each in run]
        else:
            receipts += _take_run(tablet, run, user, touched, is_last=last[at] == number)
    touched.judge()
    return receipts


def _together(sent: Sent) -> int | None:
    """Return the inspection of what is taken in one go with its neighbours; None for the rest."""
    return sent.inspection_id if sent.kind in MEASURED else None


def _take_run(
    tablet: Tablet, run: list[Sent], user: AbstractBaseUser, touched: Touched, is_last: bool
) -> list[Receipt]:
    """Take readings and temperatures of one inspection, as many in one go as can be.

    Halves are tried where all cannot be taken: few records are wrong, and hold up few others.
    """
    taken = _take_together(tablet, run, user, touched, is_last) if len(run) > 1 else None
    if taken is not None:
        return taken
    if len(run) < FEW:
        return [_take(tablet, each, user, touched) for each in run]
    half = len(run) // 2
    return [
        *_take_run(tablet, run[:half], user, touched, is_last=False),
        *_take_run(tablet, run[half:], user, touched, is_last),
    ]


@dataclass(frozen=True, slots=True)
class _ReadAhead:
    """What a run of records rests on, and the rows that they tell of."""

    register: StandingRegister
    told: dict[uuid.UUID, Measured]


def _read_ahead(bridge: Bridge, records: Sequence[TabletRecord], true_time: TrueTime) -> _ReadAhead:
    with scopes_disabled():
        register = StandingRegister.of(bridge.pk)
    named = Named(bridge, (), register)
    return _ReadAhead(register, {each.uid: measured(each, true_time, named) for each in records})


@collecting_seldom()
def _take_together(
    tablet: Tablet, run: list[Sent], user: AbstractBaseUser, touched: Touched, is_last: bool
) -> list[Receipt] | None:
    """Take readings and temperatures of one inspection; None where one of them cannot be taken.

    Then nothing is written, and that one is to be found, for an answer of its own.  The last
    ones of an inspection are judged in the transaction that takes them: others wait for each
    commit.
    """
    uids = [each.uid for each in run]
    if len({*uids}) < len(uids):
        return None
    bridge = Bridge.objects.filter(inspections=run[0].inspection_id).first()
    if bridge is None:
        return None
    try:
        records = _records(tablet, run, user)
        ahead = Ahead(lambda: _read_ahead(bridge, records, tablet.true_time))
        with transaction.atomic():
            known = TabletRecord.objects.select_related("inspection").in_bulk(uids)
            new = [each for each in records if each.uid not in known]
            if new:
                inspection = _open(run[0].inspection_id)
                hold_bridge(bridge.pk)
                found = ahead.held()
                received_at = timezone.now()
                for record in new:
                    record.received_at = received_at
                insert(new, keyed=True)
                devices = Devices.of(found.register)
                append_measured(inspection, [found.told[each.uid] for each in new], devices, user)
                touched.note(run[0].kind, inspection)
                if is_last:
                    touched.judge_at_once(inspection, found.register)
    except (InputError, RowsRefused, ValidationError, IntegrityError):
        return None
    return [
        _known(known[each.uid], each, touched) if each.uid in known else Receipt(each.uid, "taken")
        for each in run
    ]


def _take(tablet: Tablet, sent: Sent, user: AbstractBaseUser, touched: Touched) -> Receipt:
    there = TabletRecord.objects.select_related("inspection").filter(pk=sent.uid)
    known = there.first()
    if known is not None:
        return _known(known, sent, touched)
    try:
        with transaction.atomic():
            record = _recorded(tablet, sent, user)
            WRITERS[RecordKind(sent.kind)](record, tablet.true_time)
    except InputError as error:
        return Receipt(sent.uid, "refused", error.field, f"{error.message}. {error.remedy}")
    except RowsRefused as refused:
        first = (*refused.readings, *refused.temperatures)[0]
        return Receipt(sent.uid, "refused", first.field, first.message)
    except ValidationError as error:
        return Receipt(sent.uid, "refused", *_first(error))
    except IntegrityError:
        # The same record came in twice at once: the other one has been taken.
        known = there.first()
        if known is None:
            raise
        return _known(known, sent, touched)
    touched.note(record.kind, record.inspection)
    return Receipt(sent.uid, "taken")


def _known(known: TabletRecord, sent: Sent, touched: Touched) -> Receipt:
    """Return the receipt of a record that was taken before; an id names one thing only."""
    if (known.inspection_id, known.kind, known.payload) == (
        sent.inspection_id, sent.kind, sent.payload
    ):  # fmt: skip
        # It comes again because no answer came: the server may have gone before it judged.
        if known.kind != RecordKind.SIGN_OFF:  # which is judged as it is taken
            touched.note(known.kind, known.inspection)
        return Receipt(sent.uid, "already")
    return Receipt(
        sent.uid,
        "refused",
        "uid",
        _("This id was used for something else before. Enter it anew on the tablet."),
    )


def _recorded(tablet: Tablet, sent: Sent, user: AbstractBaseUser) -> TabletRecord:
    [record] = _records(tablet, [sent], user)
    record.inspection, record.user = _open(sent.inspection_id), user
    record.full_clean(validate_unique=False)
    record.save(force_insert=True)
    return record


def _open(inspection_id: int) -> Inspection:
    # The lock keeps a signature and what comes in beside it apart.
    inspection = (
        Inspection.objects.select_for_update(of=("self",), no_key=True)
        .select_related("bridge")
        .filter(pk=inspection_id)
        .first()
    )
    if inspection is None:
        raise InputError(
            "inspection", _("This inspection is not known"), _("Take the inspection along anew")
        )
    if inspection.state != InspectionState.OPEN:
        raise InputError(
            "inspection",
            _("This inspection is %(state)s: nothing can be added")
            % {"state": in_sentence(inspection.get_state_display())},
            _("Ask the engineer to return it, then send again"),
        )
    return inspection


def _records(tablet: Tablet, sent: Sequence[Sent], user: AbstractBaseUser) -> list[TabletRecord]:
    """Return the rows of records; of those that are like one another one is checked."""
    count = len(sent)
    same = {
        "inspection_id": sent[0].inspection_id,
        "tablet": tablet.name,
        "clock_slow_s": round(tablet.clock_slow.total_seconds(), 1),
        "user_id": user.pk,
        "received_at": None,
    }
    rows = made(
        TabletRecord,
        {name: [getattr(each, name) for each in sent] for name in OWN}
        | {name: [value] * count for name, value in same.items()},
    )
    for row in {(each.kind, not each.payload): each for each in rows}.values():
        row.clean_fields(exclude={"inspection", "user"})
    return rows


def _first(error: ValidationError) -> tuple[str, str]:
    """Return field and words of the first thing that is wrong."""
    if hasattr(error, "error_dict"):
        field, problems = next(iter(error.message_dict.items()))
        return field, problems[0]
    return "", error.messages[0]
