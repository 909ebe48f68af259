"""The life of an inspection: opened, handed in, accepted or returned."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from zoneinfo import ZoneInfo

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.models import Inspection
from inspections.models.choices import InspectionState
from inspections.services.judge import judge_bridges
from inspections.services.rows_with_history import insert_with_history
from inventory.models import Bridge
from inventory.services.authorship import by_user
from inventory.words import in_sentence

DAYS_AHEAD = dt.timedelta(days=1)
"""A visit may be opened on the evening before."""


@transaction.atomic
@by_user
def open_inspection(
    *,
    bridge: Bridge,
    date: dt.date,
    kind: str,
    team: str,
    weather: str,
    remarks: str = "",
    lead: AbstractBaseUser | None = None,
    crew: Iterable[AbstractBaseUser] = (),
    user: AbstractBaseUser | None = None,
) -> Inspection:
    """Open an inspection; one of a kind a day.  Only its lead signs it, where one is named."""
    inspection = Inspection(
        bridge=bridge,
        date=date,
        kind=kind,
        team=team,
        weather=weather,
        remarks=remarks,
        lead=lead,
        created_by=user,
    )
    _check_day(inspection)
    inspection.full_clean()
    inspection.save(force_insert=True)
    inspection.crew.set(crew)
    return inspection


@transaction.atomic
@by_user
def open_several(
    *, visits: Sequence[Inspection], user: AbstractBaseUser | None = None
) -> list[ValidationError | None]:
    """Open inspections of which none is on record, in a few queries; none has a lead or crew.

    Returns for each what `open_inspection` would refuse, None where it was opened.
    """
    rows = [each.name for each in Inspection._meta.concrete_fields if each.is_relation]
    told: list[ValidationError | None] = []
    for each in visits:
        each.created_by = user
        try:
            _check_day(each)
            # That none is on record is known, and what the table checks are words to choose from.
            each.clean_fields(exclude=rows)
            each.clean()
        except ValidationError as refusal:
            told.append(refusal)
        else:
            told.append(None)
    good = [each for each, refusal in zip(visits, told, strict=True) if refusal is None]
    insert_with_history(good)
    return told


def _check_day(inspection: Inspection) -> None:
    zone = ZoneInfo(inspection.bridge.time_zone)
    today, date = timezone.now().astimezone(zone).date(), inspection.date
    if date is not None and date > today + DAYS_AHEAD:
        raise ValidationError(
            {
                "date": _("%(date)s lies more than a day in the future. Give the day of the visit.")
                % {"date": date}
            }
        )


@transaction.atomic
def submit(*, inspection: Inspection, judge: bool = True) -> Inspection:
    """Hand an inspection in for review: readings, condition states or ratings, or all of them."""
    locked = _in_state(inspection, InspectionState.OPEN, mark("hand it in"))
    content = (locked.readings, locked.conditions, locked.ratings)
    if not any(rows.exists() for rows in content):
        raise ValidationError(
            _(
                "No reading, condition states or rating has been entered yet. Enter one before"
                " handing in."
            )
        )
    locked.state = InspectionState.SUBMITTED
    locked.submitted_at = timezone.now()
    locked.save(update_fields=["state", "submitted_at"])
    if judge:
        judge_bridges([locked.bridge_id])
    return locked


@transaction.atomic
@by_user
def accept(
    *,
    inspection: Inspection,
    user: AbstractBaseUser | None,
    note: str = "",
    judge: bool = True,
) -> Inspection:
    """Accept an inspection: its first readings may now serve as baselines."""
    locked = _in_state(inspection, InspectionState.SUBMITTED, mark("accept it"))
    locked.state = InspectionState.ACCEPTED
    locked.reviewed_by = user
    locked.reviewed_at = timezone.now()
    locked.review_note = note
    locked.save(update_fields=["state", "reviewed_by", "reviewed_at", "review_note"])
    if judge:
        judge_bridges([locked.bridge_id])
    return locked


@transaction.atomic
@by_user
def return_to_team(*, inspection: Inspection, user: AbstractBaseUser, note: str) -> Inspection:
    """Open a handed-in inspection again, saying what is wanted."""
    if not note.strip():
        raise ValidationError({"note": _("Say what the team should do.")})
    locked = _in_state(inspection, InspectionState.SUBMITTED, mark("return it"))
    locked.state = InspectionState.OPEN
    locked.reviewed_by = user
    locked.reviewed_at = timezone.now()
    locked.review_note = note
    locked.save(update_fields=["state", "reviewed_by", "reviewed_at", "review_note"])
    judge_bridges([locked.bridge_id])
    return locked


def _in_state(inspection: Inspection, wanted: InspectionState, verb: str) -> Inspection:
    locked = Inspection.objects.select_for_update(no_key=True).get(pk=inspection.pk)
    if locked.state != wanted:
        raise ValidationError(
            _("This inspection is %(state)s; to %(verb)s it must be %(wanted)s. Reload the page.")
            % {
                "state": in_sentence(locked.get_state_display()),
                "verb": _(verb),
                "wanted": in_sentence(wanted.label),
            }
        )
    return locked
