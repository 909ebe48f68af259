"""How often a bridge or an element is inspected, where it is not as the agency's settings say."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models import Interval
from inspections.services.plan import write_due
from inventory.models import Bridge, Element
from inventory.services.authorship import by_user

NO_REASON = gettext_lazy("Say why: the reason stays in the history.")
LONGEST_REASON = 100
"""What the history keeps of why an interval was ended."""


@transaction.atomic
@by_user
def set_interval(
    *,
    bridge: Bridge,
    kind: str,
    months: int,
    reason: str,
    element: Element | None = None,
    user: AbstractBaseUser | None = None,
) -> Interval:
    """Set the interval of a bridge or one of its elements, in place of what was set before."""
    if not reason.strip():
        raise ValidationError({"reason": NO_REASON})
    interval = Interval.objects.select_for_update(no_key=True, of=("self",)).filter(
        bridge=bridge, element=element, kind=kind
    ).first() or Interval(bridge=bridge, element=element, kind=kind)  # fmt: skip
    interval.months, interval.reason = months, reason.strip()
    interval.full_clean()
    if interval.pk is None:
        interval.save(force_insert=True)
    else:
        interval.save(update_fields=["months", "reason"])
    write_due(bridge.pk)
    return interval


@transaction.atomic
@by_user
def end_interval(*, interval: Interval, reason: str, user: AbstractBaseUser | None = None) -> None:
    """Let the agency's setting stand again; what was set stays in the history."""
    said = reason.strip()
    if not said:
        raise ValidationError({"reason": NO_REASON})
    if len(said) > LONGEST_REASON:
        raise ValidationError(
            {
                "reason": _(
                    "%(count)s characters are more than %(longest_reason)s. Say it shorter."
                )
                % {"count": len(said), "longest_reason": LONGEST_REASON}
            }
        )
    interval._change_reason = said
    interval.delete()
    write_due(interval.bridge_id)
