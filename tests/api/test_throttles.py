"""How often may be asked; each key and each user for itself."""

import pytest
from django.conf import settings as site

from tests.api.calls import Caller, is_problem
from tests.make import make_user

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _slow(settings):
    settings.REST_FRAMEWORK = site.REST_FRAMEWORK | {
        "DEFAULT_THROTTLE_RATES": {"reads": "2/day", "writes": "1/day"}
    }


def test_whoever_asks_too_often_is_told_when_to_come_back():
    owner = make_user("engineer")
    caller = Caller(owner)
    assert [caller.get("bridges/").status_code for _ in range(2)] == [200, 200]
    answer = caller.get("bridges/")
    is_problem(answer, 429)
    assert 0 < int(answer["Retry-After"]) <= 86_400
    assert Caller(owner).get("bridges/").status_code == 200


def test_reads_do_not_use_up_the_writes():
    caller = Caller(make_user("inspector"))
    for _ in range(3):
        caller.get("bridges/")
    is_problem(caller.post("inspections/", {}), 400)
    is_problem(caller.post("inspections/", {}), 429)
