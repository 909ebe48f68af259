"""Element data in and out: a real file, rows that are not ours, and those of the ledger.

The file: tests/data/element_data_sample.xml, source and licence in tests/data/README.md.
"""

import datetime as dt
import io
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from hypothesis import given
from hypothesis import strategies as st

from inspections.element_rows import ElementRow
from inspections.exchange.element_data import import_element_data
from inspections.exchange.element_xml import read_structures, write_rows
from inspections.exchange.element_xml_guide import SAMPLE
from inspections.models import Condition, ElementDataRow
from inspections.selectors.element_data import element_data, in_whole_feet
from inspections.services.visits import submit
from inventory.element_numbers import ELEMENT_NUMBER, NAMES
from inventory.exchange.problems import ImportRefused
from inventory.models import Bridge, Installation
from inventory.models.choices import DeviceType, ElementKind
from inventory.services.installations import replace_installation
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

REAL = (Path(__file__).parents[1] / "data" / "element_data_sample.xml").read_bytes()
FIRST, SECOND = "000000000000168", "000000000001270"


def written(rows) -> str:
    stream = io.StringIO()
    write_rows(stream, rows)
    return stream.getvalue()


def read_rows(content: bytes) -> list[ElementRow]:
    """Return the rows of a file in its order."""
    found = [each for rows in read_structures(content) for each in rows]
    return [row for row, _ in sorted(found, key=lambda each: each[1])]


def problems_of(content: bytes) -> list[str]:
    with pytest.raises(ImportRefused) as refused:
        read_rows(content)
    return [str(each) for each in refused.value.problems]


def a_bridge(number: str = FIRST, state: str = "19", code: str = "B-1") -> Bridge:
    return make_bridge(code, inventory_state_code=state, inventory_number=number)


def rate(element, states, day: dt.date = dt.date(2024, 6, 1), handed_in: bool = True) -> None:
    """Give an element condition states as a whole on a visit of its own."""
    visit = make_inspection(element.bridge, day)
    one, two, three, four = states
    Condition.objects.create(
        inspection=visit,
        element=element,
        defect=0,
        cs1=one,
        cs2=two,
        cs3=three,
        cs4=four,
        total=sum(states),
    )
    if element.kind == ElementKind.JOINT:
        read(visit, element, "gap", 50.0, 15.0, point="left", axis="square")
    else:
        read(visit, element, "offset_along", 1.0, 15.0)
    if handed_in:
        submit(inspection=visit)


def told(**where) -> dict[int, ElementRow]:
    """Return the rows that lie on no other, by element number."""
    bridges = Bridge.objects.filter(**where) if where else None
    return {row.element: row for row in element_data(bridges).rows if row.parent is None}


class TestTheFile:
    def test_a_real_file_comes_back_byte_for_byte(self):
        rows = read_rows(REAL)
        assert len(rows) == 23
        assert written(rows).strip() == REAL.decode().strip()

    def test_its_joints_and_bearings_are_read_as_they_stand(self):
        rows = {(row.number, row.element): row for row in read_rows(REAL)}
        assert rows[FIRST, 301].states == (5, 155, 25, 85)
        assert rows[FIRST, 313].states == (0, 0, 60, 0)
        assert rows[FIRST, 510].parent == 12

    @given(
        st.lists(
            st.builds(
                ElementRow,
                st.from_regex(r"[0-9]{2}", fullmatch=True),
                st.text("AZ09 &<>'\"-é", min_size=1, max_size=15).filter(
                    lambda text: text == text.strip()
                ),
                st.integers(1, 9999),
                st.none(),
                st.none(),
                st.tuples(*[st.integers(0, 10**6)] * 4),
            ),
            min_size=1,
            unique_by=lambda row: (row.structure, row.element),
        )
    )
    def test_whatever_is_written_is_read_back(self, rows):
        rows = [
            ElementRow(row.state, row.number, row.element, None, sum(row.states), row.states)
            for row in rows
        ]
        assert read_rows(written(rows).encode()) == rows

    def test_tags_stand_in_the_order_of_the_format(self):
        for row in ET.fromstring(written(read_rows(SAMPLE.encode()))):  # noqa: S314
            tags = [each.tag for each in row]
            assert tags == [
                "STATE",
                "STRUCNUM",
                "EN",
                *(["EPN"] if "EPN" in tags else []),
                "TOTALQTY",
                "CS1",
                "CS2",
                "CS3",
                "CS4",
            ]

    @pytest.mark.parametrize("root", [b"FHWAElement", b"FHWAElements"])
    def test_files_as_agencies_hand_them_in_are_read_the_same(self, root):
        """As a state's own exporter writes them: root, comment on top and line ends differ."""
        content = REAL.replace(b"FHWAELEMENT", root).replace(b"\n", b"\r\n")
        head, row = content.split(b"<" + root + b">")
        assert read_rows(head + b"<!-- Export of\r\nthe agency --><" + root + b">" + row) == (
            read_rows(REAL)
        )

    def test_utf_16_with_a_byte_order_mark_and_a_namespace_is_read(self):
        text = (
            REAL.decode()
            .replace("utf-8", "utf-16")
            .replace("<FHWAELEMENT>", '<FHWAELEMENT xmlns="urn:x">')
        )
        assert read_rows(text.encode("utf-16")) == read_rows(REAL)

    def test_a_state_left_out_is_none_of_it(self):
        content = REAL.replace(b"    <CS4>0</CS4>\n", b"")
        assert read_rows(content) == read_rows(REAL)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "The file is empty"),
        (b"<FHWAELEMENT><FHWAED>", "not well-formed XML"),
        (b"bridge_code,inspection_date\n", "not well-formed XML"),
        (b"<a/>", "The root is «a», not FHWAELEMENT"),
        (b"<FHWAELEMENT/>", "has no row"),
        (b"<FHWAELEMENT><X/></FHWAELEMENT>", "Unknown tag. Rows are «FHWAED»"),
        (
            b"<!DOCTYPE F [<!ENTITY a 'b'>]><FHWAELEMENT><FHWAED/></FHWAELEMENT>",
            "declares a document type",
        ),
        (
            b"<FHWAELEMENT><FHWAED><I1>T-1</I1><EN>10000</EN></FHWAED></FHWAELEMENT>",
            "This is tunnel element data",
        ),
        (b"<NTI><TunnelInstance/></NTI>", "This is tunnel element data"),
        (REAL.replace(b"<CS1>5922<", b"<CS1>5921<", 1), "line 3, column TOTALQTY: CS1 to CS4 sum"),
        (REAL.replace(b"<CS1>5922<", b"<CS1>5922.0<", 1), "no whole number"),
        (REAL.replace(b"<CS1>5922<", b"<CS1>-5922<", 1), "no whole number"),
        (REAL.replace(b"<EN>109<", b"<EN>12<", 1), "line 13, column EN: Element 12"),
        (REAL.replace(b"<EPN>12<", b"<EPN>13<", 1), "The parent, element 13, has no row"),
        (REAL.replace(b"<STATE>19<", b"<STATE>IA<", 1), "«IA» is no state code"),
        (REAL.replace(b"<TOTALQTY>", b"<TOTAL>", 1).replace(b"</TOTALQTY>", b"</TOTAL>", 1),
         "column TOTALQTY: This tag is missing"),
        (REAL.replace(b"<EN>12<", b"<EN>12</EN><EN>12<", 1), "stands in the row twice"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_taken_is_refused_with_its_reason(content, words):
    assert any(words in each for each in problems_of(content)), problems_of(content)


@pytest.mark.django_db
class TestRowsThatAreNotOurs:
    def test_a_file_imported_comes_out_again_whole(self):
        import_element_data(REAL)
        assert written(element_data().rows).strip() == REAL.decode().strip()

    def test_the_same_file_again_changes_nothing(self):
        import_element_data(REAL)
        before = set(ElementDataRow.objects.values_list("pk", flat=True))
        assert import_element_data(REAL).changes == 0
        assert set(ElementDataRow.objects.values_list("pk", flat=True)) == before

    def test_a_trial_writes_nothing_and_counts_the_same(self):
        trial = import_element_data(REAL, dry_run=True)
        assert not ElementDataRow.objects.exists()
        assert trial.created == import_element_data(REAL).created

    def test_a_newer_file_replaces_its_structures_and_leaves_the_others(self):
        import_element_data(REAL)
        row = ElementRow("19", FIRST, 301, None, 10, (10, 0, 0, 0))
        result = import_element_data(written([row]).encode())
        assert result.updated["structure"] == 1
        rows = element_data().rows
        assert [each for each in rows if each.number == FIRST] == [row]
        assert [each for each in rows if each.number == SECOND] == [
            each for each in read_rows(REAL) if each.number == SECOND
        ]

    def test_one_number_in_two_states_is_two_structures(self):
        import_element_data(REAL)
        other = ElementRow("20", FIRST, 12, None, 7, (7, 0, 0, 0))
        import_element_data(written([other]).encode())
        a_bridge(state="20")
        assert element_data(Bridge.objects.all()).rows == [other]
        assert len(element_data().rows) == 24


@pytest.mark.django_db
class TestRowsOfTheLedger:
    def test_joints_come_in_feet_that_sum_and_bearings_each(self):
        unit = make_unit(a_bridge())
        # 3 + 4 m = 22.97 ft, 5 m = 16.40 ft, 1 m = 3.28 ft: 42.65 ft in all.
        rate(make_element(unit, "strip_seal"), (3, 5, 0, 0))
        rate(make_element(unit, "strip_seal"), (4, 0, 1, 0), dt.date(2024, 6, 2))
        rate(make_element(unit, "pot"), (1, 0, 0, 0), dt.date(2024, 6, 3))
        rate(make_element(unit, "pot"), (0, 0, 1, 0), dt.date(2024, 6, 4))
        rows = told()
        assert rows[300] == ElementRow("19", FIRST, 300, None, 43, (23, 17, 3, 0))
        assert rows[314] == ElementRow("19", FIRST, 314, None, 2, (1, 0, 1, 0))

    def test_an_enclosed_bearing_is_one_whatever_its_type_and_a_joint_never(self):
        unit = make_unit(a_bridge())
        enclosed = {"access": "enclosed"}
        rate(make_element(unit, "pot", place=enclosed), (0, 1, 0, 0))
        rate(make_element(unit, "rocker", place=enclosed), (1, 0, 0, 0), dt.date(2024, 6, 2))
        rate(make_element(unit, "pot"), (1, 0, 0, 0), dt.date(2024, 6, 3))
        rate(make_element(unit, "poured", place=enclosed), (3, 0, 0, 0), dt.date(2024, 6, 4))
        rows = told()
        assert rows[312] == ElementRow("19", FIRST, 312, None, 2, (1, 1, 0, 0))
        assert rows[314].total == 1
        assert 311 not in rows
        assert rows[301].total == 10

    def test_they_stand_in_place_of_what_was_given_and_all_else_is_kept(self):
        import_element_data(REAL)
        joint = make_element(make_unit(a_bridge()), "poured")
        rate(joint, (0, 10, 0, 0))
        given = {row.element: row for row in read_rows(REAL) if row.number == FIRST}
        rows = told(code="B-1")
        assert rows.pop(301).states == (0, 33, 0, 0)
        assert rows == {
            number: row for number, row in given.items() if number != 301 and row.parent is None
        }

    def test_of_several_visits_the_last_that_was_handed_in_counts(self):
        bearing = make_element(make_unit(a_bridge()), "pot")
        rate(bearing, (0, 1, 0, 0), dt.date(2022, 6, 1))
        rate(bearing, (0, 0, 1, 0), dt.date(2023, 6, 1))
        rate(bearing, (0, 0, 0, 1), dt.date(2024, 6, 1), handed_in=False)
        assert told()[314].states == (0, 0, 1, 0)

    def test_states_of_an_earlier_device_say_nothing_of_todays(self):
        bearing = make_element(make_unit(a_bridge()), "pot", code="P-1")
        rate(bearing, (0, 0, 0, 1), dt.date(2022, 6, 1))
        replace_installation(
            element=bearing,
            ended_on=dt.date(2023, 1, 1),
            end_reason="replaced",
            installation=Installation(device_type="pot", installed_on=dt.date(2023, 1, 1)),
        )
        found = element_data()
        assert found.rows == []
        assert "P-1" in " ".join(found.notices)

    def test_a_part_never_passes_for_the_whole(self):
        unit = make_unit(a_bridge())
        rate(make_element(unit, "pot", code="P-1"), (1, 0, 0, 0))
        make_element(unit, "pot", code="P-2")
        found = element_data()
        assert found.rows == []
        assert found.notices == [
            "B-1, element 314 (Pot bearing) is not reported from the ledger: no condition states"
            " of the element as a whole are on record of P-2."
        ]

    def test_a_bridge_without_its_numbers_is_named(self):
        make_bridge("NAMELESS")
        assert "NAMELESS" in element_data().notices[0]

    def test_restraints_have_no_national_number(self):
        assert {each for each in DeviceType if each not in ELEMENT_NUMBER} == {
            DeviceType.SHEAR_KEY,
            DeviceType.HOLD_DOWN,
            DeviceType.ANCHOR_RODS,
            DeviceType.CLAMP,
            DeviceType.LOCK_UP,
            DeviceType.RESTRAINER_CABLE,
        }
        assert set(ELEMENT_NUMBER.values()) <= NAMES.keys()

    def test_as_many_queries_for_many_bridges_as_for_one(self, django_assert_max_num_queries):
        for number in range(12):
            bridge = a_bridge(f"S{number}", code=f"B-{number}")
            rate(make_element(make_unit(bridge), "pot"), (1, 0, 0, 0))
        with django_assert_max_num_queries(5):
            assert len(element_data().rows) == 12


@given(st.lists(st.integers(0, 5000), min_size=4, max_size=4))
def test_feet_are_whole_sum_to_the_length_and_none_is_off_by_a_foot(lengths_m):
    feet = in_whole_feet(lengths_m)
    # 1 ft = 0.3048 m exactly: international foot, NIST SP 811, appendix B.
    assert abs(sum(feet) - sum(lengths_m) / 0.3048) <= 0.5 + 1e-9
    for whole, length_m in zip(feet, lengths_m, strict=True):
        assert isinstance(whole, int)
        assert abs(whole - length_m / 0.3048) < 1


@pytest.mark.django_db
class TestPagesAndCommands:
    def test_the_page_tells_what_the_file_holds_and_lacks(self, as_role):
        unit = make_unit(a_bridge())
        rate(make_element(unit, "pot"), (1, 0, 0, 0))
        make_element(unit, "strip_seal", code="J-9")
        page = as_role("manager").get("/exports/element-data/?bridge=B-1").content.decode()
        assert "314 Pot bearing" in page
        assert "J-9" in page
        assert '/exports/element-data.xml?bridge=B-1"' in page

    def test_the_file_of_one_bridge_holds_that_bridge_alone(self, as_role):
        import_element_data(REAL)
        a_bridge(SECOND, code="B-2")
        response = as_role("manager").get("/exports/element-data.xml?bridge=B-2")
        content = b"".join(response.streaming_content)
        assert {row.number for row in read_rows(content)} == {SECOND}
        assert response["Content-Type"].startswith("text/xml")

    def test_in_and_out_by_command(self, tmp_path):
        source, out = tmp_path / "in.xml", tmp_path / "out.xml"
        source.write_bytes(REAL)
        said = io.StringIO()
        call_command("import_element_data", str(source), stdout=said)
        assert "2 new" in said.getvalue()
        call_command("export_element_data", output=out, stdout=said)
        assert out.read_text().strip() == REAL.decode().strip()

    def test_commands_refuse_with_the_reason(self, tmp_path):
        source = tmp_path / "in.xml"
        source.write_bytes(b"<NTI><TunnelInstance/></NTI>")
        with pytest.raises(CommandError, match="tunnel"):
            call_command("import_element_data", str(source))
        with pytest.raises(CommandError, match="NOPE"):
            call_command("export_element_data", bridge=["NOPE"])
