"""Every command of the product that a document tells runs as it stands there.

All are run on one site, the demo's; each is undone after it.
"""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

import pytest
from django.core.management import get_commands, load_command_class
from django.core.management.commands import runserver
from django.db import transaction
from django.test import override_settings
from django_tasks_db.management.commands import db_worker

from tests.told_commands import EVERY, ROOT, TOLD
from tests.told_rows import ALONE, COLUMNS, IMPORTS, ROWS, filled, run, runs_of

pytestmark = pytest.mark.django_db
RUNS = runs_of(ROWS)


@pytest.fixture(scope="module")
def site(django_db_setup, django_db_blocker, tmp_path_factory) -> Iterator[Path]:
    """The demo's site, and its folder with the files that commands write and read."""
    folder = tmp_path_factory.mktemp("site")
    places = {"LOCAL_DIR": folder, "REPORT_DIR": folder / "reports"}
    places |= {"MEDIA_ROOT": folder / "files", "STATIC_ROOT": folder / "static"}
    with django_db_blocker.unblock(), transaction.atomic(), override_settings(**places):
        run("demo --no-serve")
        for name in IMPORTS:
            run(f"{name} --template {folder / name}")
        yield folder
        transaction.set_rollback(True)


@pytest.fixture(autouse=True)
def served(monkeypatch):
    """Ask for no password, serve no pages, and keep the connection of the test."""
    monkeypatch.setenv("DJANGO_SUPERUSER_USERNAME", "first")
    monkeypatch.setenv("DJANGO_SUPERUSER_EMAIL", "first@ledger.example")
    monkeypatch.setenv("DJANGO_SUPERUSER_PASSWORD", "seven quiet bridges at dusk")
    with (
        patch.object(runserver.Command, "run") as asked,
        patch.object(db_worker, "close_old_connections"),
    ):
        yield asked


@pytest.mark.parametrize("command", RUNS)
def test_a_command_that_is_told_runs(command, site, settings):
    row = RUNS[command]
    if row.workers:
        settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    for path in site.glob("new.*"):
        path.unlink()
    for each in row.before:
        run(filled(each, row, site))
    if row.own_process:
        said = in_a_process(command, row.own_process | {"LEDGER_DIR": str(site)})
    else:
        said = run(filled(command, row, site))
    assert re.search(row.says, said, re.DOTALL | re.MULTILINE), said
    if str(site / "new.") in filled(command, row, site):
        assert [path.stat().st_size > 100 for path in site.glob("new.*")] == [True]


def in_a_process(command: str, variables: dict[str, str]) -> str:
    done = subprocess.run(
        [sys.executable, "manage.py", *command.split(" ")],
        cwd=ROOT, env=os.environ | variables, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout + done.stderr


def test_the_commands_that_serve_do_so_on_the_address_that_is_told(site, served):
    for command in ("runserver --noreload", "demo"):
        served.reset_mock()
        run(command)
        served.assert_called_once()


@pytest.mark.parametrize("name", IMPORTS)
def test_each_import_documents_its_columns(name):
    assert re.search(COLUMNS.says, run(f"{name} --columns"))


def commands_in_the_table_of_the_readme() -> list[str]:
    return sorted({each.split(" ")[1] for each in TOLD["README.md"] if "manage.py" in each})


@pytest.mark.parametrize("name", commands_in_the_table_of_the_readme())
def test_the_help_of_each_command_of_the_readme_says_what_it_does(name):
    does = load_command_class(get_commands()[name], name).help.split()
    assert len(does) > 3
    assert " ".join(does[:8]) in " ".join(run(f"{name} --help").split())


def test_the_table_holds_the_commands_that_the_documents_tell():
    told = {each.split("manage.py ")[1] for each in EVERY if "manage.py " in each}
    assert told == {*ROWS, *ALONE}
