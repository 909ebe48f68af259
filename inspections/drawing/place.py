"""A place seen from the side for those who are no engineers: what moved, what should have."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext, pgettext_lazy

from inspections.drawing.labels import fitted
from inspections.drawing.place_parts import DECK_TOP, GROUND, MIDDLE, SKETCH, sketch
from inspections.drawing.shapes import Circle, Drawing, Line, Polygon, Shape, Text
from inspections.drawing.thermometers import thermometers
from inspections.models.choices import ReadingQuantity
from inspections.plain.amounts import GAP, amount, day, share
from inspections.plain.facts import Facts, Measured
from inspections.plain.nouns import noun, where
from inventory.units import System

WIDTH, HEIGHT = 560.0, 214.0
ROWS = (29.0, 55.0)
"""Where what was read and what should have been stand, one under the other."""
REACH = 90.0
"""Length of the longest arrow."""
NOT_YET = gettext_lazy("not measured yet")
LARGER = gettext_lazy("Movement is drawn larger than it is.")
Q = ReadingQuantity
WAYS = (Q.OFFSET_ALONG, Q.OFFSET_ACROSS, Q.TILT, Q.ROTATION, Q.SLIP)
"""Quantities that go one way or the other from where they were set."""
WIDTHS = {
    Q.GAP: pgettext_lazy("in plain words", "gap %(size)s"),
    Q.KEY_GAP: pgettext_lazy("in plain words", "free space %(size)s"),
    Q.SLACK: pgettext_lazy("in plain words", "slack %(size)s"),
    Q.PROJECTION: pgettext_lazy("in plain words", "rod end %(size)s"),
    Q.SLIDING_GAP: pgettext_lazy("in plain words", "sheet %(size)s"),
    Q.PLATE_OVERLAP: pgettext_lazy("in plain words", "overlap %(size)s"),
    Q.BULGE: pgettext_lazy("in plain words", "bulge %(size)s"),
    Q.LEVEL_STEP: pgettext_lazy("in plain words", "step %(size)s"),
}
"""Quantities that are the size of something."""


def place_drawing(facts: Facts, system: System) -> Drawing:
    """Draw a place with what was read there; without a reading the place alone."""
    place, measured = facts.place, facts.measured
    if place is None:
        words = _("No bearing or joint of this bridge is in our files yet.")
        text = Text(WIDTH / 2, 30.0, words, "label", "middle")
        return Drawing(WIDTH, 50.0, (text,), _("The place"), words)
    read, should = _sizes(measured)
    shapes = sketch(place, "" if measured is None else measured.quantity, read, should)
    words, arrows = _rows(measured, read, should, system)
    shapes += arrows
    if measured is not None:
        shapes += thermometers(measured, system)
    shapes += _feet(any(isinstance(each, Polygon) for each in arrows))
    seen = {"part": noun(place), "where": where(place)}
    told = [_("The %(part)s %(where)s, seen from the side.") % seen, *words]
    return Drawing(
        WIDTH,
        HEIGHT,
        tuple(shapes),
        _("The place, seen from the side"),
        f"{told[0]} {'; '.join(told[1:])}.".replace(GAP, " "),
    )


def _sizes(measured: Measured | None) -> tuple[float | None, float | None]:
    """Return what was read and what should have been, as shares of the greater of the two."""
    if measured is None:
        return None, None
    if measured.quantity in WAYS:
        read, should = measured.moved, measured.should
        if read is None:
            read, should = measured.value, measured.expected
    elif measured.quantity in WIDTHS:
        read, should = measured.value, measured.expected
    else:
        return None, None
    most = max(abs(read or 0.0), abs(should or 0.0))
    return tuple(None if each is None else each / most if most else 0.0 for each in (read, should))


def _rows(
    measured: Measured | None, read: float | None, should: float | None, system: System
) -> tuple[list[str], list[Shape]]:
    """Return the words of the two rows, and the rows themselves."""
    if measured is None:
        words = str(NOT_YET)
        return [words], [Text(MIDDLE, ROWS[0] + 4.0, words, "label-strong", "middle")]
    both = _words(measured, system)
    sizes = (read, should)
    shapes: list[Shape] = []
    if measured.quantity in WAYS and read is not None:
        shapes += _origin(measured)
    for number, (text, size) in enumerate(zip(both, sizes, strict=True)):
        style = "moved" if number == 0 else "should"
        label = "label-strong" if number == 0 else "label"
        y = ROWS[number]
        if not text:
            continue
        if size is None:
            shapes.append(Text(MIDDLE, y + 4.0, text, label, "middle"))
        elif measured.quantity in WAYS:
            shapes += [*_arrow(y, size, style), *_beside(y, size, text, label)]
        else:
            shapes += [*_span(y, abs(size), style)]
            room = SKETCH - MIDDLE - REACH / 2 - 8.0
            shapes.append(Text(MIDDLE + REACH / 2 + 8.0, y + 4.0, fitted(text, label, room), label))
    return [each for each in both if each], shapes


def _words(measured: Measured, system: System) -> tuple[str, str]:
    quantity = Q(measured.quantity)

    def told(value: float) -> dict[str, str]:
        return {"size": _short(amount(quantity, value, system))}

    def expected() -> str:
        if measured.expected is None:
            return ""
        return _("should be %(size)s") % told(measured.expected)

    if quantity in WAYS:
        if measured.moved is None:
            return _("stands %(size)s off its mark") % told(measured.value), expected()
        turns = quantity in (Q.TILT, Q.ROTATION)
        went = _("turned %(size)s") if turns else _("moved %(size)s")
        moved = went % told(measured.moved) if measured.moved else _("did not move")
        if measured.should is None:
            return moved, _("how far it should is not known")
        if not measured.should:
            return moved, _("should not have moved")
        should = _("should have turned %(size)s") if turns else _("should have moved %(size)s")
        return moved, should % told(measured.should)
    if quantity in WIDTHS:
        return WIDTHS[quantity] % told(measured.value), expected()
    if quantity == Q.BROKEN_RODS:
        count = round(measured.value)
        if count == 0:
            return _("no rod broken or missing"), _("none should be")
        rods = ngettext(
            "%(count)s rod broken or missing", "%(count)s rods broken or missing", count
        )
        return rods % {"count": count}, _("none should be")
    if measured.use is None:
        return _("pull in the rods measured"), ""
    return _("%(share)s of the pull lost") % {"share": share(measured.use)}, ""


def _short(size: str) -> str:
    """Return a size without the words that a label has no room for."""
    degrees = _("degrees")
    least = _("less than %(size)s").partition("%")[0]
    for long, short in (
        (_("inches"), "in"),
        (_("inch"), "in"),
        (least, pgettext("a small size", "under ")),
        (f"{GAP}{degrees}", "°"),
    ):
        size = size.replace(long, short)
    return size


def _origin(measured: Measured) -> list[Shape]:
    """A line from where the arrows start, with what stood there."""
    then = measured.then
    if then is None:
        text = _("its middle mark")
    elif then.what == "setting":
        text = _("when built in")
    elif then.what == "first":
        text = _("at the first reading")
    elif then.on:
        text = _("on %(day)s") % {"day": day(then.on)}
    else:
        text = _("at the reading before")
    return [
        Text(MIDDLE, 11.0, text, "label-muted", "middle"),
        Line(MIDDLE, 16.0, MIDDLE, DECK_TOP - 2.0, "should-edge"),
    ]


def _arrow(y: float, size: float, style: str) -> list[Shape]:
    """Return a thick arrow from the middle; a ring where nothing moved."""
    length = size * REACH
    if abs(length) < 3.0:
        return [Circle(MIDDLE, y, 4.5, style)]
    way = 1.0 if length > 0 else -1.0
    head = min(14.0, abs(length))
    neck = MIDDLE + length - way * head
    points: Sequence[tuple[float, float]] = (
        (MIDDLE, y - 4.0), (neck, y - 4.0), (neck, y - 9.0), (MIDDLE + length, y),
        (neck, y + 9.0), (neck, y + 4.0), (MIDDLE, y + 4.0),
    )  # fmt: skip
    return [Polygon(tuple(points), style)]


def _beside(y: float, size: float, text: str, label: str) -> list[Shape]:
    """Return the label of an arrow on the side to which it does not point."""
    if size > 0:
        return [Text(MIDDLE - 10.0, y + 4.0, fitted(text, label, MIDDLE - 14.0), label, "end")]
    return [Text(MIDDLE + 10.0, y + 4.0, fitted(text, label, SKETCH - MIDDLE - 14.0), label)]


def _span(y: float, size: float, style: str) -> list[Shape]:
    """Return an arrow with two heads, as wide as what it measures."""
    half = size * REACH / 2
    if half < 4.0:
        return [Polygon(_box(MIDDLE - 1.5, y - 9.0, MIDDLE + 1.5, y + 9.0), style)]
    head = min(12.0, half)
    left, right = MIDDLE - half, MIDDLE + half
    points = (
        (left, y), (left + head, y - 8.0), (left + head, y - 3.5), (right - head, y - 3.5),
        (right - head, y - 8.0), (right, y), (right - head, y + 8.0), (right - head, y + 3.5),
        (left + head, y + 3.5), (left + head, y + 8.0),
    )  # fmt: skip
    return [Polygon(points, style)]


def _box(left: float, top: float, right: float, bottom: float) -> tuple:
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _feet(drawn: bool) -> list[Shape]:
    """Which way is which, and that the movement is not to scale."""
    y = GROUND + 15.0
    shapes: list[Shape] = [
        Text(8.0, y, _("← start of the bridge"), "label-muted"),
        Text(SKETCH, y, _("far end →"), "label-muted", "end"),
    ]
    if drawn:
        shapes.append(Text(8.0, y + 17.0, str(LARGER), "label-muted"))
        shapes += [
            Polygon(_box(258.0, y + 9.0, 272.0, y + 17.0), "moved"),
            Text(277.0, y + 17.0, _("as it was"), "label-muted"),
            Polygon(_box(340.0, y + 9.0, 354.0, y + 17.0), "should"),
            Text(359.0, y + 17.0, _("as it should be"), "label-muted"),
        ]
    return shapes
