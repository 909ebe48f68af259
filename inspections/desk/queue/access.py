"""Fetches of flags with the permission inside."""

from __future__ import annotations

from collections.abc import Iterable

from django.shortcuts import get_object_or_404

from inspections.models import Flag
from inspections.rights import User, only_in, require
from inspections.selectors import flags
from inventory.keys import may_be_key

SEE = "inventory.view_element"
DECIDE = "inspections.decide_flag"


def flag_for(user: User, pk: int, *permissions: str) -> Flag:
    """Return a flag to a user who may see it and do what is asked."""
    require(user, SEE, *permissions)
    flag = get_object_or_404(flags.flags(), pk=pk)
    only_in(flag.element.bridge.district_id)
    return flag


def flags_to_decide(user: User, keys: Iterable[str]) -> list[Flag]:
    """Return flags to an engineer, in the order asked for; what is no key is left out."""
    require(user, SEE, DECIDE)
    wanted = [int(key) for key in keys if may_be_key(Flag, key)]
    found = flags.flags().in_bulk(wanted)
    return [found[key] for key in dict.fromkeys(wanted) if key in found]
