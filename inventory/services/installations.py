"""Every write that puts a device at a place, or ends one there."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import DESIGN_OF_KIND, Element, Installation
from inventory.models.choices import EndReason
from inventory.services.changes import register_changed

UNUSED_SETTING = gettext_lazy(
    "Figures of the setting are given, and it is said that it is not known: they would be left"
    " out. Say where the setting is known from, or clear its figures."
)


@transaction.atomic
def create_element(
    *, element: Element, installation: Installation, design: Mapping[str, Any] | None = None
) -> Element:
    """Save a new place together with the device that stands there.

    The place names its installation before that row exists; the database checks the
    reference at the end of the transaction.
    """
    element.current_installation_id = installation.pk
    element.full_clean(exclude=["current_installation"])
    element.save(force_insert=True)
    installation.element = element
    installation.full_clean()
    installation.save(force_insert=True)
    _save_design(installation, design)
    register_changed([element.bridge_id])
    return element


@transaction.atomic
def replace_installation(
    *,
    element: Element,
    ended_on: dt.date,
    end_reason: EndReason,
    installation: Installation,
    design: Mapping[str, Any] | None = None,
) -> Installation:
    """End the current device of a place and put ``installation`` there.

    Raises
    ------
    ValidationError
        At ``ended_on`` or ``installed_on`` if the days do not follow each other, and
        wherever a field of the new device is wrong; nothing is written then.
    """
    place = Element.objects.select_for_update().get(pk=element.pk)
    if place.current_installation_id != element.current_installation_id:
        raise ValidationError(
            _("The device here has been replaced meanwhile. Load the page again and check it.")
        )
    current = Installation.objects.select_for_update().get(pk=place.current_installation_id)
    _check_days(current, ended_on, installation.installed_on)
    # In this order no rule of the database is broken between two writes: the place names
    # the new device (checked when the transaction ends), the present one ends, the new
    # row comes.
    place.current_installation_id = installation.pk
    place.save(update_fields=["current_installation"])
    current.removed_on = ended_on
    current.end_reason = end_reason
    current.full_clean()
    current.save(update_fields=["removed_on", "end_reason"])
    installation.element = element
    installation.full_clean()
    installation.save(force_insert=True)
    _save_design(installation, design)
    element.current_installation = installation
    register_changed([element.bridge_id])
    return installation


@transaction.atomic
def reset_installation(
    *,
    element: Element,
    reset_on: dt.date,
    setting: Mapping[str, Any],
    as_set: Mapping[str, Any] | None = None,
) -> Installation:
    """Start a new history of the same device, set to a new position.

    Capacities, maker and lot are carried over; ``setting`` gives the new setting fields,
    ``as_set`` what a restraint's design row tells of its position: gaps and projection.

    Raises
    ------
    ValidationError
        At ``reset_on`` or the field that is wrong; nothing is written then.
    """
    current = element.current_installation
    design_model = DESIGN_OF_KIND[element.kind]
    row = design_model.objects.filter(installation=current).first()
    design = (
        {}
        if row is None
        else {
            field.name: getattr(row, field.name)
            for field in design_model._meta.concrete_fields
            if field.name not in ("id", "installation")
        }
    )
    carried = Installation(
        device_type=current.device_type,
        installed_on=reset_on,
        maker=current.maker,
        lot=current.lot,
        **setting,
    )
    # A register that is taken in may hold such rows; whoever types figures wants them used.
    if carried.has_unused_setting:
        raise ValidationError({"setting_source": UNUSED_SETTING})
    try:
        return replace_installation(
            element=element,
            ended_on=reset_on,
            end_reason=EndReason.RESET,
            installation=carried,
            design=design | dict(as_set or {}),
        )
    except ValidationError as error:
        if not hasattr(error, "error_dict"):
            raise
        days = ("ended_on", "installed_on")
        raise ValidationError(
            {
                "reset_on" if name in days else name: problems
                for name, problems in error.error_dict.items()
            }
        ) from error


def _check_days(current: Installation, ended_on: dt.date, installed_on: dt.date | None) -> None:
    # Where the site is, tomorrow may have begun.
    latest = timezone.localdate() + dt.timedelta(days=1)
    wrong: dict[str, str] = {}
    if ended_on <= current.installed_on:
        wrong["ended_on"] = _(
            "%(day)s is not after %(installed)s, when the present device was installed. Give a"
            " later day."
        ) % {"day": ended_on, "installed": current.installed_on}
    if ended_on > latest:
        wrong["ended_on"] = _("%(day)s lies in the future. Enter it when it has been done.") % {
            "day": ended_on
        }
    if installed_on is not None and installed_on < ended_on:
        wrong["installed_on"] = _(
            "%(day)s is before %(ended)s, when the present device ended. Give that day or a later"
            " one."
        ) % {"day": installed_on, "ended": ended_on}
    elif installed_on is not None and installed_on > latest:
        wrong["installed_on"] = _("%(day)s lies in the future. Enter it when it is done.") % {
            "day": installed_on
        }
    if wrong:
        raise ValidationError(wrong)


def _save_design(installation: Installation, design: Mapping[str, Any] | None) -> None:
    if not design:
        return
    model = DESIGN_OF_KIND[installation.element.kind]
    row = model(installation=installation, **design)
    row.full_clean()
    row.save(force_insert=True)
