"""Makes one device with its figures and readings, and finds a check of it by its words."""

from collections.abc import Iterable

from inspections.models import CapacityCheck
from inspections.services import visits
from inventory.models import Element
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

MM_PER_IN = 25.4
KN_PER_KIP = 4.4482216152605  # NIST SP 811, appendix B.8
MPA_PER_KSI = KN_PER_KIP * 1000.0 / MM_PER_IN**2


def device_with(
    device_type: str,
    design: dict | None = None,
    readings: Iterable[tuple] = (),
    temperature_c: float | None = 10.0,
    **fields,
) -> Element:
    """Return a device read in one accepted visit.

    ``readings`` are tuples of quantity, value and, where there is one, point; a gap is taken
    square.  The unit is 100 m of 11.7e-6, fixed at 0: 1.17 mm for each degC at its end.
    """
    unit = fields.pop("unit", None) or make_unit(make_bridge())
    element = make_element(unit, device_type, design=design, **fields)
    if readings:
        visit(element, readings, temperature_c)
    return element


def visit(element: Element, readings: Iterable[tuple], temperature_c: float | None = 10.0, **how):
    """Read a device in a visit that is accepted, and return the visit."""
    inspection = make_inspection(element.bridge, **how)
    for number, (quantity, value, *point) in enumerate(readings):
        read(
            inspection,
            element,
            quantity,
            value,
            temperature_c if number == 0 else None,
            point=point[0] if point else "",
            axis="square" if quantity == "gap" else "",
        )
    visits.accept(inspection=visits.submit(inspection=inspection), user=None)
    return inspection


def the_check(element: Element, name: str, edition: str = "", when: str = "now") -> CapacityCheck:
    """Return the one check of a name, an edition and a moment."""
    return CapacityCheck.objects.get(
        element=element, name=name, edition__startswith=edition, when=when
    )


def uses(element: Element, name: str, edition: str = "") -> list[float | None]:
    """Return the use as found, at the coldest and at the hottest."""
    return [the_check(element, name, edition, when).use for when in ("now", "at_min", "at_max")]
