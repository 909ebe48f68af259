"""The end of work: what stands at each place afterwards, and the flags that it mends.

Everything is written together or not at all: the order, the register, the decisions, what is
due, and the proof where a reading has come already.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.models import Decision, Flag, WorkItem, WorkOrder
from inspections.models.desk_choices import DecisionKind, WorkKind, WorkState
from inspections.services.decisions import decide_all
from inspections.services.flags import write_flags
from inspections.services.work import ENDED, RUNNING, refuse_unless
from inventory.models import Bridge, Element, Installation
from inventory.models.choices import EndReason, SettingSource
from inventory.services.authorship import by_user
from inventory.services.changes import reported_together
from inventory.services.installations import replace_installation, reset_installation
from inventory.words import in_english

AS_SET = ("gap_back_mm", "gap_ahead_mm", "gap_left_mm", "gap_right_mm", "projection_mm")
"""What a restraint's capacities row tells of its position."""


@dataclass(frozen=True, slots=True)
class NewDevice:
    """Another device at the place, from the day of finishing."""

    installation: Installation
    design: Mapping[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class NewSetting:
    """The same device set to a new position; a setting not known makes the first reading one."""

    setting: Mapping[str, Any] = field(
        default_factory=lambda: {"setting_source": SettingSource.UNKNOWN}
    )
    as_set: Mapping[str, Any] | None = None


class PlaceRefused(ValidationError):  # noqa: N818 - reads as what happened, as its likes do
    """What the register refused at one element, by field."""

    def __init__(self, refusal: ValidationError, element: Element) -> None:
        super().__init__(
            refusal.error_dict if hasattr(refusal, "error_dict") else refusal.error_list
        )
        self.element = element


def new_baseline(element: Element) -> NewSetting:
    """Return that the first accepted reading is what later ones are compared with."""
    as_set = dict.fromkeys(AS_SET) if element.kind == "restraint" else None
    return NewSetting(as_set=as_set)


@transaction.atomic
@by_user
def finish_order(
    *,
    order: WorkOrder,
    finished_at: dt.datetime,
    outcome: str,
    user: AbstractBaseUser,
    cost: Decimal | None = None,
    places: Mapping[int, NewDevice | NewSetting] | None = None,
) -> WorkOrder:
    """Finish work: write the register, note its flags as mended, and ask for the proof.

    Parameters
    ----------
    finished_at
        From this hour on a reading can prove it.
    places
        What stands at an element afterwards, by its id; an element without one goes on as
        before, which only a repair may leave.

    Raises
    ------
    PlaceRefused
        If the register refuses what is to stand at an element.
    ValidationError
        By field otherwise; in either case nothing is written.
    """
    Bridge.objects.select_for_update(no_key=True).filter(pk=order.bridge_id).first()
    row = WorkOrder.objects.select_for_update(no_key=True).get(pk=order.pk)
    refuse_unless(row, RUNNING, mark("finish it"))
    items = list(row.items.select_related("element__current_installation", "element__bridge"))
    given = places or {}
    day = finished_at.astimezone(ZoneInfo(order.bridge.time_zone)).date()
    _refuse(row, items, given, finished_at, day, outcome)
    mended = _flags_to_mend(items)
    # Entered to the minute, it may be that of the order itself.
    holds_from = max([finished_at, *_ordered_at(row)])
    row.state, row.finished_on, row.finished_at = WorkState.FINISHED, day, holds_from
    row.outcome, row.finished_by = outcome.strip(), user
    row.cost = row.cost if cost is None else cost
    row.full_clean()
    row.save(
        update_fields=["state", "finished_on", "finished_at", "outcome", "finished_by", "cost"]
    )
    # The bridge is judged once, not after each of its places.
    with reported_together():
        after = {
            each.pk: _write(each, given[each.pk], day)
            for each in {item.element_id: item.element for item in items}.values()
            if each.pk in given
        }
    for item in items:
        if item.element_id in after:
            item.installation_after = after[item.element_id]
            item.save(update_fields=["installation_after"])
    if mended:
        decide_all(
            flags=mended,
            kind=DecisionKind.MENDED,
            reason=_in_short(row),
            user=user,
            as_of=holds_from,
            order=row,
        )
    else:
        write_flags(row.bridge_id)
    return row


@in_english
def _in_short(order: WorkOrder) -> str:
    """Return what the decisions of an order keep of what was done."""
    return f"{order.code}, {order.get_kind_display().lower()}: {order.outcome}"[:2000]


def _flags_to_mend(items: Sequence[WorkItem]) -> list[Flag]:
    """Return the flags of an order but those that an engineer has closed meanwhile."""
    flags = Flag.objects.filter(pk__in=[item.flag_id for item in items if item.flag_id])
    return list(flags.exclude(state__in=ENDED).select_related("element"))


def _ordered_at(order: WorkOrder) -> list[dt.datetime]:
    """Return the hours from which its decisions hold that work is ordered."""
    made = Decision.objects.filter(order=order, kind=DecisionKind.WORK_ORDERED)
    return list(made.values_list("as_of", flat=True))


def _told(order: WorkOrder, ordered: dt.datetime, finished_on: dt.date) -> str:
    """Return when work was ordered: of the day on which it is said to be finished, the hour too."""
    if finished_on != order.ordered_on:
        return f"{order.ordered_on}"
    return f"{ordered.astimezone(ZoneInfo(order.bridge.time_zone)):%Y-%m-%d %H:%M}"


def _write(element: Element, place: NewDevice | NewSetting, day: dt.date) -> Installation:
    try:
        if isinstance(place, NewSetting):
            return reset_installation(
                element=element, reset_on=day, setting=place.setting, as_set=place.as_set
            )
        place.installation.installed_on = day
        return replace_installation(
            element=element,
            ended_on=day,
            end_reason=EndReason.REPLACED,
            installation=place.installation,
            design=place.design,
        )
    except ValidationError as refusal:
        raise PlaceRefused(refusal, element) from refusal


def _refuse(
    order: WorkOrder,
    items: Sequence[WorkItem],
    places: Mapping[int, NewDevice | NewSetting],
    finished_at: dt.datetime,
    day: dt.date,
    outcome: str,
) -> None:
    wrong: dict[str, str] = {}
    ordered = max(_ordered_at(order), default=finished_at).replace(second=0, microsecond=0)
    if not outcome.strip():
        wrong["outcome"] = _("Say what was done: it stays on record with the device.")
    if finished_at > timezone.now():
        wrong["finished_at"] = _("This lies in the future. Enter it when the work is finished.")
    elif day < order.ordered_on or finished_at < ordered:
        wrong["finished_at"] = _(
            "This is before the work was ordered, on %(ordered_on)s. Give a later hour."
        ) % {"ordered_on": _told(order, ordered, day)}
    elif order.begun_on is not None and day < order.begun_on:
        wrong["finished_at"] = _("This is before the work began, on %(begun_on)s.") % {
            "begun_on": order.begun_on
        }
    if wrong:
        raise ValidationError(wrong)
    for element in {item.element_id: item.element for item in items}.values():
        place = places.get(element.pk)
        if order.kind == WorkKind.REPLACEMENT and not isinstance(place, NewDevice):
            raise ValidationError(
                {"places": _("%(element)s: give the new device.") % {"element": element}}
            )
        if order.kind == WorkKind.RESET and not isinstance(place, NewSetting):
            raise ValidationError(
                {"places": _("%(element)s: give the new setting.") % {"element": element}}
            )
