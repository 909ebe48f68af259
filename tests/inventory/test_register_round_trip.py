"""Whatever the register holds goes out as a file and comes back as it was."""

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.exchange.register_csv import import_register
from inventory.models import Installation, StationYear
from inventory.models.choices import (
    DECK_OF_SECTION,
    DEVICES_OF_KIND,
    CementClass,
    EndReason,
    ShorteningRule,
)
from inventory.models.designs import (
    BEARING_COUNTS,
    BEARING_QUANTITIES,
    JOINT_COUNTS,
    JOINT_QUANTITIES,
    RESTRAINT_COUNTS,
    RESTRAINT_QUANTITIES,
)
from inventory.models.installation import INSTALLATION_QUANTITIES
from inventory.models.unit_details import CONCRETE_QUANTITIES, SECTION_QUANTITIES
from inventory.services.installations import replace_installation
from tests.inventory.register_file import empty_the_register, exported
from tests.make import make_bridge, make_concrete, make_element, make_section, make_unit

pytestmark = pytest.mark.django_db

QUANTITIES = {
    "bearing": BEARING_QUANTITIES | BEARING_COUNTS,
    "joint": JOINT_QUANTITIES | JOINT_COUNTS,
    "restraint": RESTRAINT_QUANTITIES | RESTRAINT_COUNTS,
}
WHOLE = BEARING_COUNTS | JOINT_COUNTS | RESTRAINT_COUNTS
ORDERED = {
    # one of each two figures between which there is a rule
    "vertical_service_min_kn",
    "vertical_strength_min_kn",
    "plan_diameter_mm",
    "side_cover_mm",
    "ptfe_length_mm",
    "contact_yield_mpa",
    "opening_min_mm",
    "slab_mm",
    "web_mm",
}
TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=40)
NAME = TEXT.filter(str.strip)
CODE = st.from_regex(r"\A[A-Za-z0-9](?:[A-Za-z0-9 ._-]{0,8}[A-Za-z0-9])?\Z")


def figures(quantities, without=frozenset()):
    """Return a strategy of some stored figures, each within its limits."""
    return st.fixed_dictionaries(
        {},
        optional={
            name: st.integers(each.low, each.high)
            if name in WHOLE
            else st.floats(each.low, each.high)
            for name, each in quantities.items()
            if name not in without
        },
    )


UNIT_DETAILS = st.fixed_dictionaries(
    {
        "section_form": st.sampled_from(list(DECK_OF_SECTION)),
        "section": figures(SECTION_QUANTITIES, ORDERED),
        "concrete": st.none()
        | st.builds(
            lambda figures, rule, cement, day: {
                "loading_d": 28.0,
                "shortening_rule": rule,
                "cement_class": cement,
                "cast_on": day,
                **figures,
            },
            figures(CONCRETE_QUANTITIES),
            st.sampled_from(ShorteningRule.values),
            st.sampled_from(CementClass.values),
            st.dates(dt.date(1900, 1, 1), dt.date(2020, 1, 1)),
        ),
    }
)
YEARS = st.dictionaries(
    st.tuples(NAME.map(str.strip), st.integers(1700, 2200)),
    st.tuples(st.floats(-70, 9.5), st.floats(10, 60)),
    max_size=3,
)


@st.composite
def places(draw):
    """Return what `make_element` takes for one place, and the devices that followed there."""
    kind = draw(st.sampled_from(list(DEVICES_OF_KIND)))
    devices = draw(st.lists(st.sampled_from(DEVICES_OF_KIND[kind]), min_size=1, max_size=3))
    settings_of = figures(INSTALLATION_QUANTITIES)
    return {
        "code": draw(CODE),
        "station_m": draw(st.floats(0, 100)),
        "place": {"name": draw(TEXT), "jacking_points": draw(TEXT)},
        "devices": [
            (device, draw(settings_of), draw(figures(QUANTITIES[kind], ORDERED)), draw(TEXT))
            for device in devices
        ],
    }


def stand(unit, place) -> None:
    (device, setting, design, remarks), *followers = place["devices"]
    element = make_element(
        unit,
        device,
        place["code"],
        place["station_m"],
        place["place"],
        {**setting, "remarks": remarks},
        design,
    )
    for years, (device, setting, design, remarks) in enumerate(followers, 1):
        day = dt.date(2010 + years, 1, 1)
        replace_installation(
            element=element,
            ended_on=day,
            end_reason=EndReason.REPLACED,
            installation=Installation(
                device_type=device, installed_on=day, remarks=remarks, **setting
            ),
            design=design,
        )


@settings(max_examples=20, deadline=None)
@given(
    code=CODE,
    words=st.fixed_dictionaries({"carries": TEXT, "crosses": TEXT, "remarks": TEXT}),
    position=st.fixed_dictionaries(
        {"latitude_deg": st.floats(-90, 90), "longitude_deg": st.floats(-180, 180)}
    ),
    source=NAME,
    standing=st.lists(places(), max_size=4, unique_by=lambda place: place["code"]),
    details=UNIT_DETAILS,
    years=YEARS,
)
def test_a_register_comes_back_from_its_file_byte_for_byte(
    code, words, position, source, standing, details, years
):
    empty_the_register()
    basis = {"method": "entered", "entered_min_c": -20.0, "entered_max_c": 40.0, "source": source}
    bridge = make_bridge(code, basis, **words, **position)
    deck_type = DECK_OF_SECTION[details["section_form"]]
    unit = make_unit(bridge, deck_type=deck_type)
    make_section(unit, section_form=details["section_form"], **details["section"])
    if details["concrete"] and deck_type != "steel":
        make_concrete(unit, **details["concrete"])
    for (station, year), (low, high) in years.items():
        StationYear.objects.create(station=station, year=year, year_min_c=low, year_max_c=high)
    # Supports are named after their station in few digits: one station, one support.
    for place in standing:
        place["station_m"] = round(place["station_m"])
        stand(unit, place)
    text = exported()
    empty_the_register()
    result = import_register(text_or_file=text.encode())
    assert result.created["installation"] == sum(len(place["devices"]) for place in standing)
    assert exported() == text
    assert import_register(text_or_file=text.encode()).changes == 0
