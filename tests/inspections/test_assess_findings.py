"""``manage.py assess``: histories, capacity and explanations, as people and programs read them."""

import csv
import datetime as dt
import io
import json
import math

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections import assessment
from inspections.assessment_table import table_lines
from inspections.assessment_writing import csv_cells, json_text
from inspections.models import AgencySettings, ElementStatus
from inspections.models.choices import CauseWord, DiagnosisWord, RaisedBy, VerdictWord
from inspections.selectors.assessment import (
    assessment_of,
    bridges_to_assess,
    diagnoses_to_tell,
    statuses_of,
    telling_units,
    worst_first,
)
from inventory.units import System
from movement.history.findings import Finding, Missing
from movement.whole_bridge.results import Missing as UnitMissing
from tests.inspections.desk_rows import JOINT, LEFT
from tests.inspections.finding_rows import (
    forget_findings,
    frozen,
    make_check,
    make_diagnosis,
    make_history,
    unclear,
)
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    """A unit with a joint whose history raised its verdict, and one that nothing is known of."""
    unit = make_unit(make_bridge("B-1"))
    joint = make_element(unit, "strip_seal", "J-1", **JOINT)
    visit = make_inspection(unit.bridge)
    read(visit, joint, "gap", 70.0, 15.0, accept=True, **LEFT)
    make_element(unit, "pot", "P-1")
    forget_findings(unit.bridge)
    history = make_history(
        joint,
        findings=Finding.STEP,
        step_size=12.0,
        step_after=dt.date(2021, 5, 4),
        step_before=dt.date(2022, 3, 2),
    )
    make_check(joint, use=1.3, demand=130.0)
    make_check(joint, use=None, demand=None, capacity=None, lacking="opening_max_mm, skew_deg")
    ElementStatus.objects.filter(element=joint).update(
        verdict=VerdictWord.WATCH, raised_by=RaisedBy.HISTORY, history=history
    )
    return unit


def told(form: str = "json", all_of_them: bool = True) -> str:
    """Return an assessment of what stands in the ledger, without judging it again."""
    bridges = bridges_to_assess()
    found = assessment_of(bridges)
    if form == "json":
        return "".join(json_text(found, statuses_of(bridges), diagnoses_to_tell(bridges)))
    if form == "table":
        rows = worst_first(bridges, flagged_only=not all_of_them)
        return "\n".join(table_lines(rows, telling_units(bridges), found.counts, System.SI))
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(assessment.CSV_COLUMNS)
    writer.writerows(csv_cells(each, str) for each in statuses_of(bridges))
    return out.getvalue()


def in_json() -> dict:
    def refuse(word):
        raise AssertionError(f"{word} is no JSON")

    return json.loads(told(), parse_constant=refuse)


def test_the_json_tells_the_history_of_each_channel_with_its_numbers(unit):
    joint, pot = in_json()["elements"]
    (history,) = joint["histories"]
    assert history["response"] == "frozen"
    assert history["findings"] == ["step"]
    assert (history["ratio"], history["ratio_low"], history["ratio_high"]) == (0.06, -0.08, 0.19)
    assert (history["unit"], history["step_mm"]) == ("mm", 12.0)
    assert (history["step_after"], history["step_before"]) == ("2021-05-04", "2022-03-02")
    assert history["expected_slope_mm_per_c"] == -1.17
    assert history["drift_mm_per_year"] is None
    assert history["sentence"].startswith("Follows the temperature at 0.06 of what is expected")
    assert pot["histories"] == []


def test_the_json_says_what_raised_a_verdict(unit):
    document = in_json()
    joint, pot = document["elements"]
    assert (joint["verdict"], joint["raised_by"]) == ("watch", "history")
    assert joint["sentence"].startswith("Watch because of its history.")
    assert pot["raised_by"] == "reading"
    assert document["counts"]["raised_by_history"] == 1
    assert document["counts"]["raised_by_unit"] == 0


def test_the_json_names_every_check_with_clause_edition_and_use_or_what_it_lacks(unit):
    exceeded, cannot = in_json()["elements"][0]["capacity"]
    assert exceeded["clause"] == "14.5.3.2"
    assert exceeded["edition"] == "AASHTO LRFD, 9th ed. (2020)"
    assert (exceeded["demand_mm"], exceeded["capacity_mm"], exceeded["use"]) == (130.0, 100.0, 1.3)
    assert exceeded["state"] == "exceeded"
    assert (cannot["state"], cannot["use"]) == ("cannot_check", None)
    assert cannot["lacking"] == ["opening_max_mm", "skew_deg"]


def test_the_agency_says_from_which_use_on_a_check_of_the_json_is_near(unit):
    make_check(unit.elements.get(code="J-1"), use=0.85)
    assert in_json()["elements"][0]["capacity"][2]["state"] == "met"
    AgencySettings(watch_use=0.8).save()
    assert in_json()["elements"][0]["capacity"][2]["state"] == "near"


def test_the_json_ranks_the_explanations_of_each_unit_with_their_evidence(unit):
    joint = unit.elements.get(code="J-1")
    visit = unit.bridge.inspections.get()
    make_diagnosis(
        unit,
        frozen(joint, log_ratio=math.log(2345)),
        {
            "cause": CauseWord.WRONG_TEMPERATURE,
            "visit": visit,
            "size": 14.0,
            "low": 11.0,
            "high": 17.0,
        },
    )
    document = in_json()
    (told_unit,) = document["units"]
    assert (told_unit["bridge_code"], told_unit["unit_code"]) == ("B-1", "U1")
    assert told_unit["outcome"] == "explained"
    first, second = told_unit["explanations"]
    assert (first["cause"], first["element_code"], first["is_register"]) == ("frozen", "J-1", False)
    assert (first["size"], first["size_unit"]) == (0.04, "share")
    assert first["log_ratio"] == pytest.approx(math.log(2345))
    assert "2,300 times likelier with J-1 frozen" in first["sentence"]
    assert (second["cause"], second["visit_on"]) == ("wrong_temperature", "2024-06-01")
    assert (second["size_low"], second["size_high"], second["size_unit"]) == (11.0, 17.0, "K")
    assert document["counts"]["units_explained"] == 1


def test_the_json_says_what_a_unit_without_an_answer_misses(unit):
    make_diagnosis(
        unit, outcome=DiagnosisWord.NOT_ENOUGH, missing=UnitMissing.TEMPERATURE_RANGE,
        range_needed_k=22.0,
    )  # fmt: skip
    (told_unit,) = in_json()["units"]
    assert told_unit["outcome"] == "not_enough_information"
    assert told_unit["missing"] == ["temperature_range"]
    assert told_unit["range_needed_k"] == 22.0
    assert told_unit["explanations"] == []


def test_every_field_of_the_findings_is_documented_and_there(unit):
    joint = unit.elements.get(code="J-1")
    make_diagnosis(unit, frozen(joint))
    documented = {"history": set(), "capacity": set(), "unit": set(), "explanation": set()}
    for where, name, _unit, meaning in assessment.described():
        assert meaning
        if where in documented:
            documented[where].add(name)
    elsewhere = ("_mrad", "_deg", "_kn", "_mpa", "_count")
    document = in_json()
    element, told_unit = document["elements"][0], document["units"][0]
    for where, record in (
        ("history", element["histories"][0]),
        ("capacity", element["capacity"][0]),
    ):
        assert set(record) == {
            name for name in documented[where] if not any(unit in name for unit in elsewhere)
        }
    assert set(told_unit) == documented["unit"]
    assert set(told_unit["explanations"][0]) == documented["explanation"]


def test_the_csv_carries_the_history_that_raised_the_verdict(unit):
    joint, pot = csv.DictReader(io.StringIO(told("csv")))
    assert joint["raised_by"] == "history"
    assert joint["history_response"] == "frozen"
    assert float(joint["history_ratio"]) == 0.06
    assert joint["history_findings"] == "step"
    assert joint["history_step_mm"] == "12.0"
    assert joint["history_step_deg"] == ""
    assert pot["history_response"] == ""


def test_the_csv_carries_the_history_of_the_channel_that_decides(unit):
    joint = unit.elements.get(code="J-1")
    ElementStatus.objects.filter(element=joint).update(raised_by="", history=None)
    unclear(joint, point="right", missing=Missing.TOO_FEW_VISITS)
    row = next(csv.DictReader(io.StringIO(told("csv"))))
    assert (row["history_point"], row["history_response"]) == ("left", "frozen")


def test_the_table_tells_response_and_cause_in_short_within_120_columns(unit):
    joint = unit.elements.get(code="J-1")
    make_diagnosis(unit, frozen(joint, log_ratio=math.log(2345)))
    lines = told("table", all_of_them=False).splitlines()
    assert "Follows" in lines[0]
    assert "0.06" in lines[2]
    assert "frozen, stepped" in lines[2]
    assert max(map(len, lines)) <= 120
    assert any(
        line.startswith("B-1, unit U1, as a whole: J-1 frozen. 2,300 times likelier than nothing")
        for line in lines
    )


@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_findings_cost_the_same_queries_for_thirty_elements_as_for_two(unit, form):
    def queries() -> int:
        with CaptureQueriesContext(connection) as caught:
            told(form)
        return len(caught)

    make_diagnosis(unit, frozen(unit.elements.get(code="J-1")))
    few = queries()
    visit = make_inspection(unit.bridge, dt.date(2025, 1, 1))
    for number in range(28):
        joint = make_element(unit, "strip_seal", f"J-{number + 10}", **JOINT)
        read(visit, joint, "gap", 70.0, **LEFT)
        make_history(joint)
        make_check(joint)
    make_diagnosis(unit, frozen(joint))
    assert queries() == few


def test_the_command_writes_the_new_format():
    make_element(make_unit(make_bridge("B-2")))
    out = io.StringIO()
    call_command("assess", "--format", "json", stdout=out)
    document = json.loads(out.getvalue())
    assert document["format"] == "ledger-assessment/2"
    assert document["counts"]["units"] == len(document["units"])
