"""What the pages tell in words stands beside the numbers, word for word and in the same units."""

import datetime as dt
import math

import pytest
from django.core.cache import cache

from inspections.models import AgencySettings, Flag
from inspections.models.choices import CauseWord
from inspections.services.visits import submit
from tests.inspections.desk_rows import JOINT, words
from tests.inspections.finding_rows import (
    forget_findings,
    frozen,
    make_check,
    make_diagnosis,
    read_over_years,
)
from tests.inspections.test_bridge_desk_apart import bearing, blunder, cannot_tell, stuck
from tests.inspections.test_desk_findings import raise_by_history
from tests.inspections.test_plan_best_time import record, summer_bridge
from tests.inspections.test_queue import flagged, signed
from tests.make import make_bridge, make_element, make_inspection, make_unit

pytestmark = pytest.mark.django_db
__all__ = ["bearing"]
UNITS = pytest.mark.parametrize("units", ["si", "us"])


def plain(text: str) -> str:
    """Return a text with spaces of every kind as one, as ``words`` returns a page."""
    return " ".join(text.split())


@pytest.fixture
def desk(as_role):
    """Return a function that gives a page's words, and one that gives rows of the API."""
    client = as_role("engineer")

    def page(path: str, units: str = "si") -> str:
        client.post("/preferences/units/", {"units": units})
        return words(client.get(path))

    def rows(path: str, **query):
        answer = client.get(f"/api/v1/{path}", query)
        assert answer.status_code == 200, answer.content
        told = answer.json()
        return told.get("results", told)

    return page, rows


@pytest.fixture
def joint():
    """A joint that stood at 70 mm in three visits, with a history, checks and a diagnosis."""
    unit = make_unit(make_bridge("B-1"))
    joint = make_element(unit, "strip_seal", "J-1", **JOINT)
    visits = [make_inspection(unit.bridge, dt.date(2021 + n, 6, 1)) for n in range(3)]
    read_over_years(visits, joint, [(70.0, 12.0), (70.5, 16.0), (70.2, 18.0)])
    for visit in visits:
        submit(inspection=visit)
    forget_findings(unit.bridge)
    raise_by_history(joint)
    make_check(joint, use=1.3, demand=130.0)
    make_check(joint, family="en", name="Opening", clause="6.2", edition="EN X:2004", use=0.75)
    make_check(joint, use=None, demand=None, capacity=None, lacking="opening_max_mm")
    explain(joint)
    return joint


def explain(joint) -> None:
    """Let a unit be explained by a joint that is frozen, with a runner-up."""
    make_diagnosis(
        joint.unit,
        frozen(joint, log_ratio=math.log(2345), odds_log=math.log(120)),
        {"cause": CauseWord.SHORTENING, "odds_log": math.log(8), "size": 2e-4},
    )


def settle(**figures: float) -> None:
    """Let the agency's settings be these."""
    agency = AgencySettings.current()
    for name, value in figures.items():
        setattr(agency, name, value)
    agency.save()


class TestTheQueue:
    def test_flags_come_in_its_order_with_the_shares_that_it_shows(self, desk):
        page, rows = desk
        found = flagged("B-1", "B-2", "B-3")
        for flag, nearness in zip(found, (0.1, 0.9, 0.5), strict=True):
            Flag.objects.filter(pk=flag.pk).update(nearness=nearness)
        told = rows("flags/", needs_decision="true")
        assert [row["element_code"] for row in told if row["cause"] == "position"] == [
            "B-2", "B-3", "B-1",
        ]  # fmt: skip
        assert rows("flags/", needs_decision="true", ordering="-score") == told
        queue = page("/")
        places = [
            queue.index(
                f"{row['score']} of 100 {' + '.join(f'{each}' for each in row['shares'].values())}"
            )
            for row in told
        ]
        assert places == sorted(places)
        for row in told:
            assert [*row["shares"]] == ["severity", "consequence", "nearness", "age"]
            assert math.isclose(sum(row["shares"].values()), row["score"])

    def test_the_weights_of_the_agency_hold(self, desk):
        _, rows = desk
        flagged("B-1")
        settle(weight_severity=0, weight_consequence=0, weight_nearness=0, weight_age=1)
        for row in rows("flags/"):
            assert row["shares"] == dict.fromkeys(row["shares"], 0.0) | {"age": row["score"]}

    def test_an_acceptance_that_has_lapsed_waits_for_a_word(self, desk, client):
        _, rows = desk
        (flag,) = flagged("B-1")
        client.post(f"/flags/{flag.pk}/", signed())
        (row,) = rows("flags/", cause="position")
        assert (row["lapsed"], row["needs_decision"]) == (False, False)
        assert flag.pk not in [each["id"] for each in rows("flags/", needs_decision="true")]
        Flag.objects.filter(pk=flag.pk).update(until=dt.date(2024, 3, 1))
        (row,) = rows("flags/", cause="position")
        assert (row["lapsed"], row["needs_decision"]) == (True, True)

    @UNITS
    def test_the_evidence_is_that_of_the_flag_s_page(self, desk, units):
        page, rows = desk
        (flag,) = flagged("B-1")
        row = rows(f"flags/{flag.pk}/", units=units)
        assert row["evidence"]
        shown = page(f"/flags/{flag.pk}/", units)
        assert all(plain(each) in shown for each in row["evidence"])


@UNITS
class TestAnElement:
    def test_its_status_history_and_checks_are_told_as_on_its_page(self, desk, joint, units):
        page, rows = desk
        shown = page(f"/elements/{joint.pk}/", units)
        told = rows(f"elements/{joint.pk}/", units=units)
        (history,) = rows("histories/", element=joint.pk, units=units)
        for each in (told["status"]["sentence"], told["checks"], history["sentence"]):
            assert each
            assert plain(each) in shown
        assert ("mm" in told["status"]["sentence"]) == (units == "si")
        assert plain(told["status"]["finding"]) in page("/elements/", units)

    def test_each_check_is_a_sentence_of_what_its_row_shows(self, desk, joint, units):
        page, rows = desk
        shown = page(f"/elements/{joint.pk}/", units)
        first, _, third = rows("capacity-checks/", element=joint.pk, units=units)
        demand, capacity = ("130.0 mm", "100.0 mm") if units == "si" else ("5.12 in", "3.94 in")
        assert f"{demand} {capacity} 130 %" in shown
        assert plain(first["sentence"]) == (
            f"Gap along the road, as found: {demand} against {capacity}, 130 % used: exceeded"
            " (14.5.3.2, AASHTO LRFD, 9th ed. (2020))."
        )
        assert (first["word"], third["word"]) == ("exceeded", "cannot check")
        assert "cannot check: needs «Largest opening»" in plain(third["sentence"])

    def test_a_check_is_near_from_the_share_of_the_agency_on(self, desk, joint, units):
        _, rows = desk
        words_before = [row["word"] for row in rows("capacity-checks/", units=units)]
        settle(watch_use=0.7)
        words_after = [row["word"] for row in rows("capacity-checks/", units=units)]
        assert (words_before[1], words_after[1]) == ("met", "near")

    def test_its_unit_is_explained_where_it_is_named(self, desk, joint, units):
        page, rows = desk
        other = make_element(joint.unit, "pot", "P-2", station_m=60.0)
        explain(joint)
        (row,) = rows("diagnoses/", element=joint.pk, units=units)
        assert rows("diagnoses/", element=other.pk) == rows("diagnoses/", element=10**6) == []
        told, shown = row["told"], page(f"/elements/{joint.pk}/", units)
        assert "2,300 times likelier with J-1 frozen" in told["explanations"][0]["evidence"]
        for each in (told["headline"], told["runner_up"], told["explanations"][0]["evidence"]):
            assert plain(each) in shown
        assert " ".join(["Next", *map(plain, told["next"])]) in shown


@UNITS
class TestABridge:
    def test_its_units_are_explained_with_what_to_measure_next(self, desk, bearing, units):
        page, rows = desk
        cannot_tell(bearing, stuck(bearing), blunder(bearing))
        shown = page("/bridges/B-1/", units)
        (unit,) = rows("bridges/B-1/explanations/", units=units)["units"]
        assert unit["unit_code"] == bearing.unit.code
        assert plain(unit["told"]["headline"]) in shown
        for each in unit["told"]["explanations"]:
            assert f"{plain(each['headline'])}. {plain(each['evidence'])}" in shown
        (pair,) = unit["apart"]
        assert pair["proposals"]
        for each in (pair["heading"], *pair["proposals"], pair["together"]):
            assert plain(each) in shown
        assert (" mm (±" in plain(pair["proposals"][0])) == (units == "si")

    def test_one_that_nothing_was_said_of_has_no_unit_to_explain(self, desk, units):
        _, rows = desk
        make_bridge("B-2")
        told = rows("bridges/B-2/explanations/", units=units)
        assert told == {"units": [], "usual_temperatures": ""}


@UNITS
def test_the_best_time_to_read_a_movement_is_told_as_the_plan_tells_it(desk, units):
    cache.clear()
    page, rows = desk
    record()
    summer_bridge("S-1", air_station="ST")
    summer_bridge("S-2")
    by_record, unknown = rows("best-times/", units=units)
    assert (by_record["bridge"], unknown["bridge"], unknown["by"]) == ("S-1", "S-2", "")
    shown = page("/plan/not-enough/", units)
    assert "in January" in by_record["when"]
    for each in (
        f"{by_record['when']} {by_record['narrows']} By {by_record['by']}",
        unknown["when"],
        *by_record["cautions"],
    ):
        assert plain(each) in shown
    assert rows("best-times/", bridge="S-2") == rows("best-times/", bridge="S-2", units="si")
    cache.clear()
