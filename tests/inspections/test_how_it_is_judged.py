"""The page that explains a verdict: its example is reckoned again here, by another library.

The movement is that of any text on strength of materials, coefficient times length times
difference of temperature; the uncertainties are combined by the package `uncertainties`, to first
order as JCGM 100:2008, 5.1.2 has it.
"""

import re

import pytest
from uncertainties import ufloat

from inspections.models import AgencySettings
from inspections.models.choices import CauseWord, VerdictWord
from inspections.models.desk_choices import FlagCause
from tests.inspections.desk_rows import words
from tests.make import make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client):
    client.force_login(make_user("inspector"))
    return lambda: client.get("/how-it-is-judged/")


def figures(answer) -> dict[str, list[float]]:
    """Return the numbers of each line of the example, as they stand on the page."""
    html = answer.content.decode().replace("\u202f", " ").replace("−", "-")
    cells = re.findall(r'id="example-([\w-]+)">([^<]*)<', html)
    found = {key: re.findall(r"-?\d+(?:\.\d+)?", text.replace("10⁻⁶", "")) for key, text in cells}
    return {key: [float(each) for each in numbers] for key, numbers in found.items()}


def test_the_example_is_right_by_another_reckoning(page):
    told = figures(page())
    [lever_m], [alpha_millionths, *_] = told["lever"], told["expansion"]
    set_mm, set_c = told["setting"]
    measured_mm, measured_c = told["measured"]
    alpha = ufloat(alpha_millionths * 1e-6, 0.3e-6)
    lever = ufloat(lever_m * 1000.0, 100.0)
    warmer = ufloat(measured_c, 1.5) - ufloat(set_c, 3.0)
    expected = ufloat(set_mm, 1.0) + alpha * lever * warmer
    residual = ufloat(measured_mm, 1.0) - expected

    assert told["expected"] == [pytest.approx(expected.n, abs=0.051)]
    assert told["residual"] == [pytest.approx(residual.n, abs=0.051)]
    assert told["u"] == [pytest.approx(residual.s, abs=0.051)]
    assert told["band"] == [pytest.approx(2 * residual.s, abs=0.051)]
    assert told["in-u"] == [pytest.approx(residual.n / residual.s, abs=0.051)]
    for key, temperature_c in (("coldest", -24.0), ("hottest", 46.0)):
        carried = measured_mm + alpha.n * lever.n * (temperature_c - measured_c)
        position, use, limit = told[key]
        assert position == pytest.approx(carried, abs=0.051)
        assert use == pytest.approx(100 * abs(carried) / limit, abs=0.51)


def test_the_shares_of_the_uncertainty_make_up_the_whole(page):
    told = figures(page())
    shares = [numbers[0] for key, numbers in told.items() if key.startswith("u-")]
    assert len(shares) == 6
    assert sum(each**2 for each in shares) ** 0.5 == pytest.approx(told["u"][0], abs=0.1)


def test_the_verdict_of_the_example_follows_the_agencys_thresholds(page):
    assert "Verdict: Watch" in words(page())
    AgencySettings.objects.update_or_create(pk=1, defaults={"watch_k": 0.5, "out_k": 1.0})
    assert "Verdict: Out of range" in words(page())


def test_it_explains_every_verdict_flag_and_cause(page):
    told = words(page())
    named = [
        *VerdictWord.labels,
        *FlagCause.labels,
        *(each.label for each in CauseWord if each != CauseWord.HEALTHY),
    ]
    assert [each for each in map(str, named) if each not in told] == []
    assert "supports an engineer's decision and never replaces it" in told


def test_it_speaks_the_readers_units(page, client):
    client.post("/preferences/units/", {"units": "us", "next": "/"})
    assert figures(page())["lever"] == [pytest.approx(60 / 0.3048, abs=0.01)]
