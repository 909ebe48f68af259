"""What somebody may do where: the roles they hold, as Django asks for permissions.

:func:`require` opens every page and every call of the API. It refuses whoever lacks the
permissions everywhere, and narrows all that is read afterwards to the districts where they are
held, so that the rows of another district do not exist. ``user.has_perm`` answers for what is in
scope: on the page of one bridge, for that bridge.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase
from django_scopes import scope

from inspections.models.roles import HeldRole
from inspections.roles import FOR_ALL_DISTRICTS, PERMISSIONS, Role
from inventory.scoping import DISTRICT, districts_seen, see_only

User = AbstractBaseUser | AnonymousUser


def held(user: User) -> dict[int | None, set[str]]:
    """Return the roles that a user holds by district; those for all under None."""
    if not hasattr(user, "_held"):
        user._held = {}
        if user.is_authenticated:
            for role, district in HeldRole.objects.filter(user_id=user.pk).values_list(
                "role", "district_id"
            ):
                user._held.setdefault(district, set()).add(role)
    return user._held


def districts_of(user: User, *permissions: str) -> list[int] | None:
    """Return where a user has all of the permissions, ids of districts; None is everywhere."""
    if not user.is_active:
        return []
    if user.is_superuser:
        return None
    roles, wanted = held(user), {*permissions}
    everywhere = _allowed(roles.get(None, ()))
    if None in roles and wanted <= everywhere:
        return None
    return sorted(
        district
        for district, names in roles.items()
        if district is not None and wanted <= everywhere | (_allowed(names) - FOR_ALL_DISTRICTS)
    )


def roles_in(user: User, district_id: int) -> list[str]:
    """Return the names of the roles that a user holds in a district."""
    roles = held(user)
    return sorted(roles.get(None, set()) | roles.get(district_id, set()))


def roles_of(user: User) -> list[str]:
    """Return the names of the roles that a user holds anywhere."""
    return sorted(set().union(*held(user).values()))


def require(user: User, *permissions: str) -> None:
    """Refuse a user who has the permissions nowhere; see only where they are held from here on."""
    districts = districts_of(user, *permissions)
    if districts == []:
        raise PermissionDenied
    see_only(districts)


def needs(*permissions: str) -> Callable[..., Any]:
    """Make a view ask for permissions before anything else."""

    def wrap(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
        @wraps(view)
        def asked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            require(request.user, *permissions)
            return view(request, *args, **kwargs)

        return asked

    return wrap


def only_in(district_id: int) -> None:
    """See one district from here on, so that what is offered is what may be done there."""
    seen = districts_seen()
    if seen is None or district_id in seen:
        see_only([district_id])


class DistrictRoles(ModelBackend):
    """Permissions that follow from the roles held in the districts in scope."""

    def get_all_permissions(self, user_obj: User, obj: object = None) -> set[str]:
        """Return what is allowed in some district in scope."""
        if not user_obj.is_active or obj is not None:
            return set()
        seen = districts_seen()
        everywhere = _allowed(held(user_obj).get(None, ()))
        local = {
            permission
            for district, names in held(user_obj).items()
            if district is not None and (seen is None or district in seen)
            for permission in _allowed(names) - FOR_ALL_DISTRICTS
        }
        return local | (everywhere if seen is None or seen else set())

    def has_perm(self, user_obj: User, perm: str, obj: object = None) -> bool:
        """Return whether it is allowed in some district in scope."""
        return perm in self.get_all_permissions(user_obj, obj)

    def has_module_perms(self, user_obj: User, app_label: str) -> bool:
        """Return whether anything of an app is allowed."""
        return any(each.startswith(f"{app_label}.") for each in self.get_all_permissions(user_obj))


class DistrictsMiddleware:
    """Show each request the districts in which its user holds a role, and no other."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer within the scope."""
        with scope(**{DISTRICT: districts_of(request.user)}):
            return self.get_response(request)


def _allowed(roles: Any) -> frozenset[str]:
    return frozenset().union(*(PERMISSIONS[Role(role)] for role in roles))
