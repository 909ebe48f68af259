"""Checks of a row against other rows, told at the field that breaks the rule.

The database keeps the same rules for whoever writes past the forms.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext as _

from inventory.decimal_mark import with_mark

if TYPE_CHECKING:
    from inventory.models.installation import Installation
    from inventory.models.places import Support, Unit


def refuse_leaving_elements_outside(unit: Unit) -> None:
    """Raise at the end of a unit that an element of it would lie beyond."""
    start, end = unit.start_station_m, unit.end_station_m
    if unit.pk is None or start is None or end is None:
        return
    outside = (
        apps.get_model("inventory", "Element")
        .objects.filter(Q(unit=unit) | Q(unit_ahead=unit))
        .filter(Q(station_m__lt=start) | Q(station_m__gt=end))
        .order_by("station_m", "code")
        .values_list("code", "station_m")
    )
    wrong = {
        "start_station_m" if station_m < start else "end_station_m": _(
            "Element %(code)s at %(station)s m would lie outside the unit. Move the element first,"
            " or keep the unit as long."
        )
        % {"code": code, "station": with_mark(f"{station_m:g}")}
        for code, station_m in outside
    }
    if wrong:
        raise ValidationError(wrong)


def refuse_other_bridge_than_elements(row: Unit | Support, *names: str) -> None:
    """Raise at ``bridge`` if elements that name this row belong to another one."""
    if row.pk is None or row.bridge_id is None:
        return
    mine = Q(*((name, row) for name in names), _connector=Q.OR)
    element = (
        apps.get_model("inventory", "Element")
        .objects.filter(mine)
        .exclude(bridge_id=row.bridge_id)
        .first()
    )
    if element is not None:
        raise ValidationError(
            {
                "bridge": _("Element %(element)s stands on it. It cannot move to another bridge.")
                % {"element": element}
            }
        )


def refuse_other_deck_than_details(unit: Unit) -> None:
    """Raise at ``deck_type`` if the unit's stored section or concrete is not for such a deck."""
    if unit.pk is None or not unit.deck_type:
        return
    wrong = [
        says % {"told": told(detail)}
        for name, told, says in (
            (
                "UnitSection",
                lambda row: row.get_section_form_display(),
                _(
                    "Its section is recorded, %(told)s, and does not fit this deck type. Remove the"
                    " section from the unit first, then change the deck type and enter what it has."
                ),
            ),
            (
                "UnitConcrete",
                lambda row: row.get_shortening_rule_display(),
                _(
                    "Its concrete is recorded, %(told)s, and does not fit this deck type. Remove"
                    " the concrete from the unit first, then change the deck type and enter what it"
                    " has."
                ),
            ),
        )
        for detail in apps.get_model("inventory", name).objects.filter(unit=unit)
        if not detail.fits(unit.deck_type)
    ]
    if wrong:
        raise ValidationError({"deck_type": wrong})


def refuse_overlapping_device(installation: Installation) -> None:
    """Raise if another device stands at the place in the time of this one."""
    if installation.element_id is None or installation.installed_on is None:
        return
    others = (
        type(installation)
        .objects.filter(element_id=installation.element_id)
        .exclude(pk=installation.pk)
        .filter(Q(removed_on__isnull=True) | Q(removed_on__gt=installation.installed_on))
    )
    if installation.removed_on is not None:
        others = others.filter(installed_on__lt=installation.removed_on)
    if other := others.first():
        raise ValidationError(
            {
                "installed_on": _(
                    "«%(device)s» stands at this place in that time. Correct the day, or end that"
                    " one by a replacement or a reset."
                )
                % {"device": other}
            }
        )
