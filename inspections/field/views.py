"""The list of inspections, a new one, its page, and its life from open to accepted."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from inspections.bridge_search import are_many, find_bridges
from inspections.event_checklists import checklist_of
from inspections.field.access import (
    ENTER,
    OPEN_VISIT,
    REVIEW,
    VIEW,
    inspection_for,
    may_correct,
    require,
)
from inspections.field.forms import (
    InspectionFilter,
    LeftOutForm,
    NewInspectionForm,
    RatingForm,
    ReviewForm,
)
from inspections.lookups.completeness import codes_in_short, without_reason
from inspections.lookups.field import (
    InspectionSheet,
    bridges_to_inspect,
    inspection_sheet,
    inspections,
    same_visit,
)
from inspections.models import Inspection
from inspections.models.choices import InspectionState
from inspections.paging import RowPaginator
from inspections.plan_days import first_day
from inspections.preferences import system_of
from inspections.selectors.brought_home import BroughtHome, brought_home
from inspections.selectors.flags import flags_shown_by
from inspections.selectors.list_tables import INSPECTIONS
from inspections.selectors.plan import asked_of_next_visit
from inspections.selectors.ratings import ratings_on
from inspections.services import visits
from inspections.services.handing_in import hand_in
from inspections.tables import table_file
from inspections.wording_plan import due_words

PAGE_SIZE = 25
CONFLICT = 409


@require_safe
def inspection_list(request: HttpRequest) -> HttpResponse:
    """List inspections, newest first."""
    require(request.user, VIEW)
    found = InspectionFilter(request.GET, queryset=inspections())
    page = RowPaginator(found.qs, PAGE_SIZE).get_page(request.GET.get("page"))
    return render(
        request,
        "field/inspections.html",
        {"filter": found, "page": page, "filtered": any(request.GET.values())},
    )


@require_safe
def inspections_file(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Give the list of inspections as it is narrowed."""
    require(request.user, VIEW)
    found = InspectionFilter(request.GET, queryset=inspections())
    return table_file(INSPECTIONS, found.qs, system_of(request), kind)


def inspection_new(request: HttpRequest) -> HttpResponse:
    """Open an inspection."""
    require(request.user, VIEW, OPEN_VISIT)
    wanted = request.GET.get("bridge", "")
    bridge = bridges_to_inspect().filter(code=wanted).first() if wanted else None
    many = are_many(bridges_to_inspect())
    search = find_bridges(bridges_to_inspect(), request.GET.get("find", "") if many else "")
    bridge = bridge or search.chosen
    form = NewInspectionForm(
        request.POST or None, initial={"bridge": bridge, "date": first_day([bridge])}, many=many
    )
    stands_already = None
    if request.method == "POST" and form.is_valid():
        try:
            inspection = visits.open_inspection(**form.cleaned_data, user=request.user)
        except ValidationError as refusal:
            form.refuse(refusal)
            stands_already = same_visit(**form.taken)
        else:
            messages.success(request, _("Inspection opened. Take the temperatures first."))
            return redirect("inspection", inspection.pk)
    return render(
        request,
        "field/inspection_new.html",
        {
            "form": form,
            "search": search,
            "to_find": many and form.bridge_named is None,
            "many": many,
            "stands_already": stands_already,
            "without_elements": wanted if wanted and bridge is None else "",
        },
    )


@require_safe
def inspection_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an inspection: what was read, what is left, and what happens next."""
    return inspection_answer(request, inspection_for(request.user, pk))


@require_POST
def inspection_submit(request: HttpRequest, pk: int) -> HttpResponse:
    """Hand an inspection in."""
    inspection = inspection_for(request.user, pk, ENTER)
    form = LeftOutForm(request.POST)
    if not form.is_valid():
        return inspection_answer(request, inspection, left_out_form=form)
    try:
        hand_in(inspection=inspection, user=request.user, **form.cleaned_data)
    except ValidationError as refusal:
        return _refused(request, inspection, refusal)
    messages.success(request, _("Handed in. An engineer reviews it now."))
    return redirect("inspection", pk)


@require_POST
def inspection_accept(request: HttpRequest, pk: int) -> HttpResponse:
    """Accept a handed-in inspection."""
    inspection = inspection_for(request.user, pk, REVIEW)
    form = ReviewForm(request.POST)
    if not form.is_valid():
        return inspection_answer(request, inspection, form=form)
    try:
        visits.accept(inspection=inspection, user=request.user, note=form.cleaned_data["note"])
    except ValidationError as refusal:
        return _refused(request, inspection, refusal, form)
    messages.success(request, _("Accepted. Its first readings may serve as baselines from now on."))
    return redirect("inspection", pk)


@require_POST
def inspection_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a handed-in inspection back to the team, with a note."""
    inspection = inspection_for(request.user, pk, REVIEW)
    form = ReviewForm(request.POST)
    if not form.is_valid():
        return inspection_answer(request, inspection, form=form)
    try:
        visits.return_to_team(
            inspection=inspection, user=request.user, note=form.cleaned_data["note"]
        )
    except ValidationError as refusal:
        return _refused(request, inspection, refusal, form)
    messages.success(request, _("Returned to the team with your note."))
    return redirect("inspection", pk)


def _refused(
    request: HttpRequest,
    inspection: Inspection,
    refusal: ValidationError,
    form: ReviewForm | None = None,
) -> HttpResponse:
    """Show the page as it stands now, with the service's message and what was typed."""
    at_note = hasattr(refusal, "error_dict")
    if form is not None and at_note:
        form.add_error(None, refusal)
    return inspection_answer(
        request,
        inspection_for(request.user, inspection.pk),
        form=form,
        refusals=[] if at_note else refusal.messages,
        status=CONFLICT,
    )


def _not_read(sheet: InspectionSheet, home: BroughtHome) -> str:
    """Name the elements of a visit that is under way which were not read, and nobody said why."""
    if not (sheet.begun or home.conditions):
        return ""
    left_out, rated = (
        {each.element_id for each in rows} for rows in (home.left_out, home.conditions)
    )
    return codes_in_short(without_reason(sheet.stops, left_out, rated))


def inspection_answer(
    request: HttpRequest,
    inspection: Inspection,
    *,
    form: ReviewForm | None = None,
    rating_form: RatingForm | None = None,
    left_out_form: LeftOutForm | None = None,
    refusals: list[str] | None = None,
    status: int = 200,
) -> HttpResponse:
    """Answer with an inspection's page, with a form that was refused and its messages if any."""
    sheet, home = inspection_sheet(inspection), brought_home(inspection)
    return render(
        request,
        "field/inspection.html",
        {
            "inspection": inspection,
            "states": InspectionState.choices,
            "sheet": sheet,
            "next_stop": next((stop for stop in sheet.stops if stop.missing), None),
            "review_form": form or ReviewForm(),
            "refusals": refusals or [],
            "may_correct": may_correct(request.user, inspection),
            "home": home,
            "not_read": _not_read(sheet, home),
            "left_out_form": left_out_form or LeftOutForm(),
            "ratings": ratings_on(inspection),
            "rating_form": rating_form or RatingForm(),
            "asked": [(each, due_words(each)) for each in asked_of_next_visit(inspection.bridge)]
            if inspection.state == InspectionState.OPEN
            else [],
            # Not asked for before a page shows them: while it is open there are none.
            "flags": flags_shown_by(inspection),
            "checklist": checklist_of(inspection.event.kind) if inspection.event else [],
        },
        status=status,
    )
