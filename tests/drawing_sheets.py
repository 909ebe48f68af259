"""Files of drawings as somebody may send them, harmless and not."""

from __future__ import annotations

import io
import zlib

import pikepdf
from PIL import Image, ImageDraw
from reportlab.pdfgen import canvas

A1_PT = (2384, 1684)


def sheets(count: int = 2, size: tuple[int, int] = A1_PT) -> bytes:
    """Return a PDF whose sheets name themselves."""
    out = io.BytesIO()
    pdf = canvas.Canvas(out, pagesize=size, invariant=1)
    for number in range(1, count + 1):
        pdf.drawString(100, 100, f"Bearing schedule, sheet {number}")
        pdf.line(50, 50, 500, 50)
        pdf.showPage()
    pdf.save()
    return out.getvalue()


def changed(sent: bytes, change) -> bytes:
    """Return a PDF after ``change`` was made to it."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(sent)) as pdf:
        change(pdf)
        pdf.save(out)
    return out.getvalue()


def acting(pdf: pikepdf.Pdf) -> None:
    """Hang on a PDF what acts when it is opened, and what it carries along."""
    script = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert('opened')")
    pdf.Root.OpenAction = script
    pdf.Root.AA = pikepdf.Dictionary(WC=script)
    page = pdf.pages[0]
    page.obj.AA = pikepdf.Dictionary(O=script)
    link = pikepdf.Dictionary(
        Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Link, Rect=[0, 0, 50, 50],
        A=pikepdf.Dictionary(S=pikepdf.Name.URI, URI="https://away.example"),
    )  # fmt: skip
    page.obj.Annots = pdf.make_indirect(pikepdf.Array([pdf.make_indirect(link)]))
    pdf.attachments["program.exe"] = b"a program"


def stamped(pdf: pikepdf.Pdf) -> None:
    """Put a stamp on the first sheet, as reviewers do: a note that shows itself."""
    look = pdf.make_stream(b"BT /F1 24 Tf 10 10 Td (AS BUILT) Tj ET")
    look.Type, look.Subtype, look.BBox = (
        pikepdf.Name.XObject, pikepdf.Name.Form, pikepdf.Array([0, 0, 200, 50]),
    )  # fmt: skip
    look.Resources = pikepdf.Dictionary(
        Font=pikepdf.Dictionary(
            F1=pikepdf.Dictionary(
                Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1,
                BaseFont=pikepdf.Name.Helvetica,
            )
        )
    )  # fmt: skip
    stamp = pikepdf.Dictionary(
        Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Stamp, Rect=[300, 300, 500, 350],
        F=4, AP=pikepdf.Dictionary(N=look),
    )  # fmt: skip
    pdf.pages[0].obj.Annots = pikepdf.Array([pdf.make_indirect(stamp)])


def layered(pdf: pikepdf.Pdf) -> None:
    """Give a PDF a layer that is off, as CAD programs write them."""
    layer = pdf.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name="Earlier design"))
    pdf.Root.OCProperties = pikepdf.Dictionary(
        OCGs=[layer], D=pikepdf.Dictionary(ON=[], OFF=[layer])
    )
    pdf.pages[0].obj.Resources.Properties = pikepdf.Dictionary(L1=layer)


def unpacking_to(size: int):
    """Return a change that adds a stream of zeros, tiny when packed."""

    def change(pdf: pikepdf.Pdf) -> None:
        packer, packed, piece = zlib.compressobj(9), [], b"\0" * 2**20
        for _ in range(size // 2**20):
            packed.append(packer.compress(piece))
        packed.append(packer.flush())
        stream = pdf.make_stream(b"")
        stream.write(b"".join(packed), filter=pikepdf.Name.FlateDecode)
        pdf.pages[0].obj.Contents = stream

    return change


def with_a_picture_of(width: int, height: int):
    """Return a change that puts a picture on the first sheet which claims a size."""

    def change(pdf: pikepdf.Pdf) -> None:
        picture = pdf.make_stream(b"\0")
        picture.Type, picture.Subtype = pikepdf.Name.XObject, pikepdf.Name.Image
        picture.Width, picture.Height = width, height
        picture.ColorSpace, picture.BitsPerComponent = pikepdf.Name.DeviceGray, 8
        pdf.pages[0].obj.Resources.XObject = pikepdf.Dictionary(P=picture)

    return change


def with_a_program(pdf: pikepdf.Pdf) -> None:
    """Put a PostScript program where a picture would be."""
    program = pdf.make_stream(b"(x) print")
    program.Type, program.Subtype = pikepdf.Name.XObject, pikepdf.Name.PS
    pdf.pages[0].obj.Resources.XObject = pikepdf.Dictionary(P=program)


def protected(password: str) -> bytes:
    """Return a PDF that opens by a password, an empty one perhaps."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(sheets())) as pdf:
        pdf.save(out, encryption=pikepdf.Encryption(owner="owner", user=password))
    return out.getvalue()


def scan(kind: str, mode: str = "L", size: tuple[int, int] = (600, 400), **more) -> bytes:
    """Return a scanned sheet with one line on it."""
    picture = Image.new(mode, size, {"RGBA": (0, 0, 0, 0), "RGB": "white"}.get(mode, 255))
    ImageDraw.Draw(picture).line((10, 10, 500, 10), fill=0 if mode in ("1", "L") else "black")
    out = io.BytesIO()
    picture.save(out, kind, **more)
    return out.getvalue()
