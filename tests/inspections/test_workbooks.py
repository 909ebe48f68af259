"""Register and readings through workbooks, and workbooks that cannot be taken."""

import io
import zipfile

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.core.management.base import CommandError
from django.urls import reverse

from inspections.exchange.readings_csv import import_readings
from inspections.models import Inspection, Reading, TemperatureReading
from inventory.exchange import workbook_reading
from inventory.exchange.file_rows import csv_rows
from inventory.exchange.problems import ImportRefused
from inventory.exchange.register_csv import import_register
from inventory.exchange.workbooks import workbook_blocks, workbook_of_csv
from inventory.models import Bridge, District
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db


def saved(book: openpyxl.Workbook) -> bytes:
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def workbook(*rows, title: str = "Data") -> bytes:
    book = openpyxl.Workbook()
    book.active.title = title
    for row in rows:
        book.active.append(row)
    return saved(book)


def resaved(content: bytes) -> bytes:
    """Return a workbook as it is after someone opened and saved it."""
    return saved(openpyxl.load_workbook(io.BytesIO(content)))


def refusal(content: bytes) -> str:
    with pytest.raises(ImportRefused) as refused:
        list(csv_rows(content)[1])
    return str(refused.value)


def with_part(content: bytes, name: str, data: bytes) -> bytes:
    stream = io.BytesIO(content)
    with zipfile.ZipFile(stream, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, data)
    return stream.getvalue()


@pytest.fixture
def bridge():
    bridge = make_bridge("007")
    Bridge.objects.update(name="=1+1\tof _x000D_ «Ü»", crosses="1.50")
    joint = make_element(make_unit(bridge), "strip_seal", code="12")
    visit = make_inspection(bridge)
    read(visit, joint, "gap", 55.123, 15.0, point="left", axis="square")
    return bridge


def test_register_and_readings_come_back_from_workbooks_as_they_were(as_role, bridge):
    client = as_role("engineer")
    plain = {
        name: client.get(reverse(f"export-{name}")).getvalue() for name in ("register", "readings")
    }
    books = {name: resaved(client.get(reverse(f"export-{name}-xlsx")).getvalue()) for name in plain}
    assert import_register(text_or_file=books["register"]).updated.total() == 0
    Reading.objects.all().delete()
    TemperatureReading.objects.all().delete()
    Inspection.objects.all().delete()
    assert import_readings(books["readings"]).added > 0
    for name, before in plain.items():
        assert client.get(reverse(f"export-{name}")).getvalue() == before
        rows = [row for _, row in csv_rows(before)[1]]
        assert [row for _, row in csv_rows(books[name])[1]] == rows
    assert District.objects.count() == 1


@pytest.mark.parametrize("name", ["register", "readings"])
def test_commands_write_the_workbook_of_the_page_by_ending_or_format(
    as_role, bridge, tmp_path, name
):
    plain = as_role("engineer").get(reverse(f"export-{name}")).getvalue()
    rows = [row for _, row in csv_rows(plain)[1]]
    for options in ({"output": tmp_path / "a.XLSX"}, {"output": tmp_path / "b", "format": "xlsx"}):
        call_command(f"export_{name}", **options)
        content = options["output"].read_bytes()
        assert [row for _, row in csv_rows(content)[1]] == rows
    call_command(f"export_{name}", output=tmp_path / "c.csv")
    assert (tmp_path / "c.csv").read_bytes() == plain


@pytest.mark.parametrize("name", ["register", "readings"])
def test_commands_say_which_endings_they_write(tmp_path, name):
    with pytest.raises(CommandError, match=r"ends in \.xls, which is not written. Give a name"):
        call_command(f"export_{name}", output=tmp_path / "a.xls")
    with pytest.raises(CommandError, match=r"Give --output FILE\.xlsx"):
        call_command(f"export_{name}", format="xlsx")
    assert not list(tmp_path.iterdir())


def test_a_workbook_is_checked_and_taken_through_the_page(as_role, bridge, settings, tmp_path):
    settings.LOCAL_DIR = tmp_path
    client = as_role("engineer")
    content = client.get(reverse("export-register-xlsx")).getvalue()
    page = client.post(
        reverse("import-register"), {"file": SimpleUploadedFile("register.xlsx", content)}
    )
    assert page.context["outcome"].changes == 0


def test_cells_keep_what_was_written():
    stream = io.BytesIO()
    text = 'code,gap_mm,day,note\n007,12.5,2024-06-01,\'=1+1\n1.50,-3,1850-01-01,"a\nb"\n'
    workbook_of_csv(stream, "x", io.StringIO(text, newline=""))
    sheet = openpyxl.load_workbook(stream).active
    assert [cell.data_type for cell in sheet[2]] == ["s", "n", "d", "s"]
    assert list(csv_rows(stream.getvalue())[1]) == [
        (2, {"code": "007", "gap_mm": "12.5", "day": "2024-06-01", "note": "=1+1"}),
        (3, {"code": "1.50", "gap_mm": "-3", "day": "1850-01-01", "note": "a\nb"}),
    ]


def test_a_formula_without_a_stored_value_is_named_by_sheet_and_cell():
    content = workbook(["a", "b"], [1, "=1+1"], title="Spring")
    assert "sheet «Spring», cell B2: the formula has no stored value" in refusal(content)


def test_an_error_is_named_by_sheet_and_cell():
    assert "sheet «Data», cell A2: the cell shows the error" in refusal(workbook(["a"], ["#REF!"]))


def test_macros_are_refused():
    assert "macros" in refusal(with_part(workbook(["a"], [1]), "xl/vbaProject.bin", b"x"))


@pytest.mark.parametrize("content", [b"PK\x03\x04rest", workbook(["a"], [1])[:-200]])
def test_what_is_broken_is_refused(content):
    assert "no workbook that can be read" in refusal(content)


def test_an_archive_that_is_no_workbook_is_refused():
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("a.csv", "a,b\n")
    assert "no workbook that can be read" in refusal(stream.getvalue())


def test_a_workbook_that_unpacks_too_large_is_refused_unopened(monkeypatch):
    monkeypatch.setattr(workbook_reading, "load_workbook", None)
    monkeypatch.setattr(workbook_reading, "MOST_UNPACKED_BYTES", 2**20)
    bomb = with_part(workbook(["a"], [1]), "xl/media/x", b"\0" * 2**21)
    assert len(bomb) < 2**16
    assert "MB unpacked" in refusal(bomb)


def test_a_sheet_that_is_too_large_is_named_with_its_cell():
    book = openpyxl.Workbook()
    book.active.append(["a"])
    book.active.cell(row=2, column=workbook_reading.MOST_COLUMNS + 1, value=1)
    assert "sheet «Sheet», cell ALM2: the sheet is larger" in refusal(saved(book))


def test_a_long_workbook_begins_before_its_last_rows_are_read_and_comes_whole():
    read = []

    def rows():
        for number in range(20_000):
            read.append(number)
            yield [number, f"{number * 7919}"]

    blocks = workbook_blocks("x", ["a", "b"], rows())
    first = next(blocks)
    assert first
    assert len(read) < 10_000
    sheet = openpyxl.load_workbook(io.BytesIO(first + b"".join(blocks)), read_only=True).active
    found = list(sheet.iter_rows(values_only=True))
    assert found[1:] == [(number, f"{number * 7919}") for number in read]
    assert len(read) == 20_000


@pytest.mark.filterwarnings("error")
def test_a_workbook_that_nobody_takes_to_its_end_breaks_nothing():
    blocks = workbook_blocks("x", ["a"], ([f"{number * 7919}"] for number in range(20_000)))
    next(blocks)
    blocks.close()
