"""What the documents tell is there: commands with their options, modules, files and links."""

import importlib.util
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class

ROOT = Path(__file__).parents[1]
DOCUMENTS = ("README.md", "DEVELOPERS.md", "CHANGELOG.md", "tests/data/README.md")
CODE = re.compile(r"```sh\n(.*?)```|`([^`\n]+)`", re.DOTALL)
MANAGE = re.compile(r"manage\.py ([a-z_]+)([^&|;\n]*)")
MODULE = re.compile(r"python3? -m ((?:tests|fixtures)[\w.]*)([^&|;\n]*)")
OPTION = re.compile(r"(?<![\w-])--[a-z][\w-]*")
LINK = re.compile(r"\]\(([^)#:\s]+)(?:#[^)]*)?\)")


def told(pattern: re.Pattern[str]) -> list[tuple[str, str, tuple[str, ...]]]:
    """Return document, name and options of what the code in the documents calls."""
    found = set()
    for name in DOCUMENTS:
        for block, inline in CODE.findall((ROOT / name).read_text(encoding="utf-8")):
            for called, rest in pattern.findall((block or inline).replace("\\\n", " ")):
                found.add((name, called, tuple(sorted({*OPTION.findall(rest)}))))
    return sorted(found)


@pytest.mark.parametrize(("document", "name", "options"), told(MANAGE))
def test_each_command_that_is_told_is_there_with_its_options(document, name, options):
    command = load_command_class(get_commands()[name], name)
    known = set(command.create_parser("manage.py", name)._option_string_actions)
    assert known.issuperset(options), f"{document}: {name} {options}"


@cache
def help_of(module: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", module, "--help"], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize(("document", "name", "options"), told(MODULE))
def test_each_program_that_is_told_is_there_with_its_options(document, name, options):
    assert importlib.util.find_spec(name) is not None, f"{document}: {name}"
    for option in options:
        assert option in help_of(name), f"{document}: {name} {option}"


@pytest.mark.parametrize("document", DOCUMENTS)
def test_no_link_leads_nowhere(document):
    place = (ROOT / document).parent
    links = LINK.findall((ROOT / document).read_text(encoding="utf-8"))
    assert [each for each in links if not (place / each).exists()] == []


def test_the_documents_do_tell_commands_and_programs():
    assert len(told(MANAGE)) > 15
    assert len(told(MODULE)) > 8
