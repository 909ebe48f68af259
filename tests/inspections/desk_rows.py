"""Rows that the tests of the engineer's pages begin with, and what a page says."""

import html
import re

from inspections.services.visits import submit
from inventory.models import Unit
from tests.make import judged_once, make_bridge, make_element, make_inspection, make_unit, read

JOINT = {
    "installation": {
        "setting_source": "measured",
        "setting_temperature_c": 15.0,
        "setting_gap_mm": 70.0,
    },
    "design": {"opening_min_mm": 10.0, "opening_max_mm": 150.0},
}
LEFT = {"point": "left", "axis": "square"}


def words(response) -> str:
    """Return what a page says: tags out, spaces of every kind as one."""
    assert response.status_code == 200, response
    plain = re.sub(r"<(svg|style)\b.*?</\1>", " ", response.content.decode(), flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", plain)).split())


def codes(response) -> list[str]:
    """Return the codes of the listed elements, from top to bottom."""
    return [row.element.code for row in response.context["page"].object_list]


@judged_once()
def hand_in(unit, gaps_mm: dict[str, float], kind: str = "routine") -> None:
    """Hand in one visit with a gap of each new joint, read at the temperature of its setting."""
    visit = make_inspection(unit.bridge, kind=kind)
    for code, gap_mm in gaps_mm.items():
        joint = make_element(unit, "strip_seal", code, **JOINT)
        read(visit, joint, "gap", gap_mm, 15.0, **LEFT)
    submit(inspection=visit)


def one_of_each() -> Unit:
    """Return a unit with an element of each verdict: J-OUT, J-WATCH, J-FINE and P-NEVER."""
    unit = make_unit(make_bridge("B-1"))
    hand_in(unit, {"J-OUT": 40.0, "J-WATCH": 61.5, "J-FINE": 70.0})
    make_element(unit, "pot", "P-NEVER")
    return unit
