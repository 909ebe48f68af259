"""The list of sources for newcomers names every file here, and no other."""

import re
from pathlib import Path

HERE = Path(__file__).parent


def test_the_list_names_every_file_once():
    named = re.findall(r"`(test_\w+\.py)` \|", (HERE / "README.md").read_text(encoding="utf-8"))
    there = {each.name for each in HERE.glob("test_*.py")} - {Path(__file__).name}
    assert sorted(named) == sorted(there)
