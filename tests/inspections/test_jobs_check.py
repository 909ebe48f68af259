"""A site that is told to use workers and cannot does not start in silence."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core import checks

from inspections.checks import check_workers

ROOT = Path(__file__).resolve().parents[2]


def told(tmp_path, **more: str) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, "manage.py", "check"],
        cwd=ROOT,
        env=os.environ | {"LEDGER_DIR": str(tmp_path)} | more,
        capture_output=True,
        text=True,
        check=False,
    )


def test_without_workers_nothing_is_asked_of_the_backend(settings):
    settings.WORKERS = False
    assert check_workers() == []


def test_workers_need_a_backend_that_hands_jobs_over(settings, db):
    settings.WORKERS = True
    settings.TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}
    assert "inspections.E001" in {each.id for each in check_workers()}
    settings.TASKS = {"default": {"BACKEND": "no.such.Backend"}}
    [error] = [each for each in check_workers() if each.id == "inspections.E001"]
    assert error.level == checks.ERROR
    assert "LEDGER_WORKERS=0" in error.hint


def test_workers_need_a_database_that_they_reach(tmp_path):
    answer = told(tmp_path, LEDGER_WORKERS="1", DATABASE_URL="sqlite://:memory:")
    assert answer.returncode != 0
    assert "no worker finds a job" in answer.stderr
    assert told(tmp_path, LEDGER_WORKERS="1").returncode == 0


@pytest.mark.parametrize("value", ["4", "yes", ""])
def test_a_number_of_workers_is_not_taken_for_yes_or_no(tmp_path, value):
    answer = told(tmp_path, LEDGER_WORKERS=value)
    assert answer.returncode != 0
    assert "LEDGER_WORKERS is" in answer.stderr
