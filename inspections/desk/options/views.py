"""The list of studies, a new one, and one study side by side."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from inspections.desk.options.access import WORK, element_to_mend, flag_to_mend, study_for
from inspections.desk.options.forms import StudyFilter, StudyForm
from inspections.field.access import VIEW
from inspections.lookups import options as selectors
from inspections.models import AgencySettings, OptionStudy
from inspections.paging import RowPaginator
from inspections.preferences import system_of
from inspections.refusals import tell
from inspections.rights import require
from inspections.selectors.list_tables import STUDIES
from inspections.services import options as services
from inspections.tables import table_file
from inventory.words import in_sentence

ROWS_A_PAGE = 50


@require_safe
def studies(request: HttpRequest) -> HttpResponse:
    """List every study, newest first."""
    require(request.user, VIEW)
    found = StudyFilter(request.GET, queryset=selectors.studies())
    return render(
        request,
        "options/studies.html",
        {
            "filter": found,
            "narrowed": found.form.is_valid() and found.narrowed,
            "page": RowPaginator(found.qs, ROWS_A_PAGE).get_page(request.GET.get("page")),
            "nothing_yet": not OptionStudy.objects.exists(),
        },
    )


@require_safe
def studies_file(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Give the list of studies as it is narrowed."""
    require(request.user, VIEW)
    found = StudyFilter(request.GET, queryset=selectors.studies())
    return table_file(STUDIES, found.qs, system_of(request), kind)


def study_new(request: HttpRequest) -> HttpResponse:
    """Open a study of a flag or of an element."""
    require(request.user, VIEW, WORK)
    flag = flag_to_mend(request.user, request.GET["flag"]) if request.GET.get("flag") else None
    element = flag.element if flag else None
    if request.GET.get("element") and element is None:
        element = element_to_mend(request.user, request.GET["element"])
    if element is None:
        return render(request, "options/study_from.html")
    form = StudyForm(request.POST or None, initial={"title": _title(element, flag)})
    if request.method == "POST" and form.is_valid():
        try:
            made = services.open_study(
                bridge=element.bridge,
                element=element,
                flag=flag,
                title=form.cleaned_data["title"],
                question=form.cleaned_data["question"],
                criteria=form.rows(),
                user=request.user,
            )
        except ValidationError as refusal:
            tell(form, refusal)
        else:
            messages.success(request, _("Study opened. Now put the options side by side."))
            return redirect("study", made.pk)
    return render(
        request, "options/study_new.html", {"form": form, "element": element, "flag": flag}
    )


@require_safe
def study(request: HttpRequest, pk: int) -> HttpResponse:
    """One study: the matrix, what the numbers say, the choice and its story."""
    found = study_for(request.user, pk)
    return render(
        request,
        "options/study.html",
        {
            "study": found,
            "matrix": selectors.matrix_of(found),
            "story": selectors.story_of(found),
            "orders": found.work_orders.all(),
            "ordering": _ordering(request, found),
            "currency": AgencySettings.current().currency,
        },
    )


def _ordering(request: HttpRequest, study: OptionStudy) -> str:
    """Return where the work that was chosen is ordered; nothing where that is not the user's."""
    if study.chosen is None or not request.user.has_perm(WORK):
        return ""
    about: dict[str, object] = {"bridge": study.bridge.code}
    if study.flag_id:
        about = {"flag": study.flag_id}
    elif study.element_id:
        about = {"element": study.element_id}
    return f"{reverse('order-new')}?{urlencode(about | {'study': study.pk})}"


def _title(element: object, flag: object) -> str:
    return f"{element}: {in_sentence(flag.get_cause_display())}" if flag else str(element)
