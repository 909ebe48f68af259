"""What the product rests on: each with a version that it stops before."""

import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

PROJECT = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text())["project"]
GROUPS = {"product": PROJECT["dependencies"], **PROJECT["optional-dependencies"]}


@pytest.mark.parametrize("group", GROUPS)
def test_no_dependency_moves_to_a_version_that_nobody_has_tried(group):
    unbounded = [
        each
        for each in GROUPS[group]
        if not any(limit.operator in ("<", "==", "~=") for limit in Requirement(each).specifier)
    ]
    assert not unbounded
