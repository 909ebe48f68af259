"""Every write that puts a device at a place, or ends one there."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.models import DESIGN_OF_KIND, Element, Installation
from inventory.models.choices import EndReason
from inventory.services.changes import register_changed


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
        At ``installed_on`` if the new one starts before the old one ended, and wherever
        a field of it is wrong; nothing is written then.
    """
    current = Installation.objects.select_for_update().get(pk=element.current_installation_id)
    if installation.installed_on is not None and installation.installed_on < ended_on:
        raise ValidationError(
            {
                "installed_on": f"{installation.installed_on} is before {ended_on}, when the"
                " present one ended. Give that day or a later one."
            }
        )
    current.removed_on = ended_on
    current.end_reason = end_reason
    current.full_clean()
    current.save(update_fields=["removed_on", "end_reason"])
    installation.element = element
    installation.full_clean()
    installation.save(force_insert=True)
    element.current_installation = installation
    element.full_clean()
    element.save(update_fields=["current_installation"])
    _save_design(installation, design)
    register_changed([element.bridge_id])
    return installation


@transaction.atomic
def reset_installation(
    *,
    element: Element,
    reset_on: dt.date,
    setting: Mapping[str, Any],
) -> Installation:
    """Start a new history of the same device, set to a new position.

    Capacities, maker and lot are carried over; ``setting`` gives the new setting fields.
    """
    current = element.current_installation
    design_model = DESIGN_OF_KIND[element.kind]
    design = design_model.objects.filter(installation=current).first()
    carried = Installation(
        device_type=current.device_type,
        installed_on=reset_on,
        maker=current.maker,
        lot=current.lot,
        **setting,
    )
    return replace_installation(
        element=element,
        ended_on=reset_on,
        end_reason=EndReason.RESET,
        installation=carried,
        design=None
        if design is None
        else {
            field.name: getattr(design, field.name)
            for field in design_model._meta.concrete_fields
            if field.name not in ("id", "installation")
        },
    )


def _save_design(installation: Installation, design: Mapping[str, Any] | None) -> None:
    if not design:
        return
    model = DESIGN_OF_KIND[installation.element.kind]
    row = model(installation=installation, **design)
    row.full_clean()
    row.save(force_insert=True)
