"""The printed report, read back as whoever receives the file reads it."""

import datetime as dt
import io
import re

import pdfplumber
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader
from pypdf.generic import IndirectObject

from inspections.drawing.typeface import text_width
from inspections.models import Flag, Preference
from inspections.paper.condition_report import write_condition_report
from inspections.selectors.report import bridges_to_report
from inspections.services.ratings import rate
from inventory.models import Bridge, Support
from inventory.services.installations import reset_installation
from inventory.units import System
from tests.inspections.work_rows import a_unit, an_order, anew, finish, off_joints, position
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read
from tests.rows_desk import decision

pytestmark = pytest.mark.django_db

JOINT = {
    "installation": {
        "setting_source": "measured",
        "setting_temperature_c": 20.0,
        "setting_gap_mm": 50.0,
    },
    "design": {"opening_min_mm": 5.0, "opening_max_mm": 130.0},
}
POINT = {"point": "left", "axis": "square"}
PRINTED_AT = dt.datetime(2024, 7, 2, 3, 30, tzinfo=dt.UTC)


def a_bridge(healthy: int = 1, name: str = "Test bridge", **fields) -> Bridge:
    """Return a bridge with one joint that is stuck, one never read and some in order.

    100 m of steel, 11.7e-6: at -10 degC a joint set to 50 mm at 20 degC stands at
    85.1 mm (hand calculation).
    """
    bridge = make_bridge(**fields)
    bridge.name = name
    bridge.save()
    unit = make_unit(bridge)
    visit = make_inspection(bridge)
    for n in range(healthy):
        sound = make_element(unit, "strip_seal", code=f"SOUND-{n}", **JOINT)
        read(visit, sound, "gap", 85.1, -10.0 if n == 0 else None, **POINT)
    make_element(unit, "strip_seal", code="UNREAD-1", **JOINT)
    stuck = make_element(unit, "strip_seal", code="STUCK-9", **JOINT)
    read(visit, stuck, "gap", 50.0, None if healthy else -10.0, accept=True, **POINT)
    return bridge


def printed(bridge: Bridge, **more) -> PdfReader:
    """Return the report of a bridge, read back."""
    file = io.BytesIO()
    write_condition_report(
        bridges_to_report().get(pk=bridge.pk),
        file,
        **{"system": System.SI, "printed_at": PRINTED_AT, "printed_by": "A. Reader"} | more,
    )
    return PdfReader(file)


def text_of(reader: PdfReader) -> str:
    """Return all text, with plain spaces and without line breaks."""
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def outline_of(reader: PdfReader) -> list[str]:
    """Return the titles of the outline in their order."""

    def flat(entries) -> list[str]:
        return [
            title
            for entry in entries
            for title in (flat(entry) if isinstance(entry, list) else [entry.title])
        ]

    return flat(reader.outline)


def page_of(reader: PdfReader, title: str) -> str:
    """Return the text of the page on which a heading of the outline stands."""
    entry = next(each for each in reader.outline if getattr(each, "title", "") == title)
    return reader.pages[reader.get_destination_page_number(entry)].extract_text()


def fonts_of(reader: PdfReader) -> dict[str, bool]:
    """Return the fonts of every page and form, and whether each is embedded."""
    found: dict[str, bool] = {}

    def look(resources) -> None:
        for font in resources.get("/Font", {}).values():
            font = font.get_object()
            found[font["/BaseFont"]] = "/FontFile2" in font.get("/FontDescriptor", {})
        for form in resources.get("/XObject", {}).values():
            form = form.get_object() if isinstance(form, IndirectObject) else form
            if "/Resources" in form:
                look(form["/Resources"])

    for page in reader.pages:
        look(page["/Resources"])
    return found


def test_every_element_is_in_the_report_and_the_flagged_ones_come_first():
    reader = printed(a_bridge(healthy=2))
    outline = outline_of(reader)
    parts = [each for each in outline if each in ("Summary", "Flagged elements", "Other elements")]
    assert parts == ["Summary", "Flagged elements", "Other elements"]
    elements = [each for each in outline if ":" in each]
    assert elements == [
        "STUCK-9: out of range",
        "SOUND-0: in range",
        "SOUND-1: in range",
        "UNREAD-1: cannot judge",
    ]
    first = page_of(reader, "Summary")
    assert "STUCK-9" in first
    # SOUND-0 may be named there as the runner-up of the unit's explanations
    assert "SOUND-1" not in first


def test_the_outline_leads_to_the_page_where_the_element_stands():
    reader = printed(a_bridge(healthy=6))

    def entries(found):
        for each in found:
            yield from entries(each) if isinstance(each, list) else [each]

    for entry in entries(reader.outline):
        code = entry.title.split(":")[0]
        page = reader.pages[reader.get_destination_page_number(entry)]
        assert code in page.extract_text()


def test_the_first_page_says_what_was_found_and_what_to_do_next():
    first = " ".join(page_of(printed(a_bridge()), "Summary").split())
    assert "Of 3 elements, 1 is out of range and none to watch" in first
    assert "1 out of range" in first
    assert "1 cannot judge" in first
    assert "far from expected" in first
    # 59 K to the hottest, 1.17 mm/K: a gap of 50 mm would close
    assert "Before the hot season: confirm with a second reading" in first
    assert "2024-06-01" in first


def test_each_reading_has_its_expected_value_band_residual_and_uses():
    text = text_of(printed(a_bridge()))
    # 85.1 expected, 50.0 measured: 35.1 narrower
    assert re.search(r"50\.0 mm 85\.1 mm ± \d+\.\d mm −35\.1 mm \d+% \d+% \d+%", text)


def test_the_register_of_an_element_tells_choices_behind_a_colon_and_figures_without():
    bridge = a_bridge()
    bridge.elements.update(access="ladder", replaceable="no", replaceable_why="Cast into A1.")
    text = text_of(printed(bridge))
    assert "gap at setting taken: square to the joint" in text
    assert "How it is reached: ladder." in text
    assert "joint gap at setting 50.0 mm" in text


def test_every_page_tells_its_number_and_how_many_there_are():
    reader = printed(a_bridge(healthy=8))
    total = len(reader.pages)
    assert total > 4
    for number, page in enumerate(reader.pages, 1):
        assert f"page {number} of {total}" in " ".join(page.extract_text().split())


def test_every_page_carries_the_bridge_and_the_caution():
    for page in printed(a_bridge(code="T-CAUTION")).pages:
        text = page.extract_text()
        assert "T-CAUTION" in text
        assert "licensed engineer" in text


def test_the_limits_of_use_close_the_report():
    last = printed(a_bridge()).pages[-1].extract_text()
    assert "support an engineer's decision and never replace it" in " ".join(last.split())


def test_the_cover_says_what_when_by_whom_and_who_signs():
    cover = " ".join(printed(a_bridge(code="T-COVER")).pages[0].extract_text().split())
    for text in (
        "Condition report",
        "T-COVER Test bridge",
        "by A. Reader",
        "SI (mm, °C, kN)",
        "Prepared by",
        "Checked by",
        "Approved by",
        "Licence number",
        "Local codes, the owner's procedures and a licensed engineer govern",
    ):
        assert text in cover


@pytest.mark.parametrize("healthy", [0, 60])
def test_the_contents_name_the_page_of_every_heading_and_lead_to_it(healthy):
    file = io.BytesIO()
    bridge = bridges_to_report().get(pk=a_bridge(healthy=healthy).pk)
    write_condition_report(
        bridge, file, system=System.SI, printed_at=PRINTED_AT, printed_by="A. Reader"
    )
    reader = PdfReader(file)
    summary = next(each for each in reader.outline if getattr(each, "title", "") == "Summary")
    until = reader.get_destination_page_number(summary)
    lines = []
    with pdfplumber.open(file) as opened:
        for page, drawn in zip(reader.pages[1:until], opened.pages[1:until], strict=True):
            for link in page["/Annots"]:
                left, low, right, high = map(float, link["/Rect"])
                box = (left, drawn.height - high, right, drawn.height - low)
                target = reader.pages.index(link["/Dest"][0].get_object()) + 1
                lines.append((drawn.crop(box).extract_text(), target))
    assert len(lines) == len(outline_of(reader))
    for text, target in lines:
        assert text.split()[-1] == str(target)


def test_headings_figures_and_tables_are_numbered_in_the_order_of_the_paper():
    text = text_of(printed(a_bridge(healthy=3)))
    body = text[text.index("1 Summary", text.index("Contents") + 400) :]
    for kind in ("Figure", "Table"):
        numbers = [int(each) for each in re.findall(rf"{kind} (\d+)\.", body)]
        assert numbers == list(range(1, len(numbers) + 1))
        assert len(numbers) > 3
    assert re.search(r"[23]\.1 STUCK-9", body)


def test_the_file_says_what_it_is():
    reader = printed(a_bridge(code="T-META"))
    assert reader.metadata.title == "Condition report of T-META Test bridge, 2024-07-02"
    assert reader.metadata.author == "Bearing and Joint Ledger"
    assert "expected movement" in reader.metadata.subject
    assert reader.trailer["/Root"]["/Lang"] == "en"


def test_every_font_is_embedded():
    fonts = fonts_of(printed(a_bridge()))
    assert len(fonts) == 2
    assert all(fonts.values()), fonts


def test_the_method_names_editions_thresholds_and_the_basis_of_the_design_temperatures():
    text = text_of(printed(a_bridge()))
    assert "AASHTO LRFD, 9th ed. (2020), 3.12.2.1 procedure A" in text
    assert "residual above 3 standard uncertainties" in text
    # AASHTO LRFD Table 3.12.2.1-1, steel, cold climate: -30 to 120 degF
    assert "−34.4 °C" in text
    assert "48.9 °C" in text


def test_a_user_of_us_units_finds_no_metric_figure_but_the_coefficients():
    text = text_of(printed(a_bridge(), system=System.US))
    assert "1.97 in" in text
    assert "14.0 °F" in text
    assert "120.0 °F" in text
    assert not re.search(r"\d (mm|m|°C|kN)\b", text)


def test_letter_paper_is_letter_paper():
    for size, points in (("A4", (595, 842)), ("Letter", (612, 792))):
        box = printed(a_bridge(), page_size=size).pages[0].mediabox
        assert (round(box.width), round(box.height)) == points


def test_the_hour_of_printing_is_told_in_the_time_of_the_bridge():
    text = text_of(printed(a_bridge(time_zone="America/New_York")))
    # 03:30 UTC in July is 23:30 of the day before in New York
    assert "2024-07-01 23:30 (America/New_York), by A. Reader" in text


def test_a_bridge_of_the_stock_without_any_data_has_a_report_that_says_so():
    reader = printed(make_bridge(basis={}))
    text = text_of(reader)
    assert "No bearing, joint or restraint of this bridge is on record yet" in text
    assert "No inspection of this bridge is on record yet" in text
    assert "Limits of use" in text
    assert 3 < len(reader.pages) < 7


def test_an_element_read_only_in_an_open_visit_is_not_judged_by_it():
    bridge = make_bridge()
    joint = make_element(make_unit(bridge), "strip_seal", code="OPEN-1", **JOINT)
    read(make_inspection(bridge), joint, "gap", 4.0, 10.0, **POINT)
    text = text_of(printed(bridge))
    assert "has not been handed in yet" in text
    assert "Flagged elements" not in text


def test_readings_of_a_device_before_its_reset_are_counted_and_not_printed():
    bridge = make_bridge()
    joint = make_element(make_unit(bridge), "strip_seal", code="RESET-1", **JOINT)
    read(make_inspection(bridge), joint, "gap", 77.7, -10.0, accept=True, **POINT)
    reset_installation(
        element=joint,
        reset_on=dt.date(2024, 6, 10),
        setting=JOINT["installation"],
    )
    after = make_inspection(bridge, dt.date(2024, 6, 20))
    read(after, joint, "gap", 61.7, 10.0, accept=True, **POINT)
    text = text_of(printed(bridge))
    assert "61.7 mm" in text
    assert "77.7 mm" not in text
    assert "1 reading of the devices that stood here before" in text


def test_names_that_are_long_or_look_like_markup_are_printed_as_they_are():
    long_word = "Neverendingcrossing" * 8
    bridge = a_bridge(name="<b>Upper & Lower</b> " + long_word[:130])
    Support.objects.filter(bridge=bridge).update(name="<i>pier")
    reader = printed(bridge)
    text = text_of(reader)
    assert "<b>Upper & Lower</b>" in text
    assert bridge.name.replace(" ", "") in text.replace(" ", "")
    ends = []

    def note_end(text, cm, tm, _font, size) -> None:
        if size == 18.0:
            ends.append(cm[4] + tm[4] + text_width(text.strip(), size, bold=True))

    page = reader.pages[0]
    page.extract_text(visitor_text=note_end)
    assert len(ends) > 1
    assert max(ends) < float(page.mediabox.width) - 40.0


def test_ratings_of_bearings_and_joints_are_printed_where_they_were_given():
    bridge = a_bridge()
    assert "B.C.08" not in text_of(printed(bridge))
    visit = make_inspection(bridge, dt.date(2025, 6, 1))
    rate(inspection=visit, item="B.C.08", code="3", reason="Stuck: no gap left & leaking")
    read(visit, bridge.elements.get(code="STUCK-9"), "gap", 50.0, -10.0, accept=True, **POINT)
    told = "B.C.08 Joints: rated 3 Serious on 2025-06-01: Stuck: no gap left & leaking"
    assert told in text_of(printed(bridge))


def test_sixty_elements_are_all_there():
    titles = outline_of(printed(a_bridge(healthy=58)))
    assert len([each for each in titles if ":" in each]) == 60


def test_the_progress_is_told_once_for_each_element():
    told = []
    printed(a_bridge(healthy=5), progress=told.append)
    assert sum(told) == 7


def test_the_number_of_queries_is_the_same_for_two_elements_and_for_thirty():
    def queries(healthy: int) -> int:
        bridge = bridges_to_report().get(pk=a_bridge(healthy=healthy).pk)
        with CaptureQueriesContext(
            connection,
        ) as captured:
            write_condition_report(
                bridge, io.BytesIO(), system=System.SI, printed_at=PRINTED_AT, printed_by="x"
            )
        return len(captured)

    few, many = queries(0), queries(28)
    assert few == many < 15


def test_a_bridge_read_in_blocks_tells_the_same_in_a_few_queries_a_block(monkeypatch):
    bridge = bridges_to_report().get(pk=a_bridge(healthy=10).pk)

    def report() -> tuple[str, int]:
        with CaptureQueriesContext(connection) as captured:
            return text_of(printed(bridge)), len(captured)

    whole, _ = report()
    counts = []
    for size in (6, 3):
        monkeypatch.setattr("inspections.selectors.report.BLOCK", size)
        in_blocks, queries = report()
        assert in_blocks == whole
        counts.append(queries)
    few, many = counts
    assert many - few <= 5 * 2


@pytest.mark.parametrize(
    ("role", "status"), [("manager", 200), ("engineer", 200), ("inspector", 403), (None, 403)]
)
def test_managers_and_engineers_print_reports(as_role, role, status):
    a_bridge(code="T-WEB")
    response = as_role(role).get("/bridges/T-WEB/report.pdf")
    assert response.status_code == status
    if status == 200:
        assert response["Content-Type"] == "application/pdf"
        assert PdfReader(io.BytesIO(b"".join(response.streaming_content))).pages


def test_nobody_prints_without_signing_in(client):
    a_bridge(code="T-WEB")
    response = client.get("/bridges/T-WEB/report.pdf")
    assert response.status_code == 302
    assert response.url.startswith("/sign-in/")


def test_a_bridge_that_does_not_exist_is_not_found(as_role):
    assert as_role("manager").get("/bridges/T-NONE/report.pdf").status_code == 404


def test_the_file_has_a_name_that_every_system_takes(as_role):
    a_bridge(code="T 1.2")
    response = as_role("manager").get("/bridges/T 1.2/report.pdf")
    found = re.fullmatch(
        r'attachment; filename="(T-1-2-condition-\d{4}-\d\d-\d\d\.pdf)"',
        response["Content-Disposition"],
    )
    assert found


def test_a_user_of_us_units_gets_us_units_on_letter_paper(client):
    user = make_user("manager", first_name="Pat", last_name="Example")
    Preference.objects.create(user=user, units="us")
    client.force_login(user)
    a_bridge(code="T-US")
    response = client.get("/bridges/T-US/report.pdf")
    reader = PdfReader(io.BytesIO(b"".join(response.streaming_content)))
    assert round(reader.pages[0].mediabox.height) == 792
    assert "by Pat Example" in text_of(reader)
    assert "1.97 in" in text_of(reader)


def test_a_fault_that_was_mended_stays_on_paper_until_it_is_proved():
    (joint,) = off_joints(a_unit(), "J-1")
    order = an_order([position(joint)], title="Set the joint back")
    finish(order, make_user("engineer"), anew(joint))
    text = text_of(printed(joint.bridge))
    assert "mended, not yet proved." in text
    assert order.code in text
    assert "Set the joint back" in text


def test_what_was_decided_on_a_flag_that_is_closed_by_now_stands_in_the_report():
    unit = a_unit()
    (joint,) = off_joints(unit, "J1")
    flag = position(joint)
    by = make_user("engineer")
    for kind, reason, ago_d in (
        ("measure_again", "The tape was short.", 800),
        ("watch", "Stable over the winter.", 40),
        (
            "close",
            "A gap that was set anew in another way. " + "Measured twice since then. " * 9,
            20,
        ),
    ):
        decision(
            flag,
            kind=kind,
            reason=reason,
            until=PRINTED_AT.date() if kind != "close" else None,
            decided_at=PRINTED_AT - dt.timedelta(days=ago_d),
            decided_by=by,
            signed_as="Bridge engineer",
        )
    Flag.objects.update(state="closed")
    text = text_of(printed(unit.bridge))
    assert "Decisions within the last year, the newest first." in text
    assert text.index("A gap that was set anew") < text.index("Stable over the winter")
    assert "position: closed" in text
    assert re.search(r"(then\.|twice|since|Measured) …", text)  # a whole word before the cut
    assert "The page of a flag gives the whole of a reason that is cut here." in text
    assert "The tape was short" not in text
    assert "open:" not in text


def test_an_open_flag_that_was_decided_on_twice_is_listed_once():
    unit = a_unit()
    (joint,) = off_joints(unit, "J1")
    flag, by = position(joint), make_user("engineer")
    for day in (1, 2):
        at = PRINTED_AT - dt.timedelta(days=day)
        decision(flag, decided_at=at, decided_by=by, reason=f"Reason {day}.")
    text = text_of(printed(unit.bridge))
    others = Flag.objects.exclude(pk=flag.pk).count()
    assert f"{others + 1} flag" in text
    assert text.index("Reason 1.") < text.index("Reason 2.")
