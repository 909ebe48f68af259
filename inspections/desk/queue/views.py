"""The queue, one flag, and decisions on one or several."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inspections.desk.plan.shown import whys_shown
from inspections.desk.queue.access import DECIDE, SEE, flag_for, flags_to_decide
from inspections.desk.queue.filters import HEADINGS, QueueFilter
from inspections.desk.queue.forms import DecisionForm
from inspections.desk.queue.saved_views import PAGE
from inspections.desk.queue.shown import (
    changes_since,
    life_shown,
    rows_shown,
    standing_from_before,
    still_to_prove,
    worked_example,
)
from inspections.desk.sorting import Column, Order, order
from inspections.models import AgencySettings, ElementStatus, Flag, SavedFilter, WorkOrder
from inspections.models.desk_choices import RUNNING
from inspections.paging import RowPaginator, parts_in_order
from inspections.preferences import system_of
from inspections.refusals import tell
from inspections.rights import require
from inspections.selectors import flags as selectors
from inspections.selectors.brought_home import critical_not_seen
from inspections.selectors.findings import diagnoses_naming
from inspections.selectors.list_tables import queue_table
from inspections.services import decisions
from inspections.tables import table_file
from inspections.wording_explanation import tell_unit
from inspections.wording_flags import MEANING, evidence_words
from inventory.words import in_sentence

ROWS_A_PAGE = 50
COLUMNS = (
    Column("score", mark("Place in the queue"), falling=True),
    Column("element", mark("Element, cause and evidence")),
    Column("bridge", mark("Bridge")),
    Column("state", mark("State")),
    Column("seen", mark("Last seen"), falling=True),
)
ORDERS = {
    "score": ("score",),
    "element": ("element__code",),
    "bridge": ("element__bridge__code",),
    "state": ("state",),
    "seen": ("last_seen_at",),
}


@require_safe
def queue(request: HttpRequest) -> HttpResponse:
    """Show flags in the order of what matters most."""
    require(request.user, SEE)
    form = DecisionForm(agency=AgencySettings.current())
    return _queue(request, request.GET, form, [])


@require_safe
def queue_file(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Give the queue as it is narrowed and sorted."""
    require(request.user, SEE)
    rows = _listed(request.GET, timezone.localdate(), AgencySettings.current())[2]
    parts = map(selectors.with_what_was_last, parts_in_order(rows))
    flags = (flag for part in parts for flag in part)
    return table_file(queue_table(), flags, system_of(request), kind)


@require_POST
def decide_several(request: HttpRequest) -> HttpResponse:
    """Sign one decision on all flags that are ticked, or on none."""
    chosen = flags_to_decide(request.user, request.POST.getlist("flag"))
    # The links of the page lead on from the list that was narrowed.
    request.GET = narrowed = QueryDict(request.POST.get("list", ""))
    form = DecisionForm(request.POST, agency=AgencySettings.current())
    if not chosen:
        form.add_error(None, _("No flag is chosen. Tick one at least."))
    if form.is_valid():
        try:
            decisions.decide_all(flags=chosen, user=request.user, **form.cleaned_data)
        except ValidationError as refusal:
            tell(form, refusal)
        else:
            count = len(chosen)
            told = ngettext("Signed on %(count)s flag.", "Signed on %(count)s flags.", count)
            messages.success(request, told % {"count": count})
            return redirect(f"{reverse('home')}?{narrowed.urlencode()}")
    return _queue(request, narrowed, form, [flag.pk for flag in chosen])


@require_http_methods(["GET", "HEAD", "POST"])
def flag(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one flag with its life, and the form under which it is decided on."""
    found = flag_for(request.user, pk, *([DECIDE] if request.method == "POST" else []))
    form = DecisionForm(request.POST or None, agency=AgencySettings.current())
    with timezone.override(ZoneInfo(found.element.bridge.time_zone)):
        if request.method == "POST" and form.is_valid():
            try:
                decisions.decide(flag=found, user=request.user, **form.cleaned_data)
            except ValidationError as refusal:
                tell(form, refusal)
            else:
                state = in_sentence(found.get_state_display())
                messages.success(request, _("Signed: %(state)s.") % {"state": state})
                return redirect("flag", found.pk)
        return _flag(request, found, form)


def _listed(
    narrowed: QueryDict, today: dt.date, agency: AgencySettings
) -> tuple[QueueFilter, Order, QuerySet[Flag]]:
    """Return the filter, the order, and the flags that both leave."""
    found = QueueFilter(narrowed, queryset=selectors.queue(today, agency))
    found.today = today
    by = order(narrowed.get("sort", ""), "-score", COLUMNS)
    rows = found.qs
    names = [f"-{name}" if by.down else name for name in ORDERS[by.by]]
    return found, by, rows.order_by(*names, "-score", "pk")


def _queue(
    request: HttpRequest,
    narrowed: QueryDict,
    form: DecisionForm,
    ticked: list[int],
) -> HttpResponse:
    today, agency = timezone.localdate(), AgencySettings.current()
    found, by, rows = _listed(narrowed, today, agency)
    counted = found.counts[found.tab]
    page = RowPaginator(
        selectors.queue(today, agency).order_by(*rows.query.order_by),
        ROWS_A_PAGE,
        keys=rows,
        counted=counted,
    ).get_page(narrowed.get("page"))
    shown = rows_shown(page.object_list)
    weights = selectors.Weights.of(agency)
    return render(
        request,
        "queue/queue.html",
        {
            "filter": found,
            "narrowed": found.narrowed,
            "heading": _(HEADINGS[found.tab]),
            "tabs": found.tabs,
            "order": by,
            "page": page,
            "rows": shown,
            "example": worked_example(shown[0].flag, weights) if shown else None,
            "saved": SavedFilter.objects.filter(user_id=request.user.pk, page=PAGE),
            "list": narrowed.urlencode(),
            "form": form,
            "ticked": ticked,
            "may_decide": request.user.has_perm(DECIDE),
            "critical": critical_not_seen(),
            "nothing_yet": not ElementStatus.objects.exists(),
            "today": today,
        },
    )


def _flag(request: HttpRequest, found: Flag, form: DecisionForm) -> HttpResponse:
    system = system_of(request)
    seen = selectors.last_seen([found]).get(found.pk)
    life = life_shown(found, system)
    last = selectors.last_decisions([found]).get(found.pk)
    today = timezone.localdate()
    studies = list(found.option_studies.select_related("chosen"))
    orders = list(WorkOrder.objects.filter(items__flag=found).distinct())
    return render(
        request,
        "queue/flag.html",
        {
            "flag": found,
            "meaning": _(MEANING[found.cause]),
            "evidence": [] if seen is None else evidence_words(seen.evidence, system),
            "standing": standing_from_before(found, seen, system),
            "seen": seen,
            "life": life,
            "last": last,
            "changes": changes_since(last, selectors.sightings_of(found))
            if last is not None and found.evidence_changed
            else [],
            "lapsed": found.state in selectors.LAPSES
            and found.until is not None
            and found.until < today,
            "due": whys_shown(selectors.due_for(found), today),
            "to_prove": still_to_prove(found, system),
            "units": []
            if found.state in selectors.ENDED
            else [tell_unit(each, system) for each in diagnoses_naming(found.element)],
            "others": selectors.flags()
            .filter(element=found.element)
            .exclude(pk=found.pk)
            .exclude(state__in=selectors.ENDED),
            "studies": studies,
            "chosen": next((each for each in studies if each.chosen_id), None),
            "orders": orders,
            # A running order has it, or nothing is left to mend.
            "may_order": found.state not in selectors.ENDED
            and not any(each.state in RUNNING for each in orders),
            "form": form,
            "may_decide": request.user.has_perm(DECIDE) and found.state != "withdrawn",
            "next_flag": _next_after(found),
        },
    )


def _next_after(found: Flag) -> Flag | None:
    """Return the first other flag that is to be decided."""
    today = timezone.localdate()
    waiting = selectors.queue(today).filter(selectors.needs_decision(today))
    return waiting.exclude(pk=found.pk).first()
