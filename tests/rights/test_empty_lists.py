"""Every page of a site without a bridge says what belongs there, and where to go next.

The pages are those of the table of who may what that need no row; a new one is either a list, and
tells its next step while it is empty, or stands in ``NO_LISTS`` with what it shows instead.
"""

from __future__ import annotations

import re

import pytest
from django.urls import NoReverseMatch, reverse

from inspections.roles import Role
from inspections.who_may import ACTIONS
from tests.make import make_user

pytestmark = pytest.mark.django_db
NO_LISTS = {
    "plan-calendar": "a month of days",
    "plan-route": "a form: a day and bridges",
    "plan-subscriptions": "a form that makes an address, with those made below it",
    "api-keys": "a form that makes a key, with those made below it",
    "thresholds": "settings, which always are",
    "thresholds-preview": "what other settings would change",
    "who-may-what": "the table of roles",
    "how-it-is-judged": "an explanation",
    "imports": "the kinds of files, each with its sample",
    "import-register": "a form",
    "import-readings": "a form",
    "import-air": "a form",
    "import-element-data": "a form",
    "element-data-out": "a form",
    "inspection-new": "a form",
    "visit-new": "a form",
    "event-new": "a form",
    "person-invite": "a form",
    "people": "whoever reads it is in it",
    "changes": "that the reader was given a role is in it",
    "tablet-inspections": "data for the tablet",
}
_EMPTY = re.compile(r'<(div|p) class="empty">(.*?)</\1>', re.DOTALL)


def _pages(role: Role) -> dict[str, str]:
    """Return the path of each page that a role may open and that needs no row, by name."""
    found = {}
    for action in ACTIONS:
        for method, name in action.addresses:
            if method == "GET" and role in action.roles and not name.startswith("api-v1"):
                try:
                    found[name] = reverse(name)
                except NoReverseMatch:
                    continue
    return {name: path for name, path in found.items() if not path.startswith("/api/v1/")}


@pytest.mark.parametrize("role", Role)
def test_an_empty_list_tells_the_next_step_of_each_role(client, role):
    client.force_login(make_user(role.value))
    untold, lacking, dead = [], [], []
    for name, path in _pages(role).items():
        answer = client.get(path)
        if not answer.get("Content-Type", "").startswith("text/html") or name in NO_LISTS:
            continue
        blocks = [text for _tag, text in _EMPTY.findall(answer.content.decode())]
        if answer.status_code == 200 and not blocks:
            untold.append(name)
        for block in blocks:
            links = re.findall(r'href="([^"]+)"', block)
            if not links:
                lacking.append(name)
            dead += [(name, link) for link in links if client.get(link).status_code != 200]
    assert not untold, "neither an empty list nor in NO_LISTS"
    assert not lacking, "an empty list without a link to the next step"
    assert not dead, "a next step that this role may not take"
