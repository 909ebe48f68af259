"""``manage.py assess``: the table an engineer reads and the formats other programs rely on."""

import csv
import datetime as dt
import io
import json
import math
import re
import subprocess
import sys
from collections import defaultdict

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections import assessment
from inspections.assessment_codes import REASON_CODES
from inspections.management.commands.assess import WRITERS
from inspections.models import ElementStatus, Verdict
from inspections.selectors.assessment import assessment_of, bridges_to_assess
from inspections.services import visits
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db

JOINT = {
    "installation": {
        "setting_source": "measured",
        "setting_temperature_c": 20.0,
        "setting_gap_mm": 50.0,
    },
    "design": {"opening_min_mm": 5.0, "opening_max_mm": 130.0},
}
LEFT = {"point": "left", "axis": "square"}


def assess(*arguments) -> str:
    out = io.StringIO()
    call_command("assess", *arguments, stdout=out)
    return out.getvalue()


def in_json(*arguments) -> dict:
    def refuse(word):
        raise AssertionError(f"{word} is no JSON")

    return json.loads(assess("--format", "json", *arguments), parse_constant=refuse)


@pytest.fixture
def bridge():
    """A bridge with one joint far too narrow, one as expected, a rocker and one never read."""
    bridge = make_bridge("B-100")
    unit = make_unit(bridge)
    for code, gap_mm in (("J-bad", 50.0), ("J-good", 85.0)):
        make_element(unit, "strip_seal", code=code, **JOINT)
        element = bridge.elements.get(code=code)
        visit, _ = bridge.inspections.get_or_create(
            date=dt.date(2024, 2, 1), kind="routine", defaults={"team": "two"}
        )
        read(visit, element, "gap", gap_mm, -10.0 if code == "J-bad" else None, **LEFT)
    rocker = make_element(
        unit,
        "rocker",
        code="R-1",
        installation={
            "setting_source": "measured",
            "setting_temperature_c": 20.0,
            "setting_tilt_deg": 0.0,
        },
        design={"rocker_radius_mm": 400.0, "tilt_limit_deg": 15.0},
    )
    # 35.1 mm shorter at -10 degC over a radius of 400 mm: -5.03 deg (hand calculation)
    read(visit, rocker, "tilt", -5.03)
    make_element(unit, "pot", code="P-1")
    visits.accept(inspection=visits.submit(inspection=visit), user=None)
    return bridge


def test_the_table_shows_the_flagged_elements_alone_and_counts_them_all(bridge):
    lines = assess().splitlines()
    table = lines[: lines.index("")]
    assert [line.split()[:2] for line in table if "B-100" in line] == [["B-100", "J-bad"]]
    assert lines[2].startswith("B-100")
    assert "J-bad" in lines[2]
    assert "Out of range" in lines[2]
    assert "far from expected" in lines[2]
    assert "50.0 mm" in lines[2]
    assert " 85.1 " in lines[2]
    assert lines[2].endswith("2024-02-01")
    assert lines[-2] == (
        "4 elements of 1 bridge: 1 out of range, 0 watch, 2 in range, 1 cannot judge."
    )


def test_the_table_shows_every_element_when_asked_with_each_column_aligned(bridge):
    lines = assess("--all").splitlines()
    table = lines[: lines.index("")]
    headings = ("Element", "Device", "Verdict", "Reason", "Read on")
    starts = [table[0].index(heading) for heading in headings]
    rows = [row for row in table[2:] if row.startswith("B-100")]
    assert len(rows) == 4
    for row in rows:
        assert all(row[start - 2 : start] == "  " and row[start] != " " for start in starts)
    assert "never measured" in "\n".join(table)


def test_no_word_of_a_reason_is_lost_where_the_table_is_narrow():
    bridge = make_bridge("B-WITH-A-LONG-CODE")
    joint = make_element(make_unit(bridge), "strip_seal", code="EXPANSION-JOINT-4", **JOINT)
    read(make_inspection(bridge), joint, "gap", 4.0, -10.0, accept=True, **LEFT)
    lines = assess().splitlines()
    header, rule, *rows = lines[: lines.index("")]
    start = header.index("Reason")
    end = rule.index(" ", start)
    assert len(rows) > 1
    assert " ".join(row[start:end].strip() for row in rows) == (
        "far from expected, limit reached now, limit reached when hottest"
    )


def test_the_table_fits_120_columns_however_long_the_names_are():
    bridge = make_bridge("ROUTE-88-OVER-THE-LONGEST-RIVER-EAST")
    joint = make_element(
        make_unit(bridge), "compression_seal", code="EXPANSION-JOINT-NORTH-LANES-4", **JOINT
    )
    read(make_inspection(bridge), joint, "gap", 4.0, -10.0, accept=True, **LEFT)
    lines = assess("--all").splitlines()
    assert max(map(len, lines)) <= 120
    assert "Out of range" in lines[2]


def test_the_table_speaks_inches_when_asked(bridge):
    assert "1.97 in" in assess("--units", "us")


def test_a_new_verdict_is_computed_from_what_the_register_says_now(bridge):
    Verdict.objects.update(verdict=1, expected=0.0)
    ElementStatus.objects.update(verdict=1)
    bad = next(each for each in in_json()["elements"] if each["element_code"] == "J-bad")
    assert bad["verdict"] == "out_of_range"
    assert bad["deciding"]["expected_mm"] == pytest.approx(85.1)


def test_the_json_names_its_format_its_thresholds_and_its_counts(bridge):
    document = in_json()
    assert document["format"] == "ledger-assessment/2"
    thresholds, counts = document["thresholds"], document["counts"]
    assert {name: thresholds[name] for name in ("watch_k", "out_k", "watch_use", "band_k")} == {
        "watch_k": 2.0, "out_k": 3.0, "watch_use": 0.9, "band_k": 2.0,
    }  # fmt: skip
    assert {
        "frozen_below",
        "free_above",
        "chance",
        "explanation_needed",
        "shrinkage_scatter",
    } <= set(thresholds)
    words = ("bridges", "elements", "out_of_range", "watch", "in_range", "cannot_judge")
    assert [counts[word] for word in words] == [1, 4, 1, 0, 2, 1]
    assert dt.datetime.fromisoformat(document["generated_at"]).tzinfo is not None


def test_the_json_tells_of_each_element_what_an_engineer_needs(bridge):
    by_code = {each["element_code"]: each for each in in_json()["elements"]}
    bad = by_code["J-bad"]
    assert bad["verdict"] == "out_of_range"
    # 58.9 K warmer than now it would be 69 mm narrower than 50 mm
    assert bad["reasons"] == ["residual_out", "past_limit_at_max"]
    assert "35.1 mm narrower than the 85.1 mm expected" in bad["sentence"]
    assert bad["last_seen_on"] == "2024-02-01"
    reading = bad["deciding"]
    assert (reading["unit"], reading["value_mm"]) == ("mm", 50.0)
    assert reading["temperature_way"] == "shaded_surface"
    assert (reading["limit_lower_mm"], reading["limit_upper_mm"]) == (5.0, 130.0)
    # AASHTO LRFD 9th edition, Table 3.12.2.1-1: steel, cold climate, -30 to 120 degF
    assert reading["design_min_c"] == pytest.approx(-34.444, abs=1e-3)
    assert reading["design_max_c"] == pytest.approx(48.889, abs=1e-3)
    assert by_code["P-1"]["reasons"] == ["never_read"]
    assert by_code["P-1"]["deciding"] is None
    assert by_code["R-1"]["deciding"]["value_deg"] == -5.03


def test_the_five_numbers_of_the_json_give_its_expected_value_and_band(bridge):
    for element in in_json()["elements"]:
        reading = element["deciding"]
        if reading is None:
            continue
        unit, at = reading["unit"], reading["temperature_c"]
        slope = reading[f"b_{unit}_per_c"]
        expected = reading[f"a_{unit}"] + slope * at
        variance = (
            reading[f"c0_{unit}2"]
            + reading[f"c1_{unit}2_per_c"] * at
            + reading[f"c2_{unit}2_per_c2"] * at**2
            + (slope * reading["u_temperature_k"]) ** 2
            + reading[f"u_reading_{unit}"] ** 2
        )
        assert reading[f"expected_{unit}"] == pytest.approx(expected, abs=1e-9)
        assert reading[f"band_upper_{unit}"] == pytest.approx(expected + 2 * math.sqrt(variance))


def test_every_field_of_the_json_is_documented_and_every_documented_field_is_there(bridge):
    documented = defaultdict(set)
    for where, name, _unit, meaning in assessment.described():
        assert meaning
        documented[where].add(name)
    document = in_json()
    assert set(document) == documented["document"]
    met = set()
    for element in document["elements"]:
        assert set(element) == documented["element"]
        met |= set(element["deciding"] or ())
    # the bridge has lengths and a tilt; nothing on it is read in mrad or kN, or counted
    elsewhere = re.compile("_(mrad|kn|count)")
    assert met == {name for name in documented["deciding"] if not elsewhere.search(name)}


def test_the_documented_names_and_units_agree():
    endings = {
        "_mm": "mm", "_mrad": "mrad", "_deg": "deg", "_kn": "kN", "_mpa": "MPa", "_c": "degC",
        "_k": "K", "_m": "m", "_per_c": "/degC", "_per_year": "/year", "_years": "years",
        "_in_u": "standard uncertainties", "2": "^2",
    }  # fmt: skip
    for _where, name, unit, _meaning in assessment.described():
        if unit in ("", "share"):
            continue
        ending = max((each for each in endings if name.endswith(each)), key=len, default=None)
        assert ending, f"{name} tells no unit, but has {unit}"
        assert unit.endswith(endings[ending])


def test_the_printed_columns_name_every_field_with_its_unit():
    text = assess("--columns")
    assert "ledger-assessment/2" in text
    told = {
        (where, name) for where, name, *_ in (line.split() for line in text.splitlines() if line)
    }
    for column in assessment.CSV_COLUMNS:
        name = column.removeprefix("history_")
        places = ["history"] if name != column else ["element", "deciding"]
        assert any((place, name) in told for place in places)


def test_the_format_keeps_its_names():
    """Other programs rely on these: adding is fine, losing one needs a new format number."""
    assert {
        "bridge_code", "element_code", "device_type", "verdict", "reasons", "sentence",
        "last_seen_on", "greatest_use", "quantity", "point", "axis", "unit", "taken_at",
        "value_mm", "expected_mm", "band_lower_mm", "band_upper_mm", "residual_mm",
        "residual_in_u", "temperature_c", "temperature_way", "setting_value_mm",
        "setting_temperature_c", "setting_from", "limit_lower_mm", "limit_upper_mm",
        "design_min_c", "design_max_c", "use_now", "use_at_min", "use_at_max", "a_mm",
        "b_mm_per_c", "c0_mm2", "c1_mm2_per_c", "c2_mm2_per_c2", "value_deg", "value_mrad",
        "model_version", "judged_at",
    } <= set(assessment.CSV_COLUMNS)  # fmt: skip
    assert list(REASON_CODES.values()) == [
        "residual_out", "past_limit_now", "past_limit_at_min", "past_limit_at_max",
        "residual_watch", "near_limit_now", "near_limit_at_min", "near_limit_at_max",
        "no_reading", "no_temperature", "no_setting", "no_expansion", "no_limits", "no_extremes",
        "is_baseline",
    ]  # fmt: skip
    assert len(set(assessment.CSV_COLUMNS)) == len(assessment.CSV_COLUMNS)


def test_the_csv_has_one_row_an_element_with_the_numbers_of_the_json(bridge, tmp_path):
    path = tmp_path / "assessment.csv"
    assess("--format", "csv", "--output", str(path))
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert list(rows[0]) == list(assessment.CSV_COLUMNS)
    assert [row["element_code"] for row in rows] == [
        each["element_code"] for each in in_json()["elements"]
    ]
    bad = next(row for row in rows if row["element_code"] == "J-bad")
    assert float(bad["value_mm"]) == 50.0
    assert float(bad["expected_mm"]) == pytest.approx(85.1)
    assert bad["value_deg"] == ""
    assert bad["reasons"] == "residual_out past_limit_at_max"


def test_a_name_that_looks_like_a_formula_is_harmless_in_the_csv():
    bridge = make_bridge()
    bridge.name = "=1+1"
    bridge.save()
    make_element(make_unit(bridge))
    row = next(csv.DictReader(io.StringIO(assess("--format", "csv"))))
    assert row["bridge_name"] == "'=1+1"


def test_only_the_named_bridges_are_told(bridge):
    other = make_element(make_unit(make_bridge("B-200")))
    assert [each["element_code"] for each in in_json("--bridge", "B-200")["elements"]] == [
        other.code
    ]


def test_an_unknown_bridge_is_a_wrong_argument_and_near_codes_are_named(bridge):
    with pytest.raises(CommandError, match=r"«b-10».*Did you mean B-100\?") as refused:
        assess("--bridge", "b-10")
    assert refused.value.returncode == 2


def test_fail_on_tells_by_its_exit_code_whether_something_was_found(bridge):
    with pytest.raises(CommandError, match="1 such element") as found:
        assess("--fail-on", "out-of-range")
    assert found.value.returncode == 3
    with pytest.raises(CommandError) as found:
        assess("--fail-on", "watch")
    assert found.value.returncode == 3
    make_element(make_unit(make_bridge("B-200")))
    assert assess("--bridge", "B-200", "--fail-on", "watch")


def test_a_file_that_cannot_be_written_fails_with_code_1(bridge, tmp_path):
    with pytest.raises(CommandError, match="cannot be written") as failed:
        assess("--output", str(tmp_path / "nowhere" / "a.txt"))
    assert failed.value.returncode == 1


def test_an_output_file_replaces_the_old_one_whole_and_leaves_nothing_beside_it(bridge, tmp_path):
    path = tmp_path / "a.json"
    path.write_text("old and much longer than nothing" * 1000, encoding="utf-8")
    assess("--format", "json", "--output", str(path))
    assert json.loads(path.read_text(encoding="utf-8"))["counts"]["elements"] == 4
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_writing_takes_as_many_queries_for_thirty_elements_as_for_three(form):
    unit = make_unit(make_bridge())
    options = {"all": True, "units": "si"}

    def queries() -> int:
        assess()
        bridges = bridges_to_assess()
        with CaptureQueriesContext(connection) as caught:
            WRITERS[form](io.StringIO(), bridges, assessment_of(bridges), options)
        return len(caught)

    visit = make_inspection(unit.bridge)
    for number in range(3):
        read(visit, make_element(unit, "strip_seal", **JOINT), "gap", 60.0 + number, **LEFT)
    few = queries()
    for number in range(27):
        read(visit, make_element(unit, "strip_seal", **JOINT), "gap", 60.0 + number, **LEFT)
    assert queries() == few


def test_the_command_line_refuses_a_wrong_option_with_code_2(tmp_path):
    result = subprocess.run(
        [sys.executable, "manage.py", "assess", "--format", "xml"],
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=False,
        env={"LEDGER_DIR": str(tmp_path), "PATH": ""},
    )
    assert result.returncode == 2
    assert "invalid choice: 'xml'" in result.stderr
