"""Copy a PDF page by page, without anything in it that acts: run as a process of its own.

Takes the most pages there may be, reads the file from standard input and writes the copy to
standard output. A file that is refused ends it with `REFUSED` and two lines on standard error: what
is wrong, and the remedy. Whoever sent the file may have made it to harm what reads it, so the
process gives up memory and time first.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator

import pikepdf

REFUSED = 3
LARGEST_PIXELS = 60_000_000
LARGEST_STREAM_BYTES = 64 * 1024 * 1024
MEMORY_BYTES = 1536 * 1024 * 1024
PROCESSOR_S = 30
PAGE_KEYS = {
    "/Type", "/Parent", "/MediaBox", "/CropBox", "/BleedBox", "/TrimBox", "/ArtBox", "/Rotate",
    "/UserUnit", "/Resources", "/Contents", "/Group",
}  # fmt: skip
"""What a page needs to be drawn; links, scripts, notes and what else hangs on it is left behind."""
ACTING_KEYS = (
    "/AA", "/A", "/OpenAction", "/JS", "/JavaScript", "/EF", "/EmbeddedFiles", "/AF", "/RichMedia",
    "/XFA", "/OPI", "/Alternates", "/Metadata", "/PieceInfo", "/StructParent", "/StructParents",
)  # fmt: skip
OUTSIDE_KEYS = ("/F", "/FFilter", "/FDecodeParms", "/Ref")
"""By these a stream lies in another file, or shows a page of one."""


class RefusedError(Exception):
    """The file cannot be taken: what is wrong, and the remedy."""


def copied(sent: bytes, most_pages: int) -> tuple[bytes, int]:
    """Return the copy of a PDF, and the number of its pages."""
    try:
        # What was cut short would be mended with empty pages: nobody would see that they lack.
        with pikepdf.open(io.BytesIO(sent), attempt_recovery=False) as source:
            return _copy(source, most_pages)
    except pikepdf.PasswordError as error:
        raise RefusedError("is protected by a password", "Save it without protection") from error
    except (pikepdf.PdfError, pikepdf.ForeignObjectError, ValueError, TypeError, KeyError,
            AttributeError, IndexError, RecursionError, OverflowError) as error:  # fmt: skip
        raise RefusedError("is no PDF that can be read", "Save it anew as a PDF") from error


def _copy(source: pikepdf.Pdf, most_pages: int) -> tuple[bytes, int]:
    if source.is_encrypted:
        raise RefusedError("is protected", "Save it without protection")
    count = len(source.pages)
    if not 1 <= count <= most_pages:
        raise RefusedError(f"has {count} pages, not 1 to {most_pages}", "Split it")
    # Stamps such as «as built» are notes on the page: they are drawn into it, then left behind.
    source.generate_appearance_streams()
    source.flatten_annotations()
    copy = pikepdf.new()
    for page in source.pages:
        copy.pages.append(page)
    for page in copy.pages:
        for key in set(page.obj.keys()) - PAGE_KEYS:
            del page.obj[key]
    layers = source.Root.get("/OCProperties")
    if layers is not None:  # without them, layers that were off would be on
        copy.Root.OCProperties = copy.copy_foreign(source.make_indirect(layers))
    whole = io.BytesIO()
    # What nothing leads to any more is left behind only when it is written.
    copy.save(whole, deterministic_id=True)  # its first half is kept by the second writing
    with pikepdf.open(whole) as clean:
        for each in _things(clean):
            _disarm(each)
        out = io.BytesIO()
        clean.save(
            out,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
            compress_streams=True,
            deterministic_id=True,
        )
    return out.getvalue(), count


def _things(pdf: pikepdf.Pdf) -> Iterator[pikepdf.Object]:
    """Return every dictionary and stream, those within others too."""
    waiting = list(pdf.objects)
    while waiting:
        each = waiting.pop()
        if isinstance(each, pikepdf.Dictionary | pikepdf.Stream):
            yield each
            waiting += [within for _key, within in each.items() if not _apart(within)]
        elif isinstance(each, pikepdf.Array):
            waiting += [within for within in each if not _apart(within)]


def _apart(value: object) -> bool:
    """Return whether a value is no part of what names it: a plain one, or one listed itself."""
    return not isinstance(value, pikepdf.Object) or value.is_indirect


def _disarm(each: pikepdf.Object) -> None:
    """Take out of a dictionary or stream what acts or leads outside; refuse what is too large."""
    stream = isinstance(each, pikepdf.Stream)
    for key in ACTING_KEYS + (OUTSIDE_KEYS if stream else ()):
        if key in each:
            del each[key]
    if not stream:
        return
    if each.get("/Subtype") == "/PS":
        raise RefusedError("holds a PostScript program", "Save it anew as a PDF")
    if each.get("/Subtype") == "/Image":
        if int(each.get("/Width", 0)) * int(each.get("/Height", 0)) > LARGEST_PIXELS:
            raise RefusedError(
                f"holds a picture of more than {LARGEST_PIXELS // 10**6} million pixels",
                "Scan it with fewer dots",
            )
        return
    try:
        size = len(each.read_bytes())
    except (pikepdf.PdfError, MemoryError):
        size = None
    if size is None or size > LARGEST_STREAM_BYTES:
        raise RefusedError("is damaged, or unpacks to more than can be read", "Save it anew")


def _give_up_memory_and_time() -> None:
    try:
        import resource
    except ImportError:  # this system has no such limits: the time that is waited remains
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (PROCESSOR_S, PROCESSOR_S))


def main() -> int:
    """Copy from input to output; the number of pages goes to standard error."""
    _give_up_memory_and_time()
    try:
        copy, count = copied(sys.stdin.buffer.read(), int(sys.argv[1]))
    except RefusedError as refusal:
        sys.stderr.write("\n".join(refusal.args))
        return REFUSED
    sys.stdout.buffer.write(copy)
    sys.stderr.write(f"{count}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
