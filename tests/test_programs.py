"""Every other program that a document tells takes what stands there.

Each is run in the cheapest way that is still true, which the table names: for good, with its sizes
made small; for good, on files of its own; as far as its arguments, where it works for minutes or
builds a site of its own (the suite has a small version of most of these); or, where not even its
arguments can be tried, as far as that it is there.
"""

import argparse
import importlib.util
import json
import os
import re
import runpy
import shlex
import shutil
import subprocess
import sys
import time
import tomllib
from pathlib import Path
from unittest.mock import patch
from urllib.parse import urlsplit

import pytest

from tests.postgresql.cluster import cluster, tools
from tests.told_commands import CODE, DOCUMENTS, EVERY, ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))

RUN_SMALL = {
    "python -m tests.simulation --units 4000",
    "python -m tests.simulation --units 4000 --no-reference --unsure",
    "python -m tests.simulation --untold",
    "python -m tests.simulation --units 1000 --plan late",
    "python -m tests.simulation.limits --units 1000",
    "python -m tests.simulation.limits --units 2000",
}
"""Pure computing: run for good, with one unit; what then is the same is run once."""

ARGUMENTS_ONLY = {
    "python -m tests.bad_inputs --examples 20000",
    "python -m tests.benchmarks",
    "python -m tests.benchmarks.assess --elements 2500",
    "python -m tests.benchmarks.assess --postgresql",
    "python -m tests.benchmarks.assess",
    "python -m tests.benchmarks.crowd --users 50 --minutes 5",
    "python -m tests.benchmarks.csv_import --postgresql",
    "python -m tests.benchmarks.csv_import --rows 100000",
    "python -m tests.benchmarks.csv_import",
    "python -m tests.benchmarks.register --elements 100000",
    "python -m tests.benchmarks.report --elements 1000",
    "python -m tests.benchmarks.report",
    "python -m tests.benchmarks.slow_line",
    "python -m tests.benchmarks.sync --postgresql",
    "python -m tests.benchmarks.sync",
    "python -m tests.benchmarks.workers --times 1",
    "python -m tests.benchmarks.workers --visits 25",
    "python -m tests.benchmarks.workers",
    "python -m tests.faults --kills 100",
    "python -m tests.faults --postgresql",
    "python -m tests.soak --inspections 200 --readings 40 --photos 3 --tablets 8",
    "python -m tests.soak --postgresql",
}
"""Each makes a site, mostly on servers of its own: a migration alone takes seconds."""

THERE_ONLY = {
    "python -m tests.benchmarks.desk": "makes 2,000 elements and takes no arguments",
    "python -m tests.benchmarks.memory": "measures with all processors for a quarter of a minute",
    "python -m tests.browser.make_pictures": "takes the pictures of the README anew",
    "python -m tests.postgresql": "runs this suite",
    "python -m tests.postgresql --whole": "runs this suite",
}

WRITES_WHAT_IS_KEPT = {
    "python -m fixtures.make_golden",
    "python -m fixtures.make_house",
    "python -m fixtures.make_languages",
}
"""Run for good, but what they would write is compared with what is there."""

INSTALLS = {"pip install -q .", "pip install '.[postgresql]'", 'pip install ".[serve,postgresql]"'}
"""The suite runs in what they have installed; what they name is looked up."""

QUICK = {
    "pip check",
    'python -c "import secrets; print(secrets.token_urlsafe(60))"',
    "python -m venv .venv",
}
"""Run for good, in an empty folder."""

ON_POSTGRESQL = [
    "psql -c \"CREATE ROLE ledger LOGIN PASSWORD 'one of your own'\"",
    "createdb --owner ledger --encoding UTF8 ledger",
]
"""Run for good, one after the other, on a server of the test's own."""

SERVES = (
    "gunicorn inspections.project.wsgi --bind 127.0.0.1:8000 --worker-class gthread --workers 3"
    " --threads 3 --timeout 120"
)
ASKS = 'curl -H "Host: ledger.example" http://127.0.0.1:8000/readyz'

SHELL = {
    "set -a", "set +a", ". /etc/ledger.env", "cat /etc/ledger.env",
    "export LEDGER_DIR=~/my-ledger", "sh tests/run",
}  # fmt: skip
"""The shell's own, and the suite itself: what they stand in is read by a shell, and not run."""

ELSEWHERE = {
    "mypy --strict": "run by tests/run, as pyproject.toml tells it",
    "pip-audit --strict": "asks an advisory database, and the suite runs without a network",
}


def python(command: str, folder: Path) -> str:
    words = shlex.split(command)
    program = [sys.executable] if words[0] == "python" else [sys.executable, "-m", words[0]]
    done = subprocess.run(
        [*program, *words[1:]], cwd=folder, env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


def small(command: str) -> str:
    """Return a command for one unit."""
    units = "" if "--units" in command else " --units 1"
    return re.sub(r"\b\d+\b", "1", command) + units


@pytest.mark.parametrize("command", sorted({small(each) for each in RUN_SMALL}))
def test_the_simulation_runs_as_told(command, tmp_path):
    assert re.search("planted down|right cause first", python(command, tmp_path))


@pytest.mark.parametrize("command", sorted(QUICK))
def test_a_small_program_runs_as_told(command, tmp_path):
    python(command.replace("venv ", "venv --without-pip "), tmp_path)
    assert ("venv" in command) == (tmp_path / ".venv/bin/python").exists()


class Parsed(Exception):  # noqa: N818 - no error
    """The arguments were taken, and the work is about to begin."""


def parse(words: list[str]) -> None:
    """Run a program up to where it has taken its arguments."""
    taken = argparse.ArgumentParser.parse_args

    def stop(self, *args, **more):
        taken(self, *args, **more)
        raise Parsed

    with (
        patch.object(argparse.ArgumentParser, "parse_args", stop),
        patch.object(sys, "argv", words[2:]),
    ):
        runpy.run_module(words[2], run_name="__main__", alter_sys=False)


@pytest.mark.parametrize("command", sorted(ARGUMENTS_ONLY))
def test_a_long_program_takes_what_is_told_and_refuses_what_is_wrong(command, capsys):
    words = shlex.split(command)
    with pytest.raises(Parsed):
        parse(words)
    for wrong in ([*words, "--no-such-option"], [re.sub(r"^\d+$", "many", w) for w in words]):
        if wrong != words:
            with pytest.raises(SystemExit, match="2"):
                parse(wrong)


@pytest.mark.parametrize("module", sorted({each.split(" ")[2] for each in ARGUMENTS_ONLY}))
def test_a_long_program_begins_in_a_process_of_its_own(module, tmp_path):
    assert "usage:" in python(f"python -m {module} --help", tmp_path)


@pytest.mark.parametrize("command", sorted(THERE_ONLY))
def test_a_program_that_cannot_be_tried_is_there(command):
    found = importlib.util.find_spec(command.split(" ")[2])
    path = Path(found.origin)
    path = path.with_name("__main__.py") if found.submodule_search_locations else path
    assert 'if __name__ == "__main__":' in path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def copy(tmp_path_factory) -> Path:
    """The product in a folder where what is kept may be written anew."""
    folder = tmp_path_factory.mktemp("copy")
    for name in ("fixtures", "inspections", "inventory", "movement"):
        passed_over = shutil.ignore_patterns("__pycache__", "pictures")
        shutil.copytree(ROOT / name, folder / name, ignore=passed_over)
    shutil.copy(ROOT / "DEVELOPERS.md", folder)
    return folder


@pytest.mark.parametrize("command", sorted(WRITES_WHAT_IS_KEPT))
def test_what_is_kept_is_what_its_program_writes(command, copy, tmp_path):
    begin = time.time_ns()
    done = subprocess.run(
        [sys.executable, *shlex.split(command)[1:]], cwd=copy,
        env=os.environ | {"LEDGER_DIR": str(tmp_path)}, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    files = (path for path in copy.rglob("*") if path.is_file() and path.suffix != ".pyc")
    written = [path for path in files if path.stat().st_mtime_ns >= begin]
    assert written
    for path in written:
        kept = (ROOT / path.relative_to(copy)).read_bytes()
        assert content_of(path.read_bytes()) == content_of(kept), path


def content_of(file: bytes) -> object:
    """Return what a file holds; the last digits of its figures may be another machine's."""
    try:
        return json.loads(file, parse_float=lambda text: round(float(text), 9))
    except ValueError:
        return file


@pytest.mark.parametrize("command", sorted(INSTALLS))
def test_what_is_installed_is_what_the_project_offers(command):
    asked = re.findall(r"\[(.+)\]", command)
    extras = {extra for each in asked for extra in each.split(",")}
    assert set(PROJECT["project"]["optional-dependencies"]) >= extras


def test_the_commands_for_postgresql_make_a_database_of_its_owner():
    with cluster() as address:
        place = urlsplit(address)
        variables = os.environ | {
            "PGHOST": place.hostname,
            "PGPORT": f"{place.port}",
            "PGUSER": place.username,
            "PATH": f"{tools()}:{os.environ['PATH']}",
        }
        owners = "SELECT rolname FROM pg_database JOIN pg_roles r ON r.oid = datdba WHERE datname"
        asked = [*ON_POSTGRESQL, f"psql -At -c \"{owners} = 'ledger'\""]
        for command in asked:
            done = subprocess.run(
                shlex.split(command), env=variables, capture_output=True, text=True
            )
            assert done.returncode == 0, done.stderr
    assert done.stdout == "ledger\n"


def test_the_web_server_takes_what_is_told(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", *shlex.split(SERVES), "--check-config"],
        cwd=ROOT, env=os.environ | {"LEDGER_DIR": str(tmp_path)}, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


@pytest.mark.django_db
def test_the_site_says_that_it_runs_where_it_is_asked(client, settings, tmp_path):
    settings.ALLOWED_HOSTS, settings.MEDIA_ROOT = ["ledger.example"], tmp_path
    _, _, header, address = shlex.split(ASKS)
    name, _, value = header.partition(": ")
    answer = client.get(urlsplit(address).path, headers={name: value})
    assert answer.json()["ready"] is True


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.name)
def test_a_shell_reads_every_block_of_commands(document):
    text = document.read_text(encoding="utf-8")
    blocks = [code["block"] for code in CODE.finditer(text) if code["language"] == "sh"]
    for script in [*blocks, (ROOT / "tests" / "run").read_text(encoding="utf-8")]:
        read = subprocess.run(["sh", "-n"], input=script, capture_output=True, text=True)
        assert read.returncode == 0, read.stderr


def test_each_setting_of_the_file_of_settings_is_read():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"^([A-Z_]+)=", text[text.index("cat /etc/ledger.env") :], re.MULTILINE)
    read = (ROOT / "inspections" / "project" / "settings.py").read_text(encoding="utf-8")
    assert len(named) > 6
    # How many threads a small matrix is given to is NumPy's own setting.
    assert [each for each in named if f'"{each}"' not in read] == ["OMP_NUM_THREADS"]


def test_types_are_checked_as_strictly_as_told():
    assert PROJECT["tool"]["mypy"] == {"strict": True, "files": ["movement"]}


def test_the_table_holds_the_programs_that_the_documents_tell():
    told = {command for command in EVERY if "manage.py" not in command}
    known = {*RUN_SMALL, *ARGUMENTS_ONLY, *THERE_ONLY, *WRITES_WHAT_IS_KEPT, *INSTALLS, *QUICK}
    known |= {*ON_POSTGRESQL, SERVES, ASKS, *SHELL, *ELSEWHERE}
    assert told == known
