"""Changing the agency's settings, with a reason, and renewing what rests on them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.models import AgencySettings, Job, Reading
from inspections.models.agency import AGENCY_QUANTITIES
from inspections.services import jobs, reassessment
from inspections.services.visit_digest import NOT_JUDGED_BY
from inventory.services.authorship import by_user

LONGEST_REASON = 100
FIGURES = (*AGENCY_QUANTITIES, "currency")
ORDERS_ONLY = ("weight_", "currency")
"""Beginnings of the names of what changes neither a verdict nor a day."""
THE_SETTINGS = mark("the settings of %(time)s")


def enters_verdicts(name: str) -> bool:
    """Return whether a figure can change a verdict or a flag."""
    return not name.startswith(NOT_JUDGED_BY)


def enters_plan(name: str) -> bool:
    """Return whether a figure can change when a visit is due."""
    return not enters_verdicts(name) and not name.startswith(ORDERS_ONLY)


def changed(before: AgencySettings, after: AgencySettings) -> list[str]:
    """Return the names of the figures in which two settings differ."""
    return [name for name in FIGURES if getattr(before, name) != getattr(after, name)]


def proposed(before: AgencySettings, figures: Mapping[str, Any]) -> AgencySettings:
    """Return unsaved settings that differ from others by some figures."""
    values = {name: getattr(before, name) for name in FIGURES}
    return AgencySettings(id=AgencySettings.SINGLE, **values | dict(figures))


def present_version() -> int:
    """Return what stands for the present state of the settings: 0 while none were saved."""
    newest = AgencySettings.history.order_by("-history_id").first()
    return 0 if newest is None else int(newest.history_id)


@by_user
def save_settings(
    *,
    figures: Mapping[str, Any],
    reason: str,
    user: AbstractBaseUser,
    based_on: int,
    start: Callable[[Job], object] = jobs.start,
) -> list[str]:
    """Save changed figures, and have all judged again by a job where they enter verdicts.

    The bridges still to be judged are written down with the figures.

    Parameters
    ----------
    based_on
        ``present_version()`` as the user saw it: nobody may have changed them since.
    start
        Starts the job; ``jobs.start_after_commit`` inside a further transaction.

    Returns
    -------
    list of str
        Names of the figures that changed.

    Raises
    ------
    ValidationError
        By field; nothing is written then.
    """
    with transaction.atomic():
        before = AgencySettings.objects.select_for_update().filter(pk=1).first()
        if present_version() != based_on:
            raise _meanwhile()
        row = proposed(before or AgencySettings(), figures)
        names = changed(before or AgencySettings(), row)
        if not names:
            raise ValidationError(_("Nothing is different from what holds now."))
        if not reason.strip():
            raise ValidationError({"reason": _("Say why: the reason stays in the history.")})
        if len(reason.strip()) > LONGEST_REASON:
            raise ValidationError(
                {
                    "reason": _("This has more than %(longest_reason)s characters. Shorten it.")
                    % {"longest_reason": LONGEST_REASON}
                }
            )
        row.full_clean(validate_unique=False)
        row._change_reason = reason.strip()
        if before is not None:
            row._state.adding = False
        try:
            with transaction.atomic():
                row.save(force_insert=before is None)
        except IntegrityError as clash:
            raise _meanwhile() from clash
        job = reassessment.ask(
            by=THE_SETTINGS % {"time": f"{timezone.localtime():%Y-%m-%d %H:%M}"},
            bridge_ids=_read() if any(map(enters_verdicts, names)) else (),
            plan=any(map(enters_plan, names)),
            user=user,
        )
    if job is not None:
        start(job)
    return names


def _meanwhile() -> ValidationError:
    return ValidationError(
        _(
            "Somebody else has changed the settings meanwhile. Compare what holds now with"
            " your figures, then save again."
        ),
        code="changed_meanwhile",
    )


def _read() -> QuerySet[Reading, int]:
    """Return the bridges that have a reading."""
    read = Reading.objects.order_by().values_list("inspection__bridge_id", flat=True)
    return read.distinct()
