"""The way in."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from inspections.accounts.throttle import make_known


@login_not_required
def to_sign_in(request: HttpRequest) -> HttpResponse:
    """Lead from the admin site's own way in to the one of the site; there is no second."""
    if request.user.is_authenticated:
        raise PermissionDenied
    return redirect_to_login(request.GET.get("next", "/admin/"))


class SignIn(LoginView):
    """Name and password."""

    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Sign in, and know the device again."""
        response = super().form_valid(form)
        make_known(self.request, response, form.get_user())
        return response
