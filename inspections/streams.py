"""Files that go out while they are made."""

from __future__ import annotations

import io
from collections.abc import Iterator
from itertools import chain

from django.http import FileResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.utils import translation
from django.utils.http import content_disposition_header

from inventory.scoping import same_scope


def as_it_comes(name: str, content_type: str, blocks: Iterator[bytes]) -> HttpResponseBase:
    """Return a file to keep, which goes out block by block.

    What is wrong before the second block is told as of any page, and a short file is sent whole
    with its length.  If a later block fails the line is cut, so that no half file passes for whole.
    """
    first, second = next(blocks, b""), next(blocks, None)
    if second is None:
        return FileResponse(
            io.BytesIO(first), as_attachment=True, filename=name, content_type=content_type
        )
    disposition = content_disposition_header(as_attachment=True, filename=name)
    return StreamingHttpResponse(
        chain((first, second), as_asked(blocks)),
        content_type=content_type,
        headers={"Content-Disposition": disposition},
    )


def as_asked(blocks: Iterator[bytes]) -> Iterator[bytes]:
    """Yield blocks in the districts and the language in which they are asked for now.

    Both end with the view, before the server asks for the body.  They hold while a block is made
    and not between blocks, when the thread may do something else.
    """
    scope, language = same_scope(), translation.get_language()

    def following() -> Iterator[bytes]:
        while True:
            with scope(), translation.override(language):
                block = next(blocks, None)
            if block is None:
                return
            yield block

    return following()
