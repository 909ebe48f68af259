"""The printed history card of an element, read back as whoever receives it reads it."""

import datetime as dt
import io

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.translation import override
from pypdf import PdfReader

from inspections.paper.cover import Printing
from inspections.paper.element_card import write_element_card
from inspections.selectors.desk import elements
from inspections.services.visits import submit
from inventory import facts
from inventory.models import Element
from inventory.services.installations import reset_installation
from inventory.units import System
from tests.inspections.test_condition_report import fonts_of, outline_of, text_of
from tests.inspections.test_district_summary import AT, JOINT, visited
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db
THREE = tuple((dt.date(2021 + n, 1, 10), gap) for n, gap in enumerate((85.1, 84.0, 50.0)))


def card(element: Element, page_size: str = "A4", system: System = System.SI) -> PdfReader:
    """Return the card of an element, read back."""
    file = io.BytesIO()
    write_element_card(
        elements().get(pk=element.pk),
        file,
        Printing(system, AT, "A. Reader", page_size),
        watch_use=0.8,
        currency="EUR",
    )
    return PdfReader(file)


def body_of(reader: PdfReader) -> list[str]:
    """Return the text of each page between the contents and the appendix."""
    texts = [page.extract_text() for page in reader.pages]
    method = next(each for each in reader.outline if each.title == "Method and basis")
    return texts[2 : reader.get_destination_page_number(method)]


@pytest.mark.parametrize("page_size", ["A4", "Letter"])
def test_a_short_history_takes_two_pages_at_most_and_tells_all(page_size):
    reader = card(visited("B-1", *THREE).elements.get(), page_size)
    assert len(body_of(reader)) <= 2
    text = text_of(reader)
    for told in ("Register", "Devices at this place", "Readings", "To decide", "None yet"):
        assert told in text
    for day, _ in THREE:
        assert f"{day:%Y-%m-%d}" in text
    assert "No work was ordered here" in text
    assert all(fonts_of(reader).values())
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert "Flags and decisions" in outline_of(reader)


def test_an_element_never_read_has_a_card_of_its_register():
    element = make_element(make_unit(make_bridge("B-1")), "strip_seal", code="J-1", **JOINT)
    text = text_of(card(element))
    assert "No reading of the present device is on record" in text
    assert "No flag was ever raised here" in text


def test_a_device_that_was_reset_stands_below_the_present_one_with_its_days():
    element = visited("B-1", THREE[0]).elements.get()
    setting = {key: each for key, each in JOINT["installation"].items() if key != "installed_on"}
    reset_installation(element=element, reset_on=dt.date(2023, 5, 4), setting=setting)
    text = text_of(card(element))
    assert "2020-01-01 2023-05-04" in text
    assert "2023-05-04 stands" in text
    assert "1 reading of the devices that stood here before" in text


def test_a_user_of_us_units_finds_inches():
    text = text_of(card(visited("B-1", *THREE).elements.get(), "Letter", System.US))
    assert "1.97 in" in text
    assert "50.0 mm" not in text


def test_a_long_history_goes_on_and_its_queries_do_not_grow():
    def made(visits: int) -> tuple[int, PdfReader]:
        bridge = make_bridge(f"B-{visits}")
        element = make_element(make_unit(bridge), "strip_seal", code="J-1", **JOINT)
        for n in range(visits):
            visit = make_inspection(bridge, dt.date(2021, 1, 1) + n * dt.timedelta(days=9))
            read(visit, element, "gap", 85.1, -10.0, point="left", axis="square")
            submit(inspection=visit, judge=n == visits - 1)
        with CaptureQueriesContext(connection) as captured:
            reader = card(element)
        return len(captured), reader

    few, short = made(3)
    many, long = made(90)
    assert few == many < 25
    assert len(body_of(short)) <= 2 < len(body_of(long))
    assert "Expected" in body_of(long)[-2]


@pytest.mark.parametrize(
    ("role", "status"), [("manager", 200), ("engineer", 200), ("inspector", 403), (None, 403)]
)
def test_managers_and_engineers_print_it_from_the_page_of_the_element(as_role, role, status):
    element = visited("B-1", THREE[0]).elements.get()
    client = as_role(role)
    assert client.get(f"/elements/{element.pk}/card.pdf").status_code == status
    if status == 200:
        assert f"/elements/{element.pk}/card.pdf" in (
            client.get(f"/elements/{element.pk}/").content.decode()
        )
        assert client.get("/elements/999999/card.pdf").status_code == 404


def test_the_command_prints_an_element_by_bridge_and_code(tmp_path):
    visited("B-1", THREE[0])
    path = str(tmp_path / "e.pdf")
    call_command("report", "B-1/J-0", "--kind", "element", "--output", path)
    assert "J-0" in PdfReader(path).pages[0].extract_text()
    with pytest.raises(CommandError, match="has no element") as error:
        call_command("report", "B-1/J-9", "--kind", "element", "--output", path)
    assert error.value.returncode == 2


@pytest.mark.parametrize("page_size", ["A4", "Letter"])
def test_no_word_of_a_german_label_is_broken(page_size):
    element = make_element(
        make_unit(make_bridge("B-1")),
        "flat_sliding",
        place={"jacking_points": "unter dem Querträger", "access": "underbridge"},
        design={
            "vertical_service_min_kn": 100.0, "live_kn": 50.0, "movement_back_mm": 40.0,
            "movement_ahead_mm": 40.0, "sliding_plate_length_mm": 700.0, "ptfe_length_mm": 500.0,
            "edge_to_mean_stress": 1.2,
        },
    )  # fmt: skip
    with override("de"):
        printed = {*text_of(card(element, page_size)).split()}
        told = [
            *facts.facts_of(element, (*facts.PLACE, *facts.ACCESS), System.SI),
            *facts.capacities_of(element.current_installation.bearing_design, System.SI),
        ]
        labels = {word for each in told for word in f"{each.label} {each.text}".split()}
    assert {"Pressenansatzpunkte", "Bewegungsrichtung"} < labels
    assert labels - printed == set()
