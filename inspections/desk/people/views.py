"""People and their roles, for administrators; who may what, for everybody."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inspections.accounts.password_links import hand_over
from inspections.desk.people.forms import InviteForm, RoleForm
from inspections.field.access import VIEW
from inspections.refusals import written
from inspections.rights import require
from inspections.roles import MANAGE_PEOPLE, Role
from inspections.selectors.people import people, roles_in_scope
from inspections.selectors.second_factor import app_of
from inspections.services.invitations import (
    invite,
    open_or_close,
    password_link,
    take_second_factor_away,
)
from inspections.services.roles import end_role, give_role
from inspections.who_may import ACTIONS

PEOPLE_A_PAGE = 50


@require_safe
def who_may_what(request: HttpRequest) -> HttpResponse:
    """What each role may do."""
    require(request.user, VIEW)
    rows = [(action, [role in action.roles for role in Role]) for action in ACTIONS]
    return render(request, "people/who_may_what.html", {"roles": [*Role], "rows": rows})


@require_safe
def people_list(request: HttpRequest) -> HttpResponse:
    """The accounts that hold a role in the administrator's districts."""
    require(request.user, MANAGE_PEOPLE)
    wanted = request.GET.get("q", "").replace("\x00", "").strip()
    rows = people(wanted)
    page = Paginator(rows, PEOPLE_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "people/people.html", {"page": page, "wanted": wanted})


@require_http_methods(["GET", "HEAD", "POST"])
def invite_somebody(request: HttpRequest) -> HttpResponse:
    """Make an account with its first role, and the link by which its password is set."""
    require(request.user, MANAGE_PEOPLE)
    form = InviteForm(request.POST if request.method == "POST" else None)
    made: list[AbstractBaseUser] = []
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        if written(form, lambda: made.append(invite(**said, by=request.user))):
            return hand_over(request, made[0], password_link(user=made[0], by=request.user))
    return render(request, "people/invite.html", {"form": form})


@require_POST
def person_link(request: HttpRequest, pk: int) -> HttpResponse:
    """Make another link by which the password of an account is set."""
    require(request.user, MANAGE_PEOPLE)
    found = get_object_or_404(people(), pk=pk, is_active=True)
    return hand_over(request, found, password_link(user=found, by=request.user))


@require_POST
def person_state(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an account, or open it again."""
    require(request.user, MANAGE_PEOPLE)
    found = get_object_or_404(people(), pk=pk)
    is_open = request.POST.get("state") == "open"
    try:
        open_or_close(user=found, is_active=is_open, by=request.user)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, _("Open again.") if is_open else _("Closed: it is signed out."))
    return redirect("person", pk)


@require_http_methods(["GET", "HEAD", "POST"])
def person_second_factor(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask whether the second factor of an account shall go, and take it away."""
    require(request.user, MANAGE_PEOPLE)
    found = get_object_or_404(people(), pk=pk)
    app = app_of(found)
    if app is None:
        messages.info(request, _("This account has no second factor."))
        return redirect("person", pk)
    if request.method != "POST":
        return render(request, "people/second_factor.html", {"person": found, "app": app})
    try:
        take_second_factor_away(user=found, by=request.user)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, _("Its second factor is removed, and it is signed out."))
    return redirect("person", pk)


@require_http_methods(["GET", "HEAD", "POST"])
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """One account: its roles in the administrator's districts; give another."""
    require(request.user, MANAGE_PEOPLE)
    found = get_object_or_404(people(), pk=pk)
    form = RoleForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        if written(form, lambda: give_role(user=found, **said, by=request.user)):
            messages.success(request, _("Given. It counts from the next page on."))
            return redirect("person", pk)
    return render(
        request, "people/person.html", {"person": found, "form": form, "app": app_of(found)}
    )


@require_POST
def role_end(request: HttpRequest, pk: int, held_pk: int) -> HttpResponse:
    """End a role of an account."""
    require(request.user, MANAGE_PEOPLE)
    found = get_object_or_404(people(), pk=pk)
    held = get_object_or_404(roles_in_scope(), user=found, pk=held_pk)
    try:
        end_role(held=held, by=request.user)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, _("Ended. It stays in the history."))
    # Whoever holds no role here any more is no longer in this administrator's list.
    return redirect("person", pk) if people().filter(pk=pk).exists() else redirect("people")
