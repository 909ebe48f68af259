"""What a run on PostgreSQL leaves out, and what it runs wherever it stands."""

from pathlib import Path

import pytest

from tests.postgresql.__main__ import CHOSEN, WHOLE, arguments
from tests.postgresql.chosen import AFTER_READING, is_left_out

ROOT = Path(__file__).parents[2]


def counts_the_queries_of_a_page():
    """Counts queries."""


def tells_words():
    """Tells words."""


class Item:
    """A test as the plugin sees it."""

    def __init__(self, path: str, function) -> None:
        self.path, self.function = ROOT / path, function
        self.config = type("Config", (), {"rootpath": ROOT})


@pytest.mark.parametrize("pattern", AFTER_READING)
def test_each_pattern_still_leaves_tests_out(pattern):
    found = [each for each in ROOT.glob(pattern) if each.name.startswith("test_")]
    assert found
    for each in found:
        assert is_left_out(Item(str(each.relative_to(ROOT)), tells_words))


@pytest.mark.parametrize(
    "path",
    [
        "tests/inventory/test_constraints.py", "tests/inspections/test_readings_csv.py",
        "tests/inspections/test_drawings.py", "tests/inspections/test_long_lists.py",
        "tests/served/test_at_once.py", "tests/rights/test_other_districts.py",
    ],
)  # fmt: skip
def test_what_writes_lists_or_works_at_once_runs_on_postgresql(path):
    assert not is_left_out(Item(path, tells_words))


def test_what_counts_queries_runs_wherever_it_stands():
    path = "tests/inspections/test_condition_report.py"
    assert is_left_out(Item(path, tells_words))
    assert not is_left_out(Item(path, counts_the_queries_of_a_page))


def test_the_whole_and_paths_of_ones_own_can_be_asked_for():
    assert arguments([]) == CHOSEN
    assert arguments(["--whole"]) == WHOLE
    assert arguments(["tests/api", "-x"]) == ["tests/api", "-x"]
