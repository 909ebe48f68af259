"""A page in plain words: read, written and printed."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import override
from django.views.decorators.http import require_http_methods

from inspections.desk.plain.forms import PlainPageForm, language_of, seen
from inspections.desk.queue.access import flag_for
from inspections.drawing.place import place_drawing
from inspections.drawing.svg import to_svg
from inspections.field.access import VIEW
from inspections.lookups.plain_pages import pages_of
from inspections.models import Flag
from inspections.paper.plain_page import words_too_many
from inspections.plain_lengths import TEXTS
from inspections.preferences import system_of
from inspections.refusals import tell
from inspections.rights import only_in, require
from inspections.selectors.plain_facts import weightiest_flag
from inspections.selectors.plain_pages import PlainNow, plain_now
from inspections.services.plain_pages import save_plain_page
from inventory.models import Bridge

WRITE = "inspections.write_plain_page"
EARLIER = 10
"""Versions that the page lists."""


@require_http_methods(["GET", "HEAD", "POST"])
def plain_flag(request: HttpRequest, pk: int) -> HttpResponse:
    """Show or save the page of a flag."""
    needed = [WRITE] if request.method == "POST" else []
    found = flag_for(request.user, pk, *needed)
    return _page(request, found.element.bridge, found)


@require_http_methods(["GET", "HEAD", "POST"])
def plain_bridge(request: HttpRequest, code: str) -> HttpResponse:
    """Lead to the page of the flag that matters most; that of the bridge where none is open."""
    require(request.user, VIEW, *([WRITE] if request.method == "POST" else []))
    bridge = get_object_or_404(Bridge, code=code)
    only_in(bridge.district_id)
    flag = weightiest_flag(bridge)
    if flag is not None:
        return redirect("plain-flag", flag.pk)
    return _page(request, bridge, None)


def _page(request: HttpRequest, bridge: Bridge, flag: Flag | None) -> HttpResponse:
    # What was sent stays in its language, though the reader chose another one meanwhile.
    asked = language_of(request.POST) or language_of(request.GET, "language")
    page = plain_now(bridge, flag, system_of(request), asked)
    language = page.language
    hidden = seen(page) | {"seen_language": language}
    form = PlainPageForm(initial=page.texts | hidden, language=language)
    if request.method == "POST":
        taken = request.POST.get("take", "")
        if taken in page.offers:
            texts = {each.name: request.POST.get(each.name, "") for each in TEXTS}
            texts[taken] = page.offers[taken]
            form = PlainPageForm(initial=texts | hidden, language=language)
            told = _("The new paragraph stands in its place. Nothing is saved yet.")
            messages.info(request, told)
        else:
            form = PlainPageForm(request.POST, language=language)
            if form.is_valid() and _saved(request, form, page):
                return redirect(f"{request.path}?language={page.language}")
    return _shown(request, page, form)


def _saved(request: HttpRequest, form: PlainPageForm, page: PlainNow) -> bool:
    """Save what a valid form holds; a refusal is told in it, and then it is False."""
    try:
        save_plain_page(
            bridge=page.bridge,
            flag=page.flag,
            texts=form.texts,
            facts=page.facts,
            system=system_of(request),
            language=page.language,
            user=request.user,
            seen_digest=form.cleaned_data["seen_digest"],
            seen_version=form.cleaned_data["seen_version"],
            words_too_many=words_too_many,
        )
    except ValidationError as refusal:
        tell(form, refusal)
        # What is new stands on the page now: the next attempt is made with it in sight.
        form.data = form.data.copy()
        form.data.update({name: value or "" for name, value in seen(page).items()})
        return False
    messages.success(request, _("Saved. Earlier versions are kept."))
    return True


def _shown(request: HttpRequest, page: PlainNow, form: PlainPageForm) -> HttpResponse:
    versions = list(pages_of(page.bridge, page.flag, page.language)[: EARLIER + 1])
    spoken = dict(settings.LANGUAGES)
    with override(page.language):
        drawing = to_svg(place_drawing(page.facts, page.system))
    return render(
        request,
        "plain/page.html",
        {
            "page": page,
            "flag": page.flag,
            "bridge": page.bridge,
            "form": form,
            "fields": [(form[each.name], page.offers.get(each.name, "")) for each in TEXTS],
            "texts": [(each, page.texts[each.name]) for each in TEXTS[1:]],
            "drawing": drawing,
            "languages": settings.LANGUAGES,
            "newer": [(spoken[of], at) for of, at in page.newer_elsewhere.items()],
            "earlier": [
                (each, [(of.label, each.texts[of.name]) for of in TEXTS]) for each in versions[1:]
            ],
            "may_write": request.user.has_perm(WRITE),
        },
    )
