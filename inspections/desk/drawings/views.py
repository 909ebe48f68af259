"""Pages of drawings, and their files."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from inspections.desk.drawings.forms import DrawingForm, NewDrawingForm, WithdrawForm
from inspections.rights import User, only_in, require
from inspections.selectors.drawings import drawings
from inventory.models import Bridge, Drawing
from inventory.models.choices import DrawingFormat
from inventory.services.drawings import add_drawing, change_drawing, withdraw_drawing
from movement.errors import InputError

SEE = "inventory.view_bridge"
ADD = "inventory.add_drawing"
CHANGE = "inventory.change_drawing"
CONTENT_TYPES = {
    DrawingFormat.PDF: "application/pdf",
    DrawingFormat.PNG: "image/png",
    DrawingFormat.JPEG: "image/jpeg",
}


def drawing_for(user: User, pk: int, *permissions: str) -> Drawing:
    """Return a drawing to a user who may see it and do what is asked."""
    require(user, SEE, *permissions)
    found = get_object_or_404(drawings(), pk=pk)
    only_in(found.bridge.district_id)
    return found


def drawing_new(request: HttpRequest, code: str) -> HttpResponse:
    """Add a drawing to a bridge."""
    require(request.user, SEE, ADD)
    bridge = get_object_or_404(Bridge, code=code)
    only_in(bridge.district_id)
    posted = request.method == "POST"
    form = NewDrawingForm(
        *((request.POST, request.FILES) if posted else ()),
        bridge=bridge,
        initial={"element": request.GET.get("element")},
    )
    if posted and form.is_valid():
        try:
            made = add_drawing(
                bridge=bridge,
                sent=form.cleaned_data["file"].read(),
                **form.said,
                user=request.user,
            )
        except InputError as error:
            form.add_error(
                "file",
                _("The file %(message)s. %(remedy)s.")
                % {"message": error.message, "remedy": error.remedy},
            )
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(
                request,
                _("Added: %(number)s, %(format)s.")
                % {"number": made.number, "format": made.get_format_display()},
            )
            return redirect(_place_of(made))
    return render(request, "drawings/new.html", {"bridge": bridge, "form": form})


def drawing_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Say anew what a drawing is."""
    drawing = drawing_for(request.user, pk, CHANGE)
    form = DrawingForm(request.POST or None, instance=drawing, bridge=drawing.bridge)
    if request.method == "POST" and form.is_valid():
        try:
            changed = change_drawing(drawing=drawing, **form.said, user=request.user)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, _("Saved: %(number)s.") % {"number": changed.number})
            return redirect(_place_of(changed))
    return _page(request, drawing_for(request.user, pk, CHANGE), form=form)


@require_POST
def drawing_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a drawing as one that holds no longer."""
    drawing = drawing_for(request.user, pk, CHANGE)
    form = WithdrawForm(request.POST)
    if form.is_valid():
        try:
            withdraw_drawing(drawing=drawing, **form.cleaned_data, user=request.user)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(
                request,
                _("Withdrawn: %(number)s. It stays on record.") % {"number": drawing.number},
            )
            return redirect(_place_of(drawing))
    return _page(request, drawing, withdrawing=form)


@require_safe
def drawing_file(request: HttpRequest, pk: int) -> FileResponse:
    """Give the file of a drawing to whoever may see its bridge."""
    return file_of(drawing_for(request.user, pk))


def file_of(drawing: Drawing) -> FileResponse:
    """Answer with a drawing that whoever asked may see; 404 where its file is gone."""
    try:
        content = drawing.file.open("rb")
    except FileNotFoundError as gone:
        raise Http404 from gone
    kind = DrawingFormat(drawing.format)
    # A PDF is handed over to be opened by what the reader chose for it, not within the site.
    response = FileResponse(
        content,
        as_attachment=kind == DrawingFormat.PDF,
        filename=f"{slugify(f'{drawing}') or 'drawing'}.{kind.value}",
        content_type=CONTENT_TYPES[kind],
    )
    response["Cache-Control"] = "private, max-age=86400, immutable"
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _place_of(drawing: Drawing) -> str:
    """Return the address where a drawing is listed."""
    place = (
        reverse("element", args=[drawing.element_id])
        if drawing.element_id
        else reverse("bridge", args=[drawing.bridge.code])
    )
    return f"{place}#drawings-head"


def _page(
    request: HttpRequest,
    drawing: Drawing,
    *,
    form: DrawingForm | None = None,
    withdrawing: WithdrawForm | None = None,
) -> HttpResponse:
    return render(
        request,
        "drawings/change.html",
        {
            "drawing": drawing,
            "bridge": drawing.bridge,
            "form": form or DrawingForm(instance=drawing, bridge=drawing.bridge),
            "withdrawing": withdrawing or WithdrawForm(auto_id="withdraw_%s"),
        },
    )
