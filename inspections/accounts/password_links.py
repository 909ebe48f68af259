"""Links by which somebody sets a password: by e-mail, or to be handed over."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import views as auth
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import PasswordResetForm, SetPasswordForm
from django.contrib.auth.models import AbstractBaseUser
from django.core.cache import cache
from django.core.mail import send_mail
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse_lazy
from django.utils.decorators import method_decorator
from django.utils.translation import get_language, override
from django.utils.translation import gettext as _

from inspections.models import Preference
from inspections.services.sessions import end_sessions

ASKED_AN_HOUR = 10
"""How often an address may ask for links in an hour; nobody needs more, and mail is not free."""
SUBJECT = "accounts/mail_subject.txt"
BODY = "accounts/mail.txt"


def hand_over(request: HttpRequest, user: AbstractBaseUser, path: str) -> HttpResponse:
    """Send a link where mail can be sent and there is an address, else show it to hand over."""
    link = request.build_absolute_uri(path)
    context = {"person": user, "link": link, "days": settings.PASSWORD_RESET_TIMEOUT // 86400}
    context["mailed"] = bool(settings.CAN_MAIL and user.email)
    if context["mailed"]:
        # Whoever sends it may read another language.
        with override(chosen_language(user) or settings.LANGUAGE_CODE):
            subject, body = (render_to_string(each, context) for each in (SUBJECT, BODY))
        send_mail(subject.strip(), body, None, [user.email])
        del context["link"]
    response = render(request, "people/link.html", context)
    response["Cache-Control"] = "no-store"
    return response


def chosen_language(user: AbstractBaseUser) -> str:
    """Return the language that somebody chose; empty where they chose none."""
    return Preference.objects.filter(user=user).values_list("language", flat=True).first() or ""


class ResetForm(PasswordResetForm):
    """The e-mail address of an account."""

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **{"label_suffix": ""} | kwargs)

    def send_mail(self, subject: str, body: str, context: dict, *args, **kwargs) -> None:
        """Write in the language of the account, or of the page where it was asked for."""
        with override(chosen_language(context["user"]) or get_language()):
            super().send_mail(subject, body, context, *args, **kwargs)


class SetForm(SetPasswordForm):
    """A new password, twice."""

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **{"label_suffix": ""} | kwargs)


@method_decorator(login_not_required, name="dispatch")
class Forgotten(auth.PasswordResetView):
    """Ask for a link; the answer is the same whether the address is known or not."""

    form_class = ResetForm
    template_name = "accounts/forgotten.html"
    email_template_name = "accounts/mail_forgotten.txt"
    subject_template_name = SUBJECT
    success_url = reverse_lazy("login")
    extra_context = {"can_mail": settings.CAN_MAIL}

    def form_valid(self, form: ResetForm) -> HttpResponse:
        """Send it, unless this address has asked too often."""
        key = f"password-links:{self.request.META.get('REMOTE_ADDR', '')}"
        cache.add(key, 0, 3600)
        if not settings.CAN_MAIL or cache.incr(key) > ASKED_AN_HOUR:
            form.add_error(None, _("No link was sent. Ask an administrator, or try in an hour."))
            return self.form_invalid(form)
        messages.success(
            self.request,
            _("If an account has that address, a link is on its way to it. It works once."),
        )
        return super().form_valid(form)


@method_decorator(login_not_required, name="dispatch")
class PasswordSet(auth.PasswordResetConfirmView):
    """Set a password by a link that works once."""

    form_class = SetForm
    template_name = "accounts/password_set.html"
    success_url = reverse_lazy("login")

    def form_valid(self, form: SetForm) -> HttpResponse:
        """Set it; whoever was signed in is out."""
        response = super().form_valid(form)
        end_sessions(user=form.user)
        messages.success(self.request, _("Your password is set. Sign in with it."))
        return response
