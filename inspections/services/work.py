"""Work orders: every write from the order to its end."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models.functions import Length
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.models import Flag, OptionStudy, WorkItem, WorkOrder
from inspections.models.desk_choices import RUNNING, DecisionKind, FlagState, WorkState
from inspections.services.decisions import decide_all
from inspections.services.flags import write_flags
from inspections.services.proving import note_proof
from inventory.models import Bridge, Element
from inventory.services.authorship import by_user
from inventory.words import in_sentence

ENDED = (FlagState.CLOSED, FlagState.WITHDRAWN)
TRIES = 50
"""Each try that fails has let another order take its number, so this many need a crowd."""

__all__ = ["begin_order", "cancel_order", "change_order", "note_proof", "order_work"]


@transaction.atomic
@by_user
def order_work(
    *,
    bridge: Bridge,
    kind: str,
    title: str,
    user: AbstractBaseUser,
    ordered_on: dt.date,
    flags: Iterable[Flag] = (),
    elements: Iterable[Element] = (),
    reason: str = "",
    description: str = "",
    by_whom: str = "",
    planned_on: dt.date | None = None,
    cost_estimate: Decimal | None = None,
    study: OptionStudy | None = None,
) -> WorkOrder:
    """Order work on flags of one bridge, or on elements without one; number it.

    Each flag gets the decision that work is ordered, with ``reason``.

    Raises
    ------
    ValidationError
        By field; nothing is written then, and no number is spent.
    """
    # Orders of one bridge wait for each other: a flag is in one running order at most.
    Bridge.objects.select_for_update(no_key=True).filter(pk=bridge.pk).first()
    chosen, places = list(flags), list(elements)
    _refuse_order(bridge, chosen, places, ordered_on, planned_on, reason, study)
    order = _numbered(
        WorkOrder(
            bridge=bridge,
            kind=kind,
            title=title.strip(),
            description=description.strip(),
            by_whom=by_whom.strip(),
            ordered_on=ordered_on,
            planned_on=planned_on,
            cost_estimate=cost_estimate,
            study=study,
            ordered_by=user,
        )
    )
    flagged = {flag.element_id for flag in chosen}
    items = [
        *(WorkItem(order=order, element=flag.element, flag=flag) for flag in chosen),
        *(WorkItem(order=order, element=each) for each in places if each.pk not in flagged),
    ]
    for item in items:
        item.full_clean()
        item.save(force_insert=True)
    if chosen:
        decide_all(
            flags=chosen,
            kind=DecisionKind.WORK_ORDERED,
            reason=reason,
            user=user,
            as_of=_ordered_at(bridge, ordered_on),
            order=order,
        )
    return order


@transaction.atomic
def change_order(
    *,
    order: WorkOrder,
    title: str,
    description: str,
    by_whom: str,
    planned_on: dt.date | None,
    cost_estimate: Decimal | None,
    cost: Decimal | None,
) -> WorkOrder:
    """Change what is planned, or enter what was billed; the earlier figures stay on record."""
    row = _locked(order)
    if row.state == WorkState.CANCELLED:
        raise ValidationError(
            _("%(code)s was cancelled: there is nothing left to change.") % {"code": row.code}
        )
    _refuse_plan(row.ordered_on, planned_on)
    row.title, row.description, row.by_whom = title.strip(), description.strip(), by_whom.strip()
    row.planned_on, row.cost_estimate, row.cost = planned_on, cost_estimate, cost
    row.full_clean()
    row.save(
        update_fields=["title", "description", "by_whom", "planned_on", "cost_estimate", "cost"]
    )
    return row


@transaction.atomic
def begin_order(*, order: WorkOrder, begun_on: dt.date) -> WorkOrder:
    """Note the day on which the work began."""
    row = _locked(order)
    refuse_unless(row, (WorkState.ORDERED,), mark("begin it"))
    if begun_on < row.ordered_on:
        raise ValidationError(
            {
                "begun_on": _(
                    "%(begun_on)s is before %(ordered_on)s, when it was ordered. Give a later day."
                )
                % {"begun_on": begun_on, "ordered_on": row.ordered_on}
            }
        )
    _refuse_future("begun_on", begun_on, row.bridge, _("Enter it when the work has begun."))
    row.state, row.begun_on = WorkState.BEGUN, begun_on
    row.full_clean()
    row.save(update_fields=["state", "begun_on"])
    return row


@transaction.atomic
@by_user
def cancel_order(*, order: WorkOrder, why: str, user: AbstractBaseUser) -> WorkOrder:
    """Cancel work that is not finished: its flags wait for a decision again.

    The decision to order the work stays on record.  A flag on which something else was decided
    since keeps that.
    """
    row = _locked(order)
    refuse_unless(row, RUNNING, mark("cancel it"))
    if not why.strip():
        raise ValidationError({"why": _("Say why it is cancelled: the reason stays on record.")})
    row.state, row.cancelled_at = WorkState.CANCELLED, timezone.now()
    row.cancelled_by, row.cancelled_why = user, why.strip()
    row.full_clean()
    row.save(update_fields=["state", "cancelled_at", "cancelled_by", "cancelled_why"])
    write_flags(row.bridge_id)
    return row


def today_at(bridge: Bridge) -> dt.date:
    """Return the day that it is at a bridge."""
    return timezone.now().astimezone(ZoneInfo(bridge.time_zone)).date()


def refuse_unless(order: WorkOrder, states: Sequence[WorkState], verb: str) -> None:
    """Refuse an order that is in another state by now."""
    if order.state not in states:
        wanted = f" {_('or')} ".join(in_sentence(state.label) for state in states)
        raise ValidationError(
            _("%(code)s is %(state)s; to %(verb)s it must be %(wanted)s. Load the page again.")
            % {
                "code": order.code,
                "state": in_sentence(order.get_state_display()),
                "verb": _(verb),
                "wanted": wanted,
            }
        )


def _locked(order: WorkOrder) -> WorkOrder:
    row = WorkOrder.objects.select_for_update(no_key=True).get(pk=order.pk)
    row.bridge = Bridge.objects.get(pk=row.bridge_id)
    return row


def _ordered_at(bridge: Bridge, ordered_on: dt.date) -> dt.datetime | None:
    """Return the hour from which an order holds: now, or the end of an earlier day."""
    if ordered_on >= today_at(bridge):
        return None
    return dt.datetime.combine(ordered_on, dt.time(23, 59), ZoneInfo(bridge.time_zone))


def _numbered(order: WorkOrder) -> WorkOrder:
    """Save an order under the next number of its year.

    Two writers may reckon the same number; the database lets one of them have it, and the
    other reckons again.  A number is spent only by an order that is kept, so none is missing.
    """
    prefix = f"W-{order.ordered_on:%Y}-"
    order.code = f"{prefix}0000"
    order.full_clean(exclude=["code"])
    return _first_free(lambda: _save_next(order, prefix))


def _first_free(save: Callable[[], WorkOrder]) -> WorkOrder:
    for _turn in range(TRIES):
        try:
            with transaction.atomic():
                return save()
        except IntegrityError as taken:
            if "code" not in str(taken):
                raise
    raise ValidationError(_("Too many orders are being written at once. Send it again."))


def _save_next(order: WorkOrder, prefix: str) -> WorkOrder:
    last = (
        WorkOrder.objects.filter(code__startswith=prefix)
        .order_by(Length("code").desc(), "-code")
        .values_list("code", flat=True)
        .first()
    )
    order.code = f"{prefix}{int(last.removeprefix(prefix)) + 1 if last else 1:04d}"
    order.save(force_insert=True)
    return order


def _refuse_order(
    bridge: Bridge,
    flags: Sequence[Flag],
    elements: Sequence[Element],
    ordered_on: dt.date,
    planned_on: dt.date | None,
    reason: str,
    study: OptionStudy | None,
) -> None:
    if not flags and not elements:
        raise ValidationError({"flags": _("No flag is chosen. Tick what the work is to mend.")})
    for place in [*(flag.element for flag in flags), *elements]:
        if place.bridge_id != bridge.pk:
            raise ValidationError(
                {
                    "flags": _("%(place)s is not on %(code)s. One order is for one bridge.")
                    % {"place": place, "code": bridge.code}
                }
            )
    if flags and not reason.strip():
        raise ValidationError({"reason": _("Say why: the reason stays on record with each flag.")})
    if study is not None and study.bridge_id != bridge.pk:
        raise ValidationError(
            {"study": _("«%(study)s» is about another bridge. Choose another.") % {"study": study}}
        )
    _refuse_future("ordered_on", ordered_on, bridge, _("Give the day of the order."))
    _refuse_plan(ordered_on, planned_on)
    for flag in flags:
        flag.refresh_from_db(fields=["state"])
        if flag.state in ENDED:
            raise ValidationError(
                {
                    "flags": _("%(flag)s is %(state)s: nothing to mend there.")
                    % {"flag": flag, "state": in_sentence(flag.get_state_display())}
                }
            )
    taken = (
        WorkItem.objects.filter(flag__in=flags, order__state__in=RUNNING)
        .select_related("order", "flag__element__bridge")
        .first()
    )
    if taken is not None:
        raise ValidationError(
            {
                "flags": _("%(flag)s is in %(code)s already. Finish or cancel that one.")
                % {"flag": taken.flag, "code": taken.order.code}
            }
        )


def _refuse_plan(ordered_on: dt.date, planned_on: dt.date | None) -> None:
    if planned_on is not None and planned_on < ordered_on:
        raise ValidationError(
            {
                "planned_on": _(
                    "%(planned_on)s is before %(ordered_on)s, the day of the order. Give a later"
                    " day."
                )
                % {"planned_on": planned_on, "ordered_on": ordered_on}
            }
        )


def _refuse_future(name: str, day: dt.date, bridge: Bridge, remedy: str) -> None:
    if day > today_at(bridge):
        raise ValidationError(
            {name: _("%(day)s lies in the future. %(remedy)s") % {"day": day, "remedy": remedy}}
        )
