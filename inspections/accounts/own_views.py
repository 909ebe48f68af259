"""A user's own account: password, sessions."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import views as auth
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inspections.accounts.client import device_text
from inspections.accounts.forms import ChangedPasswordForm
from inspections.accounts.second_factor import needs_second_factor
from inspections.languages import SESSION_KEY
from inspections.onward import next_path
from inspections.selectors.second_factor import app_of, recovery_codes_left
from inspections.selectors.sessions import handle_of, sessions_of
from inspections.services.preferences import choose_language
from inspections.services.sessions import end_session, end_sessions


def account(request: HttpRequest) -> HttpResponse:
    """Show a user's account, and where they are signed in."""
    shown = [
        {
            "row": row,
            "handle": handle_of(row.session_key),
            "device": device_text(row.device),
            "is_this": row.session_key == request.session.session_key,
        }
        for row in sessions_of(request.user)
    ]
    roles = request.user.held_roles.select_related("district").order_by("role", "district__code")
    return render(
        request,
        "accounts/account.html",
        {
            "sessions": shown,
            "roles": roles,
            "app": app_of(request.user),
            "codes_left": recovery_codes_left(request.user),
            "must": needs_second_factor(request.user),
        },
    )


class PasswordChange(auth.PasswordChangeView):
    """Change the password; whoever is signed in elsewhere is out."""

    form_class = ChangedPasswordForm
    template_name = "accounts/password.html"
    success_url = reverse_lazy("account")

    def form_valid(self, form: ChangedPasswordForm) -> HttpResponse:
        """Keep this session alone."""
        response = super().form_valid(form)
        end_sessions(user=self.request.user, but=self.request.session.session_key)
        messages.success(self.request, _("Your password is changed. All other sessions are ended."))
        return response


@login_not_required
@require_POST
def language(request: HttpRequest) -> HttpResponse:
    """Speak another language: the user's from now on, or this browser's before signing in."""
    wanted = request.POST.get("language", "")
    response = redirect(next_path(request))
    if wanted not in dict(settings.LANGUAGES):
        messages.error(request, _("That language is not spoken here. Choose another one."))
    elif request.user.is_authenticated:
        choose_language(user=request.user, language=wanted)
        request.session[SESSION_KEY] = wanted
    else:
        response.set_cookie(
            settings.LANGUAGE_COOKIE_NAME,
            wanted,
            max_age=settings.LANGUAGE_COOKIE_AGE,
            secure=settings.LANGUAGE_COOKIE_SECURE,
            httponly=settings.LANGUAGE_COOKIE_HTTPONLY,
            samesite=settings.LANGUAGE_COOKIE_SAMESITE,
        )
    return response


@require_POST
def session_end(request: HttpRequest, handle: str) -> HttpResponse:
    """End one of the user's sessions."""
    for row in sessions_of(request.user):
        if handle_of(row.session_key) == handle:
            end_session(session=row)
            messages.success(request, _("Ended: %(device)s.") % {"device": device_text(row.device)})
            return redirect("account")
    raise Http404


@require_POST
def sessions_end(request: HttpRequest) -> HttpResponse:
    """End all sessions of the user but this one."""
    ended = end_sessions(user=request.user, but=request.session.session_key)
    messages.success(request, _("Ended elsewhere: %(count)s.") % {"count": ended})
    return redirect("account")
