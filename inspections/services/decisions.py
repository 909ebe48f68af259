"""Decisions on flags: signed, timed and kept for ever."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import uuid
from collections.abc import Iterable, Sequence

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inspections.models import AgencySettings, Decision, Flag, SealedKind, Sighting, WorkOrder
from inspections.models.desk_choices import DecisionKind, FlagState
from inspections.models.flags import NEEDS_A_DAY
from inspections.rights import roles_in
from inspections.services.flags import relied_on, write_flags
from inspections.services.seals import seal
from inventory.models import Bridge
from inventory.words import in_sentence
from movement import MODEL_VERSION

SIGNED = ("flag_id", "kind", "reason", "as_of", "until", "interval_months", "order_id", "severity",
          "state_before", "relied_on", "evidence", "thresholds", "model_version", "together",
          "decided_by_id", "signed_as", "decided_at")  # fmt: skip
"""Columns that the digest covers."""
THRESHOLDS = ("watch_k", "out_k", "watch_use")
NAMED_AT_MOST = 5
"""Flags that a refusal names one by one."""


@transaction.atomic
def decide(
    *,
    flag: Flag,
    kind: DecisionKind | str,
    reason: str,
    user: AbstractBaseUser,
    until: dt.date | None = None,
    interval_months: int | None = None,
    as_of: dt.datetime | None = None,
    order: WorkOrder | None = None,
    together: uuid.UUID | None = None,
) -> Decision:
    """Sign a decision on a flag and let it take effect.

    Parameters
    ----------
    until
        Day until which an acceptance, a watch or the wait for a measurement holds.
    interval_months
        How often a watched element is seen; the agency's setting where none is given.
    as_of
        Hour from which it holds, such as that at which work was finished; now where none is
        given.  It may not lie in the future.

    Raises
    ------
    ValidationError
        By field; nothing is written then.
    """
    row = _signed(flag, kind, reason, user, until, interval_months, as_of, order, together)
    write_flags(flag.element.bridge_id)
    flag.refresh_from_db()
    return row


@transaction.atomic
def decide_all(
    *,
    flags: Iterable[Flag],
    kind: DecisionKind | str,
    reason: str,
    user: AbstractBaseUser,
    until: dt.date | None = None,
    interval_months: int | None = None,
    as_of: dt.datetime | None = None,
    order: WorkOrder | None = None,
) -> list[Decision]:
    """Sign the same decision on several flags, on all of them or on none.

    Raises
    ------
    ValidationError
        By field where it is one; each message names the flags that it concerns.
    """
    chosen, together = list(flags), uuid.uuid4()
    if not chosen:
        raise ValidationError({"flags": _("No flag is chosen. Tick one at least.")})
    rows = []
    refused: dict[str, dict[str, list[Flag]]] = {}
    for flag in chosen:
        try:
            rows.append(
                _signed(flag, kind, reason, user, until, interval_months, as_of, order, together)
            )
        except ValidationError as refusal:
            for name, messages in _by_field(refusal).items():
                for message in messages:
                    refused.setdefault(name, {}).setdefault(message, []).append(flag)
    if refused:
        raise ValidationError(
            {
                name: [f"{_named(its, len(chosen))}: {told}" for told, its in messages.items()]
                for name, messages in refused.items()
            }
        )
    for bridge_id in sorted({flag.element.bridge_id for flag in chosen}):
        write_flags(bridge_id)
    return rows


def _by_field(refusal: ValidationError) -> dict[str, list[str]]:
    if hasattr(refusal, "error_dict"):
        return refusal.message_dict
    return {NON_FIELD_ERRORS: refusal.messages}


def _named(flags: Sequence[Flag], of: int) -> str:
    """Return the flags that a refusal concerns, by element and cause."""
    if len(flags) == of > NAMED_AT_MOST:
        return _("All %(count)s flags") % {"count": of}
    names = [
        f"{flag.element}, {in_sentence(flag.get_cause_display())}" for flag in flags[:NAMED_AT_MOST]
    ]
    if len(flags) > NAMED_AT_MOST:
        names.append(_("and %(count)s more") % {"count": len(flags) - NAMED_AT_MOST})
    return "; ".join(names)


def digest_of(decision: Decision) -> str:
    """Return the SHA-256 of what was signed."""
    content = {name: getattr(decision, name) for name in SIGNED}
    text = json.dumps(content, cls=DjangoJSONEncoder, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _signed(
    flag: Flag,
    kind: DecisionKind | str,
    reason: str,
    user: AbstractBaseUser,
    until: dt.date | None,
    interval_months: int | None,
    as_of: dt.datetime | None,
    order: WorkOrder | None,
    together: uuid.UUID | None,
) -> Decision:
    # Whoever judges the bridge meanwhile waits, or is waited for.
    Bridge.objects.select_for_update(no_key=True).filter(pk=flag.element.bridge_id).first()
    flag.refresh_from_db()
    now = timezone.now().replace(microsecond=0)
    # In the zone in which it is read back: the digest covers how it is written.
    holds_from = as_of.astimezone(dt.UTC) if as_of else now
    _refuse(flag, kind, reason, until, interval_months, holds_from, now)
    agency = AgencySettings.current()
    sightings = list(Sighting.objects.filter(element_id=flag.element_id, cause=flag.cause))
    seen = sorted((each for each in sightings if each.seen_at <= holds_from), key=_when)
    shown = [each for each in seen if each.shown]
    row = Decision(
        flag=flag,
        kind=kind,
        reason=reason.strip(),
        as_of=holds_from,
        until=until if kind in NEEDS_A_DAY else None,
        interval_months=interval_months if kind == DecisionKind.WATCH else None,
        order=order,
        severity=shown[-1].severity if shown else flag.severity,
        state_before=flag.state,
        relied_on=relied_on(sightings, holds_from),
        evidence=shown[-1].evidence if shown else [],
        thresholds={name: getattr(agency, name) for name in THRESHOLDS},
        model_version=MODEL_VERSION,
        together=together,
        decided_by=user,
        signed_as=_role(user, flag.element.bridge.district_id),
        decided_at=now,
    )
    row.digest = digest_of(row)
    row.full_clean()
    row.save(force_insert=True)
    seal(kind=SealedKind.DECISION, row_id=row.pk, content=row.digest, signed_at=now)
    return row


def _refuse(
    flag: Flag,
    kind: DecisionKind | str,
    reason: str,
    until: dt.date | None,
    interval_months: int | None,
    as_of: dt.datetime,
    now: dt.datetime,
) -> None:
    wrong: dict[str, str] = {}
    if kind not in DecisionKind.values:
        wrong["kind"] = _("Choose one of the decisions.")
    if not reason.strip():
        wrong["reason"] = _("Say why: the reason stays on record.")
    if as_of > now:
        told = _("%(time)s lies in the future. Give the hour it was done.")
        wrong["as_of"] = told % {"time": f"{as_of:%Y-%m-%d %H:%M}"}
    if kind in NEEDS_A_DAY and until is not None and until <= now.date():
        wrong["until"] = _("%(day)s is not in the future. Give a later day.") % {"day": until}
    if interval_months is not None and interval_months < 1:
        wrong["interval_months"] = _("Give 1 month at least.")
    if wrong:
        raise ValidationError(wrong)
    if flag.state == FlagState.WITHDRAWN:
        raise ValidationError(_("No reading shows this any more, so there is nothing to decide."))


def _when(row: Sighting) -> tuple[dt.datetime, int]:
    return row.seen_at, row.inspection_id


def _role(user: AbstractBaseUser, district_id: int) -> str:
    """Return the roles in which a user signs there; the name of one who has none."""
    names = roles_in(user, district_id)
    return ", ".join(names) or user.get_username()
