"""The admin site: the register, for those who may change it, in their districts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.admin import AdminSite
from django.contrib.admin.apps import AdminConfig
from django.http import HttpRequest, HttpResponseBase

from inventory.scoping import see_only

CHANGE = "inventory.change_bridge"


class LedgerAdminSite(AdminSite):
    """Open to whoever may change the register somewhere, and there alone."""

    site_header = "Bearing and Joint Ledger"
    site_title = "Bearing and Joint Ledger"
    index_title = "Register, inspections and settings"
    enable_nav_sidebar = False
    """A tablet has no room for it, and the start page lists the same."""

    def has_permission(self, request: HttpRequest) -> bool:
        """Return whether the user may change the register of a district in scope."""
        return request.user.has_perm(CHANGE)

    def admin_view(
        self, view: Callable[..., HttpResponseBase], cacheable: bool = False
    ) -> Callable[..., HttpResponseBase]:
        """Show a view the districts whose register its user may change."""
        guarded = super().admin_view(view, cacheable)

        def narrowed(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            from inspections.rights import districts_of  # the models are not there before

            see_only(districts_of(request.user, CHANGE))
            return guarded(request, *args, **kwargs)

        return narrowed


class LedgerAdminConfig(AdminConfig):
    """The admin of this project."""

    default_site = "inspections.project.admin_site.LedgerAdminSite"
