"""Whoever comes to an inspection by a link, such as an engineer's message, can take it along.

Also with the scripts as a site in production serves them, without their comments.
"""

from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.utils import timezone
from playwright.sync_api import expect

from inspections.field.tablet.shell import files
from inspections.project.static_storage import OURS, without_remarks
from tests.make import make_bridge, make_element, make_inspection, make_unit

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def inspection():
    unit = make_unit(make_bridge("T-1"))
    make_element(unit, "pot", "B-1")
    return make_inspection(unit.bridge, timezone.now().date())


@pytest.mark.parametrize("screen", ["tablet"], indirect=True)
def test_an_inspection_behind_a_link_is_taken_along_from_there(open_as, assert_usable, inspection):
    page = open_as("inspector", f"/field/#/i/{inspection.pk}")
    expect(page.get_by_role("heading", name="Not on board")).to_be_visible()
    assert_usable(page)
    page.get_by_role("button", name="Take along").click()
    expect(page.get_by_role("heading", name="T-1")).to_be_visible()
    expect(page.get_by_role("link", name="B-1")).to_be_visible()


@pytest.mark.parametrize("screen", ["tablet"], indirect=True)
def test_scripts_without_their_comments_do_the_same(open_as, inspection):
    page = open_as("inspector", "/account/")
    served = {}

    def shorter(route):
        name = route.request.url.split("/static/")[1]
        script = Path(finders.find(name)).read_text(encoding="utf-8")
        served[name] = without_remarks(script)
        route.fulfill(body=served[name], content_type="text/javascript")

    page.route("**/static/field/**/*.js", shorter)
    page.goto(f"/field/#/i/{inspection.pk}")
    page.get_by_role("button", name="Take along").click()
    page.get_by_role("link", name="B-1").click()
    expect(page.locator("section.channel").first).to_be_visible()
    assert set(served) >= {name for name in files() if OURS.fullmatch(name)}
    assert sum(map(len, served.values())) < 0.85 * sum(
        len(Path(finders.find(name)).read_text(encoding="utf-8")) for name in served
    )


@pytest.mark.parametrize("screen", ["tablet"], indirect=True)
def test_without_a_network_it_says_why_not_and_can_be_asked_again(open_as, inspection):
    page = open_as("inspector", f"/field/#/i/{inspection.pk}")
    take = page.get_by_role("button", name="Take along")
    expect(take).to_be_visible()
    page.context.set_offline(True)
    take.click()
    expect(page.get_by_text("Not taken along: No connection.")).to_be_visible()
    expect(take).to_be_enabled()
    page.context.set_offline(False)
    take.click()
    expect(page.get_by_role("heading", name="T-1")).to_be_visible()
