"""Who may do what: the role's permissions, and the scopes of a key within them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from inspections.models import ApiKey
from inspections.models.access import KeyScope
from inspections.rights import districts_of
from inventory.scoping import see_only

if TYPE_CHECKING:
    from rest_framework.views import APIView

SEE_BRIDGE = "inventory.view_bridge"
SEE_ELEMENT = "inventory.view_element"
SEE_VERDICT = "inspections.view_verdict"


class RoleAndScope(BasePermission):
    """Signed in, with the role's permissions that the view asks for.

    A view names them in ``needs``, and those of single actions in ``needs_also``.
    """

    message = "This account's role may not do that."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Return whether user and key may do what is asked."""
        if not request.user.is_authenticated:
            return False
        key = request.auth
        writes = request.method not in SAFE_METHODS
        if isinstance(key, ApiKey) and writes and key.scopes != KeyScope.WRITE:
            self.message = "This API key may only read. Make one that may write."
            return False
        also = getattr(view, "needs_also", {}).get(getattr(view, "action", None), ())
        districts = districts_of(request.user, *view.needs, *also)
        see_only(districts)
        return districts != []


class SignedIn(BasePermission):
    """Any account, as for the description of the API."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Return whether somebody is signed in."""
        return request.user.is_authenticated
