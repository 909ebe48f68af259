"""The way in."""

from __future__ import annotations

from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from inspections.accounts.second_factor import is_second_factor_due, note_second_factor
from inspections.accounts.throttle import make_known
from inspections.languages import SESSION_KEY
from inspections.models import Preference
from inspections.rights import roles_of
from inspections.roles import Role


@login_not_required
def to_sign_in(request: HttpRequest) -> HttpResponse:
    """Lead from the admin site's own way in to the one of the site; there is no second."""
    if request.user.is_authenticated:
        raise PermissionDenied
    return redirect_to_login(request.GET.get("next", "/admin/"))


def speak_as_chosen(request: HttpRequest) -> None:
    """Speak the language that the user chose before, on this device or another."""
    chosen = Preference.objects.filter(user=request.user).values_list("language", flat=True).first()
    if chosen:
        request.session[SESSION_KEY] = chosen
    else:
        request.session.pop(SESSION_KEY, None)


class SignIn(LoginView):
    """Name and password."""

    redirect_authenticated_user = True

    def get_redirect_url(self) -> str:
        """Return where to go on: by way of the second factor where that is still to be given.

        The tablet's page opens without it, and would send back here.
        """
        target = super().get_redirect_url()
        if target == reverse("home"):
            target = ""  # The bare address of the site: no page that somebody asked for.
        if self.request.user.is_authenticated and is_second_factor_due(self.request):
            after = target or self.get_default_redirect_url()
            return reverse("second-factor", query={"next": after})
        return target

    def get_default_redirect_url(self) -> str:
        """Return where those begin who asked for no page: inspectors at their visits.

        Whoever holds another role as well decides or looks on, and begins at the queue.
        """
        if roles_of(self.request.user) == [Role.INSPECTOR.value]:
            return reverse("inspections")
        return super().get_default_redirect_url()

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Sign in, and know the device again; then comes the second factor, where there is one."""
        login(self.request, form.get_user())
        speak_as_chosen(self.request)
        note_second_factor(self.request)
        response = redirect(self.get_success_url())
        make_known(self.request, response, form.get_user())
        return response
