"""Files come as people and spreadsheets save them, or are refused with what to do."""

import pytest

from inventory.exchange.file_rows import csv_rows
from inventory.exchange.problems import ImportRefused, Problem, neutralise, restored


def rows_of(content) -> list[tuple[int, dict[str, str]]]:
    return list(csv_rows(content)[1])


def refusal_of(content) -> str:
    with pytest.raises(ImportRefused) as caught:
        rows_of(content)
    return "\n".join(map(str, caught.value.problems))


def test_each_row_comes_with_the_line_on_which_it_begins():
    content = b'\xef\xbb\xbfa,b\n\n1,"two\nlines"\n,\n3, 4 \n'
    assert rows_of(content) == [
        (3, {"a": "1", "b": "two\nlines"}),
        (6, {"a": "3", "b": "4"}),
    ]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_separator_is_found_in_the_header(delimiter):
    header = f'"a, b"{delimiter}c' if delimiter != "," else '"a; b",c'
    content = f"{header}\n1{delimiter}2\n"
    assert list(rows_of(content)[0][1].values()) == ["1", "2"]


def test_empty_columns_that_a_spreadsheet_appends_are_passed_over():
    assert rows_of("a,b,,\n1,2,,\n3,4\n") == [(2, {"a": "1", "b": "2"}), (3, {"a": "3", "b": "4"})]


def test_all_rows_that_cannot_be_split_are_told_together():
    problems: list[Problem] = []
    header, rows = csv_rows('a,b\n1\n2,3\n4,5,6\n7,"8\n', problems)
    assert header == ["a", "b"]
    assert [cells for _, cells in rows] == [{"a": "2", "b": "3"}]
    assert [each.line for each in problems] == [2, 4, 5]


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "The file is empty"),
        (b" \r\n\n", "The file is empty"),
        (b"a,b\n\xe9t\xe9,1\n", "line 2: The byte 0xe9 is not UTF-8"),
        ("a,b\n1,2\n".encode("utf-16"), "UTF-16"),
        (b"PK\x03\x04rest", "not a CSV file"),
        (b"a,b\n1,\x00\n", "line 2: This is no text file"),
        (b"a,b,a\n1,2,3\n", "line 1, column a: This name stands in the header twice"),
        (b"a,,b\n1,2,3\n", "Cell 2 of the header is empty"),
        (b'a,b\n"1,2\n3,4\n', "line 2: Cannot be split into cells"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_remedy(content, expected):
    assert expected in refusal_of(content)


@pytest.mark.parametrize("cell", ["=1+1", "+x", "-x", "@a", "'=1", "''-x", "\tx"])
def test_a_formula_goes_out_behind_an_apostrophe_and_comes_back(cell):
    assert neutralise(cell) == f"'{cell}"
    assert restored(neutralise(cell)) == cell


@pytest.mark.parametrize("cell", ["-5.5", "+3", "-1e-05", "'tis text", "text = 1", ""])
def test_numbers_and_plain_text_go_out_as_they_are(cell):
    assert neutralise(cell) == cell
    assert restored(cell) == cell
