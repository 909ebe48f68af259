"""What a tablet takes along: the list, a packet for each inspection, photos."""

from __future__ import annotations

from typing import IO
from uuid import UUID

from django.http import FileResponse, Http404, HttpRequest, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils.translation import get_language
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from inspections.field.access import ENTER, VIEW, inspection_for
from inspections.field.tablet.answers import for_the_tablet
from inspections.field.tablet.shell import build
from inspections.models import Photo
from inspections.preferences import system_of
from inspections.rights import require
from inspections.selectors.packet import inspections_to_take, packet_of, user_record


@require_safe
@never_cache
@for_the_tablet
def inspection_list(request: HttpRequest) -> JsonResponse:
    """Return the open inspections that the user may take along, and whether there are more."""
    require(request.user, VIEW, ENTER)
    listed, there_are_more = inspections_to_take(request.user)
    return JsonResponse(
        {
            "user": user_record(request.user),
            "units": system_of(request).value,
            "language": get_language(),
            "inspections": listed,
            "more": there_are_more,
        }
    )


@require_safe
@never_cache
@for_the_tablet
def packet(request: HttpRequest, pk: int) -> JsonResponse:
    """Return everything that an inspection needs on site."""
    inspection = inspection_for(request.user, pk, ENTER)
    return JsonResponse(packet_of(inspection, request.user, system_of(request), build()))


@require_safe
def photo(request: HttpRequest, uid: UUID) -> FileResponse:
    """Return a photo to whoever may see its inspection."""
    return picture(_photo_for(request, uid).image)


@require_safe
def thumbnail(request: HttpRequest, uid: UUID) -> FileResponse:
    """Return a photo's thumbnail."""
    return picture(_photo_for(request, uid).thumbnail)


def _photo_for(request: HttpRequest, uid: UUID) -> Photo:
    require(request.user, VIEW)
    found = get_object_or_404(Photo, pk=uid)
    inspection_for(request.user, found.inspection_id)
    return found


def picture(file: IO[bytes]) -> FileResponse:
    """Answer with an image that whoever asked may see; 404 where its file is gone."""
    try:
        content = file.open("rb")
    except FileNotFoundError as gone:
        raise Http404 from gone
    response = FileResponse(content, content_type="image/jpeg")
    response["Cache-Control"] = "private, max-age=86400, immutable"
    response["X-Content-Type-Options"] = "nosniff"
    return response
