"""The admin site: the register, for those who may change it, in their districts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.admin import AdminSite
from django.contrib.admin.apps import AdminConfig
from django.http import HttpRequest, HttpResponseBase
from django.utils.translation import gettext_lazy

from inventory.scoping import see_only

CHANGE = "inventory.change_bridge"
FIRST = ("inventory", "inspections")
"""The parts that are listed first: whoever opens the site comes for the register."""
NOT_LISTED = ("otp_static", "otp_totp")
"""Parts whose own pages are those of the account and of people."""


class LedgerAdminSite(AdminSite):
    """Open to whoever may change the register somewhere, and there alone."""

    site_header = "Bearing and Joint Ledger"
    site_title = "Bearing and Joint Ledger"
    index_title = gettext_lazy("Register, inspections and settings")
    enable_nav_sidebar = False
    """A tablet has no room for it, and the start page lists the same."""

    def has_permission(self, request: HttpRequest) -> bool:
        """Return whether the user may change the register of a district in scope."""
        return request.user.has_perm(CHANGE)

    def get_app_list(self, request: HttpRequest, app_label: str | None = None) -> list[dict]:
        """Return the parts of the site, the register first."""
        listed = super().get_app_list(request, app_label)
        return sorted(
            (each for each in listed if app_label or each["app_label"] not in NOT_LISTED),
            key=lambda each: (
                FIRST.index(each["app_label"]) if each["app_label"] in FIRST else len(FIRST)
            ),
        )

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
