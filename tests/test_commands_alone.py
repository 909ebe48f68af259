"""A site is backed up and put back by the commands that the documents tell."""

import re

import pytest

from tests.make import make_bridge, make_element, make_unit
from tests.told_rows import ALONE, filled, run, runs_of

pytestmark = pytest.mark.django_db(transaction=True)
RUNS = runs_of(ALONE)


@pytest.mark.parametrize("command", RUNS)
def test_a_command_that_is_told_runs_on_a_site_of_its_own(command, tmp_path, settings):
    settings.MEDIA_ROOT = tmp_path / "files"
    make_element(make_unit(make_bridge("B-1")))
    row = RUNS[command]
    for each in row.before:
        run(filled(each, row, tmp_path))
    said = run(filled(command, row, tmp_path))
    assert re.search(row.says, said), said
