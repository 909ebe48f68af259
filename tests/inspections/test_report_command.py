"""``manage.py report``: the file, what it refuses and how it says so."""

import pytest
from django.core.management import CommandError, call_command, execute_from_command_line
from pypdf import PdfReader

from inspections.models import Verdict
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def bridge():
    """Return a bridge with one element that was never read."""
    made = make_bridge(code="T-101")
    make_element(make_unit(made), code="B-1")
    return made


def test_it_writes_the_report_and_says_where(bridge, tmp_path, capsys):
    path = tmp_path / "t-101.pdf"
    call_command("report", "T-101", output=path)
    assert "B-1" in " ".join(page.extract_text() for page in PdfReader(path).pages)
    assert str(path) in capsys.readouterr().out
    assert list(tmp_path.iterdir()) == [path]


def test_units_and_paper_go_together_unless_asked_otherwise(bridge, tmp_path):
    def size(*options: str) -> int:
        path = tmp_path / "x.pdf"
        call_command("report", "T-101", "--output", str(path), *options)
        return round(PdfReader(path).pages[0].mediabox.height)

    assert size() == 842
    assert size("--units", "us") == 792
    assert size("--units", "us", "--page", "a4") == 842
    assert size("--page", "letter") == 792


def test_a_code_that_is_not_known_is_answered_with_those_near_it(bridge, tmp_path):
    with pytest.raises(CommandError, match=r"no bridge has the code «T-10l»\. .*T-101") as error:
        call_command("report", "T-10l", output=tmp_path / "x.pdf")
    assert error.value.returncode == 2
    assert list(tmp_path.iterdir()) == []


def test_a_folder_as_output_is_refused_with_the_remedy(bridge, tmp_path):
    with pytest.raises(CommandError, match=r"is a folder\. Give the name of a file") as error:
        call_command("report", "T-101", output=tmp_path)
    assert error.value.returncode == 1


def test_a_folder_that_does_not_exist_is_named(bridge, tmp_path):
    with pytest.raises(CommandError, match=r"the folder .*nowhere does not exist"):
        call_command("report", "T-101", output=tmp_path / "nowhere" / "x.pdf")


def test_a_file_that_cannot_be_written_is_said_with_its_cause(bridge, tmp_path):
    with pytest.raises(CommandError, match=r"cannot be written \(File name too long\)"):
        call_command("report", "T-101", output=tmp_path / ("x" * 300 + ".pdf"))


def test_missing_arguments_end_with_code_2(capsys):
    with pytest.raises(SystemExit) as stop:
        execute_from_command_line(["manage.py", "report"])
    assert stop.value.code == 2
    assert "CODE" in capsys.readouterr().err


def test_a_report_that_fails_leaves_the_earlier_file_as_it_was(bridge, tmp_path):
    path = tmp_path / "kept.pdf"
    path.write_bytes(b"the earlier report")
    element = bridge.elements.get()
    read(make_inspection(bridge), element, "offset_along", 3.0, 10.0)
    # A quantity that the product does not know stops the printing half-way.
    Verdict.objects.filter(element=element).update(quantity="no_such")
    with pytest.raises(ValueError, match="no_such"):
        call_command("report", "T-101", output=path)
    assert path.read_bytes() == b"the earlier report"
    assert list(tmp_path.iterdir()) == [path]
