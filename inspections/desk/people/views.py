"""People and their roles, for administrators; who may what, for everybody."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inspections.desk.people.forms import RoleForm
from inspections.desk.refusals import written
from inspections.field.access import VIEW
from inspections.rights import require
from inspections.roles import MANAGE_PEOPLE, Role
from inspections.selectors.people import people, roles_in_scope
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
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """One account: its roles in the administrator's districts; give another."""
    require(request.user, MANAGE_PEOPLE)
    found = get_object_or_404(people(), pk=pk)
    form = RoleForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        if written(form, lambda: give_role(user=found, **said, by=request.user)):
            messages.success(request, "Given. It counts from the next page on.")
            return redirect("person", pk)
    return render(request, "people/person.html", {"person": found, "form": form})


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
        messages.success(request, "Ended. It stays in the history.")
    # Whoever holds no role here any more is no longer in this administrator's list.
    return redirect("person", pk) if people().filter(pk=pk).exists() else redirect("people")
