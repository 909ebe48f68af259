"""The list of names and looks holds what the product shows, and nothing that has gone."""

import ast
import importlib
import pkgutil
import re
from collections.abc import Iterator
from fnmatch import fnmatchcase
from pathlib import Path

import pytest
from django.db.models.enums import Choices

import inspections
import inventory
from inspections.assessment import described
from inspections.drawing import marks, palette
from inspections.exchange import air_csv_columns, readings_csv_columns
from inspections.paper.event_report import WORDS as STEP_WORDS
from inspections.selectors.flags import Weights
from inspections.who_may import ACTIONS
from inspections.wording_capacity import STATE_WORDS
from inventory.exchange import columns
from tests.told_commands import ROOT

LIST = (ROOT / "tests" / "published" / "NAMES.md").read_text(encoding="utf-8")
TEMPLATES = ROOT / "inspections" / "templates"
STATIC = ROOT / "inspections" / "static"
HEADING = re.compile(r"#{2,3} .*\(`([^`]+)`\)")
BLOCK = re.compile(r"{% block heading %}(.*?){% endblock %}", re.DOTALL)
TRANSLATED = re.compile(r'{% translate "([^"]+)" %}')
LINK = re.compile(r"{% url '([^']+)'.*?>([^<]+)</a>")
ORIGIN = re.compile(r"trade: |standard: |ours(:|, )|as (on|in) ")


def rows() -> Iterator[tuple[str, str, str]]:
    """Yield section, names and origin of each row of the list."""
    section = ""
    for line in LIST.splitlines():
        if heading := HEADING.fullmatch(line):
            section = heading[1]
        elif line.startswith("| ") and line != "| names | from |":
            names, origin = line.strip("| ").split(" | ")
            yield section, names, origin


def listed(section: str) -> list[str]:
    return [
        name.strip("`") for of, names, _ in rows() if of == section for name in names.split(" · ")
    ]  # fmt: skip


def template(name: str) -> str:
    return TRANSLATED.sub(r"\1", (TEMPLATES / name).read_text(encoding="utf-8"))


def navigation() -> list[str]:
    """Return each entry with the name of its address."""
    text = template("partials/_navigation.html")
    entries = [line for line in text.splitlines() if "<li>" in line]
    names = [re.search(r"{% url '([^']+)'", line)[1] for line in entries]
    words = [re.search(r">([^<>]+)</a>", line)[1] for line in entries]
    return [f"{word} ({name})" for word, name in zip(words, names, strict=True)]


def foot() -> list[str]:
    found = LINK.findall(template("partials/_foot.html"))
    return [f"{words} ({name})" for name, words in found]


def headings() -> set[str]:
    texts = (path.read_text(encoding="utf-8") for path in TEMPLATES.rglob("*.html"))
    found = {TRANSLATED.sub(r"\1", each) for text in texts for each in BLOCK.findall(text)}
    return {each for each in found if each and "{" not in each}


def properties() -> set[str]:
    """Return the properties that have a value of their own: the register's are set to others."""
    texts = (path.read_text(encoding="utf-8") for path in STATIC.rglob("*.css"))
    return {
        name
        for text in texts
        for name in re.findall(r"(?<![\w(-])--([\w-]+):(?! var\(| transparent)", text)
    }


def drawings() -> set[str]:
    """Return the functions that make a drawing."""
    return {
        node.name
        for path in (ROOT / "inspections" / "drawing").glob("*.py")
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef)
        and node.returns
        and re.search(r"\bDrawing\b", ast.unparse(node.returns))
    }


def commands() -> set[str]:
    places = ROOT.glob("*/management/commands/[a-z]*.py")
    return {path.stem for path in places}


def words_while_typing() -> list[str]:
    text = (STATIC / "field" / "verdict_words.js").read_text(encoding="utf-8")
    return re.findall(r'mark\("(.+?)"\)', text.partition("};")[0])


WORDS = {
    "name": lambda: re.findall(r"<span>(.+?)</span>", template("partials/_head.html"))[:1],
    "navigation": navigation,
    "foot": foot,
    "headings": headings,
    "shares": lambda: Weights.__dataclass_fields__,
    "actions": lambda: (each.words for each in ACTIONS),
    "checks": STATE_WORDS.values,
    "steps": lambda: (word for word, _ in STEP_WORDS.values()),
    "typed": words_while_typing,
    "commands": commands,
    "colours": lambda: (each for each in properties() if not each.startswith("d-")),
    "palette": lambda: palette.COLOURS,
    "marks": marks.NAMES.values,
    "glyph": lambda: re.findall(r'class="(glyph-\w+)"', template("partials/_head.html")),
}
"""What a section lists name by name."""

GROUPED = {
    "ledger-register/1": lambda: {columns.RECORD, *(each.name for each in columns.COLUMNS)},
    "ledger-readings/1": lambda: set(readings_csv_columns.NAMES),
    "air": lambda: {name for name, *_ in air_csv_columns.COLUMNS},
    "ledger-assessment/2": lambda: {name for _, name, *_ in described()},
    "styles": lambda: set(palette.STYLES),
    "drawings": drawings,
}
"""What a section lists in groups, in which a star stands for any letters."""


def choices() -> dict[str, list[str]]:
    """Return the words of every class of choices."""
    for package in (inventory, inspections):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if not re.search(r"migrations|wsgi|management", module.name):
                importlib.import_module(module.name)
    mine = [each for each in subclasses(Choices) if not each.__module__.startswith("django")]
    # German is tested elsewhere; a label is English where nobody asks for another language.
    return {each.__name__: [f"{label}" for label in each.labels] for each in mine if list(each)}


def subclasses(of: type) -> Iterator[type]:
    for each in of.__subclasses__():
        yield each
        yield from subclasses(each)


def test_the_words_of_every_choice_are_listed_in_their_order():
    found = choices()
    assert len(found) > 45
    assert {name: listed(name) for name in found} == found


@pytest.mark.parametrize("section", WORDS)
def test_every_name_is_listed_and_no_other(section):
    names = listed(section)
    assert sorted(names) == sorted(WORDS[section]())


@pytest.mark.parametrize("section", GROUPED)
def test_every_name_is_in_a_group_and_no_group_is_empty(section):
    groups, names = listed(section), GROUPED[section]()
    assert names
    assert {name for name in names if not any(fnmatchcase(name, each) for each in groups)} == set()
    assert [each for each in groups if not any(fnmatchcase(name, each) for name in names)] == []


def test_the_colours_of_drawings_are_those_of_the_style_sheet():
    drawn = {each.removeprefix("d-") for each in properties() if each.startswith("d-")}
    assert drawn == set(palette.COLOURS)


def test_each_section_is_compared_with_the_code_and_each_row_says_where_it_is_from():
    assert {section for section, *_ in rows()} == {*WORDS, *GROUPED, *choices()}
    assert [names for _, names, origin in rows() if not ORIGIN.match(origin)] == []


def test_the_guide_for_contributors_leads_to_the_list():
    guide = Path(ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert "(tests/published/NAMES.md)" in guide
