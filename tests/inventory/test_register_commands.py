"""The commands for register files: what they print, and how they end."""

import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from inventory.exchange.columns import COLUMNS
from inventory.models import Bridge, Installation
from tests.inventory.register_file import BRIDGE, DISTRICT, UNIT, WHOLE, exported, file_of
from tests.make import make_bridge

pytestmark = pytest.mark.django_db

ROOT = Path(__file__).parents[2]
NBI = ROOT / "tests" / "data" / "nbi_sample.csv"


def run(*arguments) -> str:
    out = StringIO()
    call_command(*map(str, arguments), stdout=out)
    return out.getvalue()


@pytest.fixture
def register(tmp_path):
    path = tmp_path / "register.csv"
    path.write_text(file_of(*WHOLE), encoding="utf-8")
    return path


def test_an_import_tells_what_it_did(register):
    text = run("import_register", register)
    assert text.startswith("Imported:\n  district          1 created      0 updated")
    assert Bridge.objects.get().code == "N-1"


def test_a_dry_run_says_so_and_writes_nothing(register):
    text = run("import_register", register, "--dry-run")
    assert text.startswith("Dry run, nothing written. It would be:\n")
    assert not Bridge.objects.exists()


def test_a_refused_file_ends_with_one_and_all_its_problems(tmp_path):
    path = tmp_path / "bad.csv"
    rows = [{**UNIT, "unit_code": f"U{n}", "deck_type": "wood"} for n in range(300)]
    path.write_text(file_of(DISTRICT, BRIDGE, *rows), encoding="utf-8")
    with pytest.raises(CommandError) as caught:
        run("import_register", path)
    assert caught.value.returncode == 1
    text = str(caught.value)
    assert "nothing was imported; 300 problems" in text
    assert "line 4, column deck_type" in text
    assert "... and 100 more." in text


@pytest.mark.parametrize(
    ("make", "expected"),
    [
        (lambda path: None, "No such file"),
        (lambda path: path.mkdir(), "Is a directory"),
        (lambda path: path.write_bytes(b""), "The file is empty"),
        (lambda path: path.write_bytes(b"record\n\xff\n"), "not UTF-8"),
    ],
    ids=["missing", "directory", "empty", "not text"],
)
def test_a_file_that_cannot_be_read_is_told_plainly(make, expected, tmp_path):
    path = tmp_path / "register.csv"
    make(path)
    with pytest.raises(CommandError, match=expected):
        run("import_register", path)


def test_national_inventory_rows_are_known_by_their_header():
    text = run("import_register", NBI, "--skip-bad-rows")
    assert "bridge           23 created" in text
    assert "Left out, because they cannot be taken (2):\n  line 18, column LONG_017" in text
    assert "Worth a look (3):" in text


def test_national_inventory_rows_are_refused_whole_unless_bad_ones_may_be_skipped():
    with pytest.raises(CommandError, match="2 problems"):
        run("import_register", NBI)
    assert not Bridge.objects.exists()


def test_bad_rows_of_a_register_file_cannot_be_skipped(register):
    with pytest.raises(CommandError) as caught:
        run("import_register", register, "--skip-bad-rows")
    assert caught.value.returncode == 2


def test_the_table_of_columns_names_each_with_its_unit_and_who_needs_it():
    text = run("import_register", "--columns")
    assert text.startswith("ledger-register/1\n")
    for column in COLUMNS:
        assert f"\n{column.name} " in text
    assert "[1/degC]   rows: unit; needed: yes" in text


def test_the_template_is_a_file_that_can_be_imported(tmp_path):
    path = tmp_path / "template.csv"
    run("import_register", "--template", path)
    assert "installation      2 created" in run("import_register", path)
    assert {row.device_type for row in Installation.objects.all()} == {"pot", "strip_seal"}


def test_an_export_goes_to_the_terminal_or_to_a_file(tmp_path):
    make_bridge("B-1")
    assert run("export_register") == exported()
    path = tmp_path / "out.csv"
    assert run("export_register", "--output", path) == f"2 rows written to {path}.\n"
    assert path.read_text(encoding="utf-8") == exported()


def test_an_export_of_an_unknown_bridge_names_the_nearest():
    make_bridge("B-101")
    with pytest.raises(CommandError, match="Did you mean B-101") as caught:
        run("export_register", "--bridge", "B-10")
    assert caught.value.returncode == 2


def test_an_export_that_cannot_be_written_says_so(tmp_path):
    with pytest.raises(CommandError, match="cannot be written"):
        run("export_register", "--output", tmp_path / "missing" / "out.csv")


@pytest.mark.parametrize("arguments", [["import_register"], ["import_register", "--nonsense"]])
def test_wrong_arguments_end_with_two(arguments, tmp_path):
    ended = subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        capture_output=True,
        env={"PATH": "", "LEDGER_DIR": str(tmp_path)},
        check=False,
    )
    assert ended.returncode == 2
    assert b"usage" in ended.stderr
