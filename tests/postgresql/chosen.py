"""Which tests run on PostgreSQL too in every run of the suite.

The rule: a test runs there whose outcome can differ between the databases. So all do that write or
list rows, keep constraints, read files into rows, count queries, or work at once. Left out is what
comes after the rows are read or without any: what pages and papers say of them, in which words, as
which drawing, and what is computed of them. ``--whole`` runs these as well.
"""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import pytest

PURE = (
    "tests/movement", "tests/properties", "tests/published", "tests/simulation",
    "tests/test_dependencies.py", "tests/test_documents.py", "tests/test_names.py",
    "tests/test_programs.py",
)  # fmt: skip
"""Tests of plain computing and of what the documents say, which no database can change."""
SENDING = (
    "test_field.py", "test_tablet_faults.py", "test_tablet_journey.py", "test_tablet_sending.py",
)  # fmt: skip
"""Tests in the browser that bring rows into the database by the ways of a tablet."""
AFTER_READING = (
    # Words and numbers of either language.
    "tests/languages/*", "tests/inspections/test_wording_*", "tests/inspections/test_explanations*",
    # Drawings, and papers with what they say.
    "tests/inspections/test_drawing.py", "tests/inspections/test_drawing_history.py",
    "tests/inspections/test_drawing_key.py",
    "tests/inspections/test_*paper*", "tests/inspections/test_*_report.py",
    "tests/inspections/test_report_findings.py", "tests/inspections/test_district_summary.py",
    "tests/inspections/test_element_card.py", "tests/inspections/test_plain_page*",
    "tests/inspections/test_how_it_is_judged.py", "tests/inspections/test_still_to_prove.py",
    # What is computed of one device or bridge once its rows are read.
    "tests/inspections/test_capacity_*", "tests/inspections/test_design_demand.py",
    "tests/inspections/test_fixed_bearings.py", "tests/inspections/test_golden.py",
    "tests/inspections/test_healthy_bridges.py", "tests/inspections/test_restrainer_cables.py",
    "tests/inspections/test_restraints_between_units.py",
    "tests/inspections/test_rod_and_sheet_readings.py", "tests/inspections/test_shortening.py",
    # The demo: its commands run there, all on its site, by `tests/test_commands.py`.
    "tests/inspections/test_demo.py",
    # What a browser is told, and which address is whose; whose rows are read is asked there by
    # `test_other_districts.py`, whose are written by `test_writes_elsewhere.py`.
    "tests/rights/test_headers.py", "tests/rights/test_who_may.py",
)  # fmt: skip
"""Files of tests, as patterns, of what comes after rows are read."""
COUNTS = re.compile(r"quer(y|ies)|IntegrityError|transaction", re.IGNORECASE)
"""What a test says that counts queries or leans on a constraint: it runs wherever it stands."""


def looks() -> list[str]:
    """Return the other tests in the browser: of how pages look and what a tablet keeps.

    What these pages ask of a database is asked by the tests without a browser as well.
    """
    folder = Path("tests/browser")
    return [str(each) for each in sorted(folder.glob("test_*.py")) if each.name not in SENDING]


def is_left_out(item: pytest.Item) -> bool:
    """Tell whether a database can make no difference to a test."""
    path = item.path.relative_to(item.config.rootpath)
    if not any(path.match(pattern) for pattern in AFTER_READING):
        return False
    function = getattr(item, "function", None)
    return function is None or not COUNTS.search(inspect.getsource(function))


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what a database cannot change (as a plugin of the smaller run)."""
    left_out = [each for each in items if is_left_out(each)]
    config.hook.pytest_deselected(items=left_out)
    items[:] = [each for each in items if each not in set(left_out)]
