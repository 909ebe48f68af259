"""Element data files of every sort: odd rows, attacks, big ones; and there and back.

All are invented; the real one is in ``test_element_data``.
"""

import tracemalloc

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.element_rows import ElementRow, StructureKey
from inspections.exchange.element_data import import_element_data
from inspections.exchange.element_xml import read_structures
from inspections.models import Condition, ElementDataRow
from inspections.selectors.element_data import element_data
from inspections.services.visits import submit
from inventory.exchange.problems import ImportRefused
from tests.inspections.test_element_data import (
    FIRST,
    REAL,
    a_bridge,
    problems_of,
    rate,
    read_rows,
    written,
)
from tests.make import make_element, make_inspection, make_unit

DECK = ElementRow("19", FIRST, 12, None, 100, (90, 10, 0, 0))
COATING = ElementRow("19", FIRST, 510, 12, 100, (100, 0, 0, 0))


def row_of(*tags: tuple[str, object]) -> str:
    """Return a row of a file with tags in the order given."""
    return f"<FHWAED>{''.join(f'<{tag}>{value}</{tag}>' for tag, value in tags)}</FHWAED>"


def file_of(*rows: str) -> bytes:
    """Return a file with a row a line, the first on the second."""
    return "\n".join(["<FHWAELEMENT>", *rows, "</FHWAELEMENT>"]).encode()


def plain(**changed) -> list[tuple[str, object]]:
    """Return the tags of a good row of a deck, some of them changed."""
    tags = {"STATE": "19", "STRUCNUM": FIRST, "EN": 12, "TOTALQTY": 100, "CS1": 90, "CS2": 10}
    return [*(tags | changed).items()]


class TestOddRows:
    def test_several_states_in_one_file_are_told_apart(self):
        other = ElementRow("08", FIRST, 12, None, 7, (0, 0, 7, 0))
        assert read_rows(written([DECK, other, COATING]).encode()) == [DECK, other, COATING]

    def test_a_state_of_one_digit_is_the_one_of_two(self):
        (row,) = read_rows(file_of(row_of(*plain(STATE="8"))))
        assert row.state == "08"

    def test_a_parent_given_after_the_quantities_is_still_the_parent(self):
        coating = row_of(*plain(EN=510), ("EPN", 12))
        assert read_rows(file_of(row_of(*plain()), coating))[1].parent == 12

    def test_a_parent_whose_row_comes_later_is_there(self):
        assert read_rows(written([COATING, DECK]).encode()) == [COATING, DECK]

    def test_a_parent_of_another_state_is_none(self):
        other = ElementRow("20", FIRST, 510, 12, 1, (1, 0, 0, 0))
        assert problems_of(written([DECK, other]).encode()) == [
            "line 13, column EPN: The parent, element 12, has no row for this structure."
            " Add it, or remove EPN."
        ]

    def test_a_parent_outside_of_any_row_is_no_row(self):
        told = problems_of(file_of(row_of(*plain()), "<EPN>12</EPN>"))
        assert told == ["line 3, column EPN: Unknown tag. Rows are «FHWAED»."]

    def test_an_element_on_itself_is_refused(self):
        told = problems_of(file_of(row_of(*plain()), row_of(*plain(), ("EPN", 12))))
        assert told == [
            "line 3, column EPN: Element 12 cannot lie on itself. Correct EPN, or remove it."
        ]

    def test_what_may_be_left_out_may_be_left_empty(self):
        (row,) = read_rows(file_of(row_of(*plain(CS3="", CS4=""), ("EPN", ""))))
        assert row == DECK

    @pytest.mark.parametrize("tag", ["STATE", "STRUCNUM", "EN", "TOTALQTY"])
    def test_what_must_be_given_may_not(self, tag):
        (told,) = problems_of(file_of(row_of(*plain(**{tag: ""}))))
        assert told.startswith(f"line 2, column {tag}: ")

    def test_a_quantity_of_nothing_is_taken_as_it_stands(self):
        (row,) = read_rows(file_of(row_of(*plain(TOTALQTY=0, CS1=0, CS2=0))))
        assert (row.total, row.states) == (0, (0, 0, 0, 0))

    @pytest.mark.parametrize(
        ("changed", "words"),
        [
            ({"CS2": 9}, "CS1 to CS4 sum to 99, not to 100."),
            ({"CS3": 1}, "CS1 to CS4 sum to 101, not to 100."),
            ({"TOTALQTY": 0}, "CS1 to CS4 sum to 100, not to 0."),
            ({"CS1": "", "CS2": ""}, "CS1 to CS4 sum to 0, not to 100."),
        ],
    )
    def test_quantities_that_do_not_sum_are_named_with_both_numbers(self, changed, words):
        content = file_of(row_of(*plain()), row_of(*plain(EN=107, **changed)))
        assert problems_of(content) == [f"line 3, column TOTALQTY: {words} Correct the quantities."]

    def test_all_that_is_wrong_is_told_at_once(self):
        content = file_of(row_of(*plain(STATE="IA")), row_of(*plain(EN=0)), row_of(*plain(CS2=9)))
        assert [each.split(":")[0] for each in problems_of(content)] == [
            "line 2, column STATE",
            "line 3, column EN",
            "line 4, column TOTALQTY",
        ]


TUNNEL = row_of(("STATE", 19), ("I1", "T-1"), ("EN", 10000), ("TOTALQTY", 1), ("CS1", 1))
LAUGHS = "".join(f"<!ENTITY a{n} '{f'&a{n - 1};' * 10}'>" for n in range(1, 10))


class TestFilesOfAnotherKind:
    def test_tunnel_rows_after_rows_of_bridges_are_known_as_such(self):
        (told,) = problems_of(file_of(row_of(*plain()), TUNNEL))
        assert told.startswith("This is tunnel element data")

    @pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
    @pytest.mark.parametrize(
        "declared",
        [
            "<!DOCTYPE FHWAELEMENT>",
            "<!DOCTYPE FHWAELEMENT SYSTEM 'http://example.org/element.dtd'>",
            "<!DOCTYPE F [<!ENTITY x SYSTEM 'file:///etc/hostname'>]>",
            "<!DOCTYPE F [<!ENTITY % x SYSTEM 'file:///etc/hostname'> %x;]>",
            f"<!DOCTYPE F [<!ENTITY a0 'ha'>{LAUGHS}]>",
        ],
    )
    def test_a_declaration_is_refused_before_it_is_followed(self, declared, encoding):
        row = row_of(*plain(STRUCNUM="&x;&a9;"))
        content = f"{declared}<FHWAELEMENT>{row}</FHWAELEMENT>".encode(encoding)
        assert problems_of(content) == [
            "The file declares a document type or entities, which element data never needs."
            " Remove the declaration."
        ]

    def test_an_entity_that_nothing_declares_is_not_well_formed(self):
        (told,) = problems_of(file_of(row_of(*plain(STRUCNUM="&x;"))))
        assert told.startswith("line 2: This is not well-formed XML (undefined entity")

    def test_a_file_that_breaks_off_names_the_line(self):
        content = file_of(*[row_of(*plain(EN=number)) for number in range(1, 2000)])
        (told,) = problems_of(content[: content.index(b"<EN>1500<")])
        assert told.startswith("line 1501: This is not well-formed XML")


def big(structures: int) -> list[ElementRow]:
    """Return four rows of each of many structures."""
    return [
        ElementRow("99", f"S{number:06}", element, parent, 10, (7, 3, 0, 0))
        for number in range(structures)
        for element, parent in ((12, None), (301, None), (313, None), (510, 12))
    ]


class TestBigFiles:
    def test_ten_times_the_file_takes_no_more_memory_to_read(self):
        def peak(structures: int) -> int:
            content = written(big(structures)).encode()
            tracemalloc.start()
            assert sum(map(len, read_structures(content))) == 4 * structures
            most = tracemalloc.get_traced_memory()[1]
            tracemalloc.stop()
            return most

        peak(1)  # what is loaded once
        # The counts of rows grow, by some hundred bytes a structure; a tree would by 30 kB.
        assert peak(3000) - peak(300) < 2700 * 500

    def test_rows_of_a_structure_that_stand_far_apart_are_one_structure(self):
        rows = big(600)
        apart = sorted(rows, key=lambda row: (row.element, row.number))
        found = list(read_structures(written(apart).encode()))
        assert len(found) == 600
        assert {row for each in found for row, _ in each} == {*rows}

    @pytest.mark.django_db
    def test_all_of_a_big_file_is_kept_and_nothing_of_one_with_a_bad_end(self):
        rows = big(500)
        orphan = ElementRow("99", "S000499", 515, 107, 1, (1, 0, 0, 0))
        with pytest.raises(ImportRefused, match="The parent, element 107"):
            import_element_data(written([*rows, orphan]).encode())
        assert not ElementDataRow.objects.exists()
        result = import_element_data(written(rows).encode())
        assert (result.created["structure"], result.created["row"]) == (500, 2000)
        assert element_data().rows == rows


STRUCTURES = [StructureKey(*each) for each in (("19", FIRST), ("20", FIRST), ("19", "A & B <1>"))]
NUMBERS = (12, 107, 300, 301, 314, 510, 515)
STATES = st.tuples(*[st.integers(0, 10**6)] * 4)
SEEN = st.tuples(*[st.integers(0, 20_000)] * 4).filter(any)


def rows_of(states: dict) -> list[ElementRow]:
    """Return rows by their places, without those whose parent is no row that stands alone."""
    there = {(key, number) for key, number, parent in states if parent is None}
    return [
        ElementRow(*key, number, parent, sum(found), found)
        for (key, number, parent), found in states.items()
        if parent is None or (parent != number and (key, parent) in there)
    ]


GIVEN = st.dictionaries(
    st.tuples(
        st.sampled_from(STRUCTURES),
        st.sampled_from(NUMBERS),
        st.none() | st.sampled_from(NUMBERS),
    ),
    STATES,
    min_size=1,
    max_size=12,
).map(rows_of).filter(bool)  # fmt: skip


@pytest.mark.django_db
class TestThereAndBack:
    @pytest.fixture(autouse=True)
    def _ledger(self):
        """A bridge with a strip seal (300) and a pot bearing (314) whose states were handed in."""
        unit = make_unit(a_bridge())
        visit = make_inspection(unit.bridge)
        for device in ("strip_seal", "pot"):
            element = make_element(unit, device)
            Condition.objects.create(inspection=visit, element=element, defect=0, cs1=1, total=1)
        submit(inspection=visit)

    @given(given=GIVEN, joint=SEEN, bearing=SEEN)
    def test_what_goes_out_comes_in_and_goes_out_the_same(self, given, joint, bearing):
        ElementDataRow.objects.all().delete()
        for kind, states in (("joint", joint), ("bearing", bearing)):
            named = dict(zip(("cs1", "cs2", "cs3", "cs4"), states, strict=True))
            Condition.objects.filter(element__kind=kind).update(**named, total=sum(states))
        import_element_data(written(given).encode())

        out = written(element_data().rows)
        assert import_element_data(out.encode()).problems == []
        assert written(element_data().rows) == out

        ours = {(STRUCTURES[0], 300, None), (STRUCTURES[0], 314, None)}
        rows = {(row.structure, row.element, row.parent): row for row in element_data().rows}
        others = {key: row for key, row in rows.items() if key not in ours}
        assert others == {
            (row.structure, row.element, row.parent): row
            for row in given
            if (row.structure, row.element, row.parent) not in ours
        }
        assert rows[STRUCTURES[0], 314, None].states == bearing


@pytest.mark.django_db
def test_the_file_holds_all_rows_in_their_order_however_many_parts_it_is_read_in(
    as_role, monkeypatch
):
    import_element_data(REAL)
    rate(make_element(make_unit(a_bridge()), "pot"), (1, 0, 0, 0))
    monkeypatch.setattr("inspections.selectors.element_data_rows._ROWS_A_PART", 3)
    file = as_role("manager").get("/exports/element-data.xml").getvalue()
    assert file.decode() == written(element_data().rows)
    assert len(read_rows(file)) > 6
