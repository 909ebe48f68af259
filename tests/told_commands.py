"""What the documents tell people to run, in one spelling and in the order of each document."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

from django.core.management import get_commands

ROOT = Path(__file__).parents[1]
PLACES = ("*.md", "fixtures/**/*.md", "inspections/**/*.md", "tests/**/*.md")
DOCUMENTS = sorted(path for place in PLACES for path in ROOT.glob(place))
CODE = re.compile(r"```(?P<language>\w*)\n(?P<block>.*?)```|`(?P<inline>[^`]+)`", re.DOTALL)
PROGRAMS = ("manage.py", ".venv/bin/", "python", "sh", "pip", "pip-audit", "curl", "mypy")
BENCHMARK = re.compile(r"\.([a-z_]+)( --.*)?")
OPTION = re.compile(r"--[a-z][\w-]*( \S+)*")
SETTING = re.compile(r"[A-Z_]+=\S*")
CHOICE = re.compile(r"\[([^\]]+)\]|(\S*\w\|\S+)")


def commands_of(document: Path) -> list[str]:
    """Return the commands of a document; an option told alone belongs to the command before it."""
    found: list[str] = []
    for code in CODE.finditer(document.read_text(encoding="utf-8")):
        if code["inline"]:
            told = _inline(" ".join(code["inline"].split()), found[-1] if found else "")
            found += [told] if told else []
        elif code["language"] == "sh":
            found += _lines(code["block"])
    return found


def _lines(block: str) -> list[str]:
    lines = (line.partition(" #")[0].strip() for line in block.replace("\\\n", " ").splitlines())
    steps = (step for line in lines for step in line.split(" && "))
    # What a file of settings holds is no command.
    return [spelled(" ".join(step.split())) for step in steps if not SETTING.fullmatch(step)]


def _inline(text: str, before: str) -> str:
    text = text.replace("\\|", "|")
    first, _, rest = text.partition(" ")
    if OPTION.fullmatch(text):
        return f"{_without_options(before)} {text}"
    if first in get_commands():
        return f"manage.py {text}"
    benchmark = BENCHMARK.fullmatch(text)
    if benchmark and (ROOT / "tests" / "benchmarks" / f"{benchmark[1]}.py").exists():
        return f"python -m tests.benchmarks{text}"
    is_command = first.startswith(".venv/bin/") or (rest and first in PROGRAMS)
    return spelled(text) if is_command else ""


def spelled(text: str) -> str:
    """Return a command without the folder of its program."""
    text = text.replace(".venv/bin/", "").replace("python3 ", "python ")
    return text.replace("python manage.py", "manage.py")


def _without_options(command: str) -> str:
    return re.split(r" \[?--", command)[0]


def variants(told: str) -> list[str]:
    """Return each way to give a command: without what stands in brackets, with each of it alone."""
    optional = [each[1] for each in CHOICE.finditer(told) if each[1]]
    bare = " ".join(re.sub(r"\[[^\]]+\]", "", told).split())
    commands = [bare, *(f"{bare} {more}" for more in optional)]
    return [each for command in commands for each in _each(command)]


def _each(command: str) -> list[str]:
    """Return a command with each of the words that stand to choose."""
    words = [word.split("|") if CHOICE.fullmatch(word) else [word] for word in command.split(" ")]
    return [" ".join(chosen) for chosen in itertools.product(*words)]


TOLD = {document.relative_to(ROOT).as_posix(): commands_of(document) for document in DOCUMENTS}
EVERY = {command for commands in TOLD.values() for command in commands}
