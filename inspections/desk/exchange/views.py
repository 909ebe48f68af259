"""Pages that take files in, with a check before anything is written, and give files out."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import IO, Any, TextIO

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import (
    FileResponse,
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseRedirect,
)
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inspections.desk.jobs.access import job_for
from inspections.exchange import uploads
from inspections.exchange.element_xml import xml_blocks
from inspections.exchange.kinds import KINDS, Kind, Untold
from inspections.exchange.readings_csv_export import write_readings
from inspections.jobs.imports import (
    MOST_SHOWN,
    ask_for_import,
    import_what_was_checked,
    is_long,
)
from inspections.models.jobs import JobKind
from inspections.rights import needs, require
from inspections.selectors.element_data import element_data
from inspections.selectors.element_data_rows import ElementRows
from inspections.selectors.jobs import jobs_to_see
from inspections.streams import as_it_comes
from inspections.tables import CONTENT_TYPES, CSV, as_download
from inventory.element_numbers import NAMES
from inventory.exchange.problems import ImportRefused
from inventory.exchange.register_csv import write_register
from inventory.exchange.workbooks import workbook_by_csv
from inventory.models import Bridge
from inventory.words import in_english


@require_safe
@needs("inspections.view_inspection")
def imports(request: HttpRequest) -> HttpResponse:
    """Everything that can come in, for those who may, and go out."""
    mine = [kind for kind in KINDS.values() if request.user.has_perm(kind.permission)]
    return render(request, "exchange/imports.html", {"kinds": mine})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("inspections.import_files")
def import_file(request: HttpRequest, kind: str) -> HttpResponse:
    """Take a file: check it first, then import it once that is confirmed."""
    chosen = KINDS[kind]
    require(request.user, chosen.permission)
    if "confirm" in request.POST:
        return _confirmed(request, chosen)
    form = chosen.form(
        request.POST or None,
        request.FILES or None,
        user=request.user,
        initial=_said_before(request, chosen),
    )
    context: dict[str, Any] = {"kind": chosen, "form": form}
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        if is_long(file.size):
            return _as_job(request, chosen, file.name, file.read(), form.options, dry_run=True)
        context |= _checked(request, chosen, file, form.options)
    return render(request, "exchange/import.html", context)


def _checked(
    request: HttpRequest, kind: Kind, file: Any, options: dict[str, Any]
) -> dict[str, Any]:
    """Return what the import would do, or what is wrong; a good file waits for its word."""
    content = file.read()
    try:
        outcome = in_english(kind.run)(content, options, True, request.user, Untold())
    except ImportRefused as refused:
        uploads.forget(request.session, kind.name)
        return _problems(file.name, refused)
    upload = None
    if outcome.changes:
        upload = uploads.keep(
            request.session, kind.name, name=file.name, options=options, content=content
        )
    return {"outcome": outcome, "upload": upload, "file_name": file.name, "most": MOST_SHOWN}


def _confirmed(request: HttpRequest, kind: Kind) -> HttpResponse:
    upload = uploads.kept(request.session, kind.name, request.POST["confirm"])
    if upload is None:
        messages.error(
            request,
            _(
                "Nothing was imported: the checked file is no longer here, because another was"
                " checked since or a day went by. Choose it again."
            ),
        )
        return redirect(f"import-{kind.name}")
    if is_long(len(upload.content)):
        uploads.forget(request.session, kind.name)
        return _as_job(request, kind, upload.name, upload.content, upload.options, dry_run=False)
    try:
        outcome = in_english(kind.run)(
            upload.content, upload.options, False, request.user, Untold()
        )
    except ImportRefused as refused:
        # The ledger has changed since the check.
        form = kind.form(user=request.user)
        context = {"kind": kind, "form": form, **_problems(upload.name, refused)}
        return render(request, "exchange/import.html", context)
    uploads.forget(request.session, kind.name)
    messages.success(
        request,
        _("%(name)s is imported; %(in_short)s.")
        % {"name": upload.name, "in_short": outcome.in_short},
    )
    for address, words in kind.steps(upload.options):
        messages.info(request, format_html('<a href="{}">{}</a>', address, words))
    return redirect("imports")


def _as_job(
    request: HttpRequest,
    kind: Kind,
    file_name: str,
    content: bytes,
    options: dict[str, Any],
    *,
    dry_run: bool,
) -> HttpResponse:
    """Have a file checked or taken in by a job, and lead to its page."""
    job = ask_for_import(
        kind=kind,
        file_name=file_name,
        content=content,
        options=options,
        dry_run=dry_run,
        user=request.user,
    )
    return HttpResponseRedirect(reverse("job", args=[job.pk]), status=303)


@require_POST
@needs("inspections.import_files")
def import_checked(request: HttpRequest, pk: int) -> HttpResponse:
    """Take in the file that a job has checked."""
    checked = job_for(request.user, pk)
    try:
        job = import_what_was_checked(checked=checked, user=request.user)
    except ValidationError as refusal:
        messages.error(request, refusal.messages[0])
        job = checked
    return redirect("job", job.pk)


def _said_before(request: HttpRequest, kind: Kind) -> dict[str, Any]:
    """Return what was said about the file of a job that the address names, to be mended."""
    number = request.GET.get("job", "")
    if not number.isdecimal():
        return {}
    job = jobs_to_see(request.user).filter(pk=number, kind=JobKind.IMPORT).first()
    if job is None or job.parameters["of"] != kind.name:
        return {}
    return job.parameters["options"]


def _problems(file_name: str, refused: ImportRefused) -> dict[str, Any]:
    return {
        "file_name": file_name,
        "problems": refused.problems[:MOST_SHOWN],
        "problem_count": len(refused.problems),
        "more_problems": max(0, len(refused.problems) - MOST_SHOWN),
    }


@require_safe
@needs("inspections.import_files")
def import_columns(request: HttpRequest, kind: str) -> HttpResponse:
    """Documented columns of a kind of file."""
    chosen = _kind_or_404(kind)
    return render(
        request, "exchange/columns.html", {"kind": chosen, "columns": in_english(_columns)(chosen)}
    )


def _columns(kind: Kind) -> list[list[str]]:
    """Return the columns of a kind of file in the words of the file."""
    return [[f"{cell}" for cell in row] for row in kind.columns()]


@require_safe
@needs("inspections.import_files")
def import_template(request: HttpRequest, kind: str) -> HttpResponse:
    """Give a sample file with every column."""
    chosen = _kind_or_404(kind)
    return _download(
        f"{chosen.name}-sample.{chosen.suffix}", lambda stream: stream.write(chosen.template())
    )


@require_safe
@needs("inspections.view_inspection")
def export_register(request: HttpRequest, kind: str = CSV) -> HttpResponse:
    """Give the register, or that of one bridge."""
    bridges = _bridges(request)
    return _csv_or_workbook("register", kind, lambda stream: write_register(stream, bridges))


@require_safe
@needs("inspections.view_inspection")
def export_readings(request: HttpRequest, kind: str = CSV) -> HttpResponse:
    """Give all readings and temperatures, or those of one bridge."""
    bridges = _bridges(request)
    return _csv_or_workbook(
        "readings", kind, lambda stream: write_readings(stream, bridges.iterator())
    )


@require_safe
@needs("inspections.view_inspection")
def element_data_out(request: HttpRequest) -> HttpResponse:
    """What the element data of all bridges, or of one, holds and lacks; the file itself beside."""
    found = element_data(_bridges(request) if "bridge" in request.GET else None)
    mine = [row for row in found.rows if row.element in NAMES]
    context = {
        "rows": [(row, NAMES[row.element]) for row in mine[:MOST_SHOWN]],
        "own": len(mine),
        "more": max(0, len(mine) - MOST_SHOWN),
        "others": len(found.rows) - len(mine),
        "notices": found.notices,
    }
    return render(request, "exchange/element_data.html", context)


@require_safe
@needs("inspections.view_inspection")
def export_element_data(request: HttpRequest) -> HttpResponseBase:
    """Give national bridge element data of all bridges, or of one."""
    bridges = _bridges(request) if "bridge" in request.GET else None
    blocks = xml_blocks(ElementRows(bridges))
    return as_it_comes("element-data.xml", CONTENT_TYPES["xml"], blocks)


def _kind_or_404(name: str) -> Kind:
    if name not in KINDS:
        raise Http404(f"There is no file of the kind {name}.")
    return KINDS[name]


def _bridges(request: HttpRequest) -> QuerySet[Bridge]:
    bridges = Bridge.objects.order_by("code")
    if code := request.GET.get("bridge"):
        return bridges.filter(pk=get_object_or_404(bridges, code=code).pk)
    return bridges


def _csv_or_workbook(name: str, kind: str, write: Callable[[TextIO], int]) -> FileResponse:
    """Return one of our CSV formats as it is, or as a workbook of the same columns."""
    if kind == CSV:
        return _download(f"{name}.csv", write)
    return as_download(f"{name}.{kind}", lambda file: workbook_by_csv(file, name, write))


def _download(name: str, write: Callable[[TextIO], object]) -> FileResponse:
    """Return a file of text to keep."""

    def as_utf_8(file: IO[bytes]) -> None:
        stream = io.TextIOWrapper(file, encoding="utf-8", newline="", write_through=True)
        write(stream)
        stream.detach()

    return as_download(name, as_utf_8)
