"""No link in a document leads nowhere."""

import re

import pytest

from tests.told_commands import DOCUMENTS

LINK = re.compile(r"\]\(([^)#:\s]+)(?:#[^)]*)?\)")


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: f"{path.parent.name}-{path.name}")
def test_no_link_leads_nowhere(document):
    links = LINK.findall(document.read_text(encoding="utf-8"))
    assert [each for each in links if not (document.parent / each).exists()] == []
