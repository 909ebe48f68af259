"""How each command of the product that a document tells is run: what fills it, what it has to say.

Where a document names a command without what it needs, its help is shown.
"""

from __future__ import annotations

import io
import itertools
import shlex
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path

from django.core.management import CommandError, call_command

from inspections.models import Event
from tests.told_commands import ROOT, variants

IMPORTS = ("import_register", "import_readings", "import_air_temperatures", "import_element_data")


@dataclass(frozen=True)
class Row:
    """What a command told lacks to be run, and what it has to say."""

    says: str
    fill: dict[str, str] = field(default_factory=dict)
    more: tuple[str, ...] = ("",)
    before: tuple[str, ...] = ()
    own_process: dict[str, str] = field(default_factory=dict)
    workers: bool = False


NAMED = Row(r"usage: .*", more=("--help",))
SAMPLE = {"FILE": "sample"}
OUT = {"CODE": "QB-1", "FILE.pdf": "new.pdf", "FILE": "new.csv"}
IN_TABLE = Row(r"QB-1 +A2-B2 .*out of range", OUT)
COLUMNS = Row(r"[Nn]eeded\b|fields of the JSON document")
HEAD = {"DIGEST": "head"}
PRODUCTION = {
    "LEDGER_PRODUCTION": "1",
    "ALLOWED_HOSTS": "ledger.example",
    "SECRET_KEY": "6vQ0mB3kYx1uW9sT4rZ8pL2nC5hG7jD-a_eFiKoNqRtUwXyAzB",
}
ROWS = {
    "demo": Row("Condition reports:"),
    "demo --no-serve": Row("Condition reports:"),
    "demo [--no-serve]": Row("Condition reports:"),
    "migrate": Row("No migrations to apply"),
    "createsuperuser": Row("Superuser created", more=("--noinput",)),
    "createsuperuser --username chief --email chief@ledger.example": Row(
        "Superuser created", more=("--noinput",)
    ),
    "makemigrations --dry-run -v 3": Row("No changes detected"),
    "makemigrations --check --dry-run": Row("No changes detected"),
    "runserver": Row("", more=("--noreload",)),
    "check": Row("no issues"),
    "check --deploy": Row("System check identified"),
    "check --deploy --fail-level WARNING": Row("no issues", own_process=PRODUCTION),
    "collectstatic": Row("static files? copied"),
    "collectstatic --noinput": Row("static files? copied"),
    "axes_reset": Row("attempts"),
    "give_role": NAMED,
    "give_role ACCOUNT ROLE --district CODE": Row(
        "engineer: Manager, district NORTH",
        {"ACCOUNT": "engineer", "ROLE": "manager", "CODE": "NORTH"},
    ),
    "give_role NAME administrator": Row("manager: Administrator", {"NAME": "manager"}),
    "give_role NAME engineer": Row("manager: Engineer", {"NAME": "manager"}),
    "give_role chief administrator": Row(
        "chief: Administrator",
        before=("createsuperuser --username chief --email chief@ledger.example --noinput",),
    ),
    "import_register": NAMED,
    "import_register --columns": COLUMNS,
    "import_register FILE [--dry-run]": Row(r"(Imported|Dry run, nothing)[^;]*bridge", SAMPLE),
    "import_register FILE --skip-bad-rows": Row(r"Left out, .*\(2\)", {"FILE": "inventory"}),
    "import_readings --columns": COLUMNS,
    "import_readings FILE [--dry-run] [--state open|submitted|accepted]": Row(
        r"(Imported|Dry run, nothing)[^;]* [1-9]\d* values added",
        SAMPLE,
        before=("import_register sample",),
    ),
    "import_air_temperatures FILE [--dry-run] [--keep-suspects]": Row(r"[1-9]\d* .*added", SAMPLE),
    "import_element_data": NAMED,
    "import_element_data --columns": COLUMNS,
    "import_element_data FILE [--dry-run]": Row(r"structures +[1-9]", SAMPLE),
    "export_register": Row("record,.*QB-1"),
    "export_readings": Row("bridge_code,.*QB-1"),
    "export_readings --output": Row("new", more=("new.csv", "new.xlsx")),
    "export_readings --output FILE.xlsx": Row("new.xlsx", {"FILE.xlsx": "new.xlsx"}),
    "export_readings --format xlsx": Row("new", more=("--output new.xlsx",)),
    "export_element_data": Row("<FHWAELEMENT>.*<EN>", before=("import_element_data sample",)),
    "export_element_data [--bridge CODE] [--output FILE]": Row(
        "<FHWAELEMENT>|[1-9][0-9]* rows written", OUT, before=("import_element_data sample",)
    ),
    "assess": IN_TABLE,
    "assess --columns": COLUMNS,
    "assess --format json|csv": Row("ledger-assessment/2|^bridge_code", OUT),
    "assess [--bridge CODE] [--format table|json|csv]": Row("A2-B2", OUT),
    "judge_outdated": Row("0 bridges judged again"),
    "judge_outdated --background": Row("nothing to judge again"),
    "plan": Row(r"\d+ due, \d+ of them overdue"),
    "report": NAMED,
    "report --kind": Row("written to", more=("work --output new.pdf",)),
    "report --language": Row("written to", more=("de QB-1 --output new.pdf",)),
    "report CODE --output FILE.pdf": Row("written to", OUT),
    "report CODE --kind": Row(
        "written to",
        {"CODE": ""},
        more=(
            "condition QB-1 --output new.pdf",
            "district NORTH --output new.pdf",
            "element QB-1/A2-B2 --output new.pdf",
            "event EVENT --output new.pdf",
            "work --output new.pdf",
            "plain QB-1 --output new.pdf",
        ),
    ),
    "verify_history": Row("seals hold"),
    "verify_history --help": NAMED,
    "verify_history [--head DIGEST]": Row("seals hold", HEAD),
    "db_worker": Row("", more=("--batch --no-startup-delay",), workers=True),
    "drop_job_files": Row("Files of 0 jobs removed"),
    "prune_db_task_results": Row("", workers=True),
}
ALONE = {
    "backup": NAMED,
    "backup FILE": Row("rows and .* written", {"FILE": "new.zip"}),
    "restore": NAMED,
    "restore FILE": Row(
        "restored", {"FILE": "new.zip"}, before=("backup new.zip", "flush --noinput")
    ),
    "restore FILE --check": Row("sound", {"FILE": "new.zip"}, before=("backup new.zip",)),
    "restore FILE [--check] [--replace]": Row(
        "sound|restored", {"FILE": "new.zip"}, before=("backup new.zip",)
    ),
}
"""Commands that open a transaction of their own, and so are run on a site of their own."""


def runs_of(rows: dict[str, Row]) -> dict[str, Row]:
    """Return every way to give the commands of a table, each with the first row that tells it."""
    found: dict[str, Row] = {}
    for told, row in rows.items():
        for variant, more in itertools.product(variants(told), row.more):
            found.setdefault(f"{variant} {more}".strip(), row)
    return found


def run(command: str) -> str:
    """Run a command of the product in this process, and return what it said."""
    name, *arguments = shlex.split(command)
    out = io.StringIO()
    with redirect_stdout(out), redirect_stderr(out):
        try:
            call_command(name, *arguments, stdout=out, stderr=out)
        except SystemExit as end:
            if end.code:
                raise CommandError(out.getvalue(), returncode=2) from end
    return out.getvalue()


def filled(command: str, row: Row, folder: Path) -> str:
    """Return a command with what stands for its words."""
    name, *words = command.split(" ")
    words = [row.fill.get(word, word) for word in words]
    known = {
        "sample": str(folder / name),
        "inventory": str(ROOT / "tests" / "data" / "nbi_sample.csv"),
        "head": run("verify_history").split()[-1] if "head" in words else "",
        "EVENT": f"{Event.objects.get().pk}" if "EVENT" in words else "",
    }
    words = [known.get(word, word) for word in words]
    return " ".join([name, *(str(folder / w) if w.startswith("new.") else w for w in words)])
