"""A row of a readings file is taken or refused as if it stood alone in its file."""

import csv
import io
import re

import pytest
from django.db import transaction
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from inspections.exchange.readings_csv import import_readings
from inspections.models import Inspection, Instrument, Reading, TemperatureReading
from inventory.exchange.problems import ImportRefused
from tests.make import make_bridge, make_element, make_unit

pytestmark = pytest.mark.django_db

USUAL = {
    "bridge_code": "B-1",
    "inspection_date": "2024-06-01",
    "inspection_kind": "",
    "team": "lead and one",
    "weather": "",
    "taken_at": "2024-06-01 08:30",
    "unit_code": "",
    "sunlit": "",
    "air_shade_c": "",
    "deck_top_f": "",
    "element_code": "J",
    "point": "left",
    "gap_square_mm": "55.5",
    "gap_road_in": "",
    "offset_along_mm": "",
    "broken_rods_count": "",
    "instrument": "",
    "accuracy": "",
    "repeat": "",
    "remark": "",
}
NUMBERS = [
    "55.5",
    "56",
    "0",
    "-0",
    "-0.0",
    "+5",
    "5.",
    ".5",
    "05.50",
    "1e1",
    "1E400",
    "1e-400",
    "NaN",
    "inf",
    "-inf",
    "-1",
    "3000",
    "3000.0001",
    "90",
    "90.1",
    "-60",
    "1,5",
    "1.234,5",
    "٣٥",
    "５５",
    "½",
    "2½",
    "1/0",
    "2⅜",
    "−12",
    "1__0",
    "0x10",
    "5mm",
    "5”",
]
NUMBERS += ["2 3/16 in", "55.5 mm", "5 furlong", "9" * 61, "0." + "1" * 70, "5 5", "12 kN", " 7 "]
CONTRADICTS = re.compile(r" is recorded (for this|with another|as taken) ")
# What rows say of their visit is compared with each other, so it is no matter of one row alone.
ODD = {
    "bridge_code": ["B-2", "b-1", "B-9", ""],
    "inspection_date": ["2024-06-02", "2024-6-1", "2024-02-30", "2999-01-01", ""],
    "inspection_kind": ["routine", "Routine", "special", "party"],
    "taken_at": [
        "2024-06-01T08:30+01:00", "2024-06-01 25:00", "2024-06-01", "2024-05-20 08:00",
        "2024-06-03 07:00", "2999-01-01 00:00", "0001-01-01 00:00", "08:30", "",
    ],
    "unit_code": ["U-1", "nothing", "1"],
    "sunlit": ["air_shade", "deck_top", "moon", "deck_top, air_shade"],
    "air_shade_c": NUMBERS,
    "deck_top_f": NUMBERS,
    "element_code": ["P", "K", "j", "Q", ""],
    "point": ["right", "LEFT", "center", "middle", "", "x" * 13],
    "gap_square_mm": [*NUMBERS, ""],
    "gap_road_in": NUMBERS,
    "offset_along_mm": NUMBERS,
    "broken_rods_count": NUMBERS,
    "instrument": ["T-1", "V-1", "V-9"],
    "accuracy": ["0.5", "±0.5", "-1", "1e9", "nan", "1/8 in"],
    "repeat": ["1", "2", "2.0", "0", "-1", "99999", "one"],
    "remark": ["wet", "x" * 240, "x" * 241, "é\u0301", "'=1+1", "=1+1", "  "],
}  # fmt: skip

TEXT = st.characters(exclude_categories=["Cs", "Cc"])  # else the whole file cannot be read
cells = st.sampled_from([(name, text) for name, texts in ODD.items() for text in texts])
texts = st.tuples(st.sampled_from(sorted(ODD)), st.text(TEXT, max_size=6))
rows = st.lists(cells | texts, max_size=3)
OF_EACH = [[(name, text)] for name, texts in ODD.items() for text in texts]


@pytest.fixture
def stock():
    """Two bridges, one with two joints and a bearing; a tape and a thermometer."""
    bridge = make_bridge("B-1")
    unit = make_unit(bridge)
    for code, kind in (("J", "strip_seal"), ("K", "strip_seal"), ("P", "pot")):
        make_element(unit, kind, code=code)
    make_element(make_unit(make_bridge("B-2")), "strip_seal", code="J")
    Instrument.objects.create(code="V-1", name="Tape", dimension="mm")
    Instrument.objects.create(code="T-1", name="Thermometer", dimension="degC")


@settings(
    max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(rows, min_size=2, max_size=8))
@example([[], *OF_EACH, []])
def test_a_row_is_taken_or_refused_as_if_it_stood_alone(stock, changes):
    lines = [_line(dict(changed)) for changed in changes]
    alone, good = set(), []
    with _undone():
        for at, line in enumerate(lines):
            wrong = _imported([line])
            alone |= {(at + 2, *told) for _, *told in wrong}
            good += [] if wrong else [line]
        kept = _contents()
    with _undone():
        together = set(_imported(lines))
        assert not together or _contents() == ([], [], [])
    # A value that contradicts one of a refused row is told as well, until that row is mended.
    assert alone <= together
    assert all(CONTRADICTS.search(message) for _, _, message in together - alone)
    with _undone():
        assert not _imported(good)
        assert _contents() == kept


def _line(changed):
    # A text of many lines would move the lines of the rows after it.
    told = USUAL | {name: " ".join(text.split()) for name, text in changed.items()}
    return list(told.values())


def _imported(lines):
    """Import some rows; return what is wrong with them by line, column and message."""
    stream = io.StringIO()
    csv.writer(stream).writerows([list(USUAL), *lines])
    try:
        import_readings(stream.getvalue())
    except ImportRefused as refused:
        return [(each.line, each.column, each.message) for each in refused.problems]
    return []


class _undone(transaction.Atomic):  # noqa: N801 - read as a word of the test
    """A block whose writes are taken back at its end."""

    def __init__(self):
        super().__init__(using=None, savepoint=True, durable=False)

    def __exit__(self, *told):
        if told[0] is None:
            transaction.set_rollback(True)
        super().__exit__(*told)


def _contents():
    """Return all that is on record, but keys and the time of writing."""
    visits = Inspection.objects.order_by("bridge__code", "date", "kind")
    own = ("id", "inspection_id", "created_at")
    return (
        list(visits.values_list("bridge__code", "date", "kind", "team", "weather", "state")),
        *(
            sorted(
                repr(sorted((name, value) for name, value in row.items() if name not in own))
                for row in model.objects.values()
            )
            for model in (Reading, TemperatureReading)
        ),
    )
