"""The engineer's pages: flagged elements, bridges, one bridge, one element."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from inspections.selectors.statuses import FLAGGED, bridge_strip, element_statuses
from inspections.services.preferences import choose_units
from inventory.models import Bridge, Element


@require_safe
@permission_required("inventory.view_element", raise_exception=True)
def flagged(request: HttpRequest) -> HttpResponse:
    """Elements by verdict, those out of range or to watch first."""
    statuses = element_statuses().filter(verdict__in=FLAGGED)
    return render(request, "desk/flagged.html", {"statuses": statuses})


@require_safe
@permission_required("inventory.view_bridge", raise_exception=True)
def bridges(request: HttpRequest) -> HttpResponse:
    """Every bridge."""
    return render(request, "desk/bridges.html", {"bridges": Bridge.objects.all()})


@require_safe
@permission_required("inventory.view_bridge", raise_exception=True)
def bridge(request: HttpRequest, code: str) -> HttpResponse:
    """One bridge with its elements."""
    found = get_object_or_404(Bridge, code=code)
    return render(request, "desk/bridge.html", {"bridge": found, "strip": bridge_strip(found)})


@require_safe
@permission_required("inventory.view_element", raise_exception=True)
def element(request: HttpRequest, pk: int) -> HttpResponse:
    """One element."""
    found = get_object_or_404(Element.objects.select_related("bridge"), pk=pk)
    return render(request, "desk/element.html", {"element": found})


@require_POST
@permission_required("inventory.view_element", raise_exception=True)
def units(request: HttpRequest) -> HttpResponse:
    """Keep the user's units and go back to the page."""
    try:
        choose_units(user=request.user, units=request.POST.get("units", ""))
    except ValidationError:
        messages.error(request, "There are no such units. Choose metric or US units.")
    target = request.POST.get("next", "")
    safe = url_has_allowed_host_and_scheme(
        target, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return redirect(target if safe else "home")
