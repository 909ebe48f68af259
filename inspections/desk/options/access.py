"""Fetches of studies and options with the permission inside."""

from __future__ import annotations

from django.shortcuts import get_object_or_404

from inspections.field.access import VIEW
from inspections.lookups.options import study_rows
from inspections.models import Flag, Option, OptionStudy
from inspections.rights import User, only_in, require
from inventory.models import Element

WORK = "inspections.manage_work"


def study_for(user: User, pk: int, *permissions: str) -> OptionStudy:
    """Return a study to a user who may see it and do what is asked."""
    require(user, VIEW, *permissions)
    study = get_object_or_404(study_rows(), pk=pk)
    only_in(study.bridge.district_id)
    return study


def option_for(user: User, pk: int, option_pk: int) -> Option:
    """Return an option of a study to a user who may change it."""
    study = study_for(user, pk, WORK)
    option = get_object_or_404(study.options, pk=option_pk)
    option.study = study
    return option


def flag_to_mend(user: User, pk: str) -> Flag:
    """Return a flag to a user who may order work on it."""
    require(user, VIEW, WORK)
    rows = Flag.objects.select_related("element__bridge", "element__current_installation")
    return get_object_or_404(rows, pk=_number(pk))


def element_to_mend(user: User, pk: str) -> Element:
    """Return an element to a user who may order work on it."""
    require(user, VIEW, WORK)
    rows = Element.objects.select_related("bridge", "current_installation")
    return get_object_or_404(rows, pk=_number(pk))


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else -1
