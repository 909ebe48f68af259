"""Deck, support and the part between them, seen from the side."""

from __future__ import annotations

from django.utils.translation import pgettext

from inspections.drawing.shapes import Circle, Line, Polygon, Rect, Shape, Text
from inspections.models.choices import ReadingQuantity
from inspections.plain.facts import Place
from inspections.plain.nouns import noun
from inventory.models.choices import DeviceType, ElementKind, SupportKind

SKETCH = 424.0
"""Where the sketch ends and the thermometers begin."""
MIDDLE = 212.0
DECK_TOP, DECK_FOOT = 74.0, 95.0
SEAT, GROUND = 128.0, 178.0
LEAN = 26.0
"""How far the top of a part is drawn from its foot at most."""
OPEN = 90.0
"""How wide a gap is drawn at most."""
STEP = 8.0
"""How high one side of a joint is drawn above the other at most."""
SAG = 20.0
"""How deep a cable hangs at most."""
RUBBER = (DeviceType.PLAIN_ELASTOMERIC, DeviceType.REINFORCED_ELASTOMERIC)
RODS = (DeviceType.HOLD_DOWN, DeviceType.ANCHOR_RODS, DeviceType.CLAMP)
Q = ReadingQuantity


def sketch(place: Place, quantity: str, read: float | None, should: float | None) -> list[Shape]:
    """Draw a place; ``read`` and ``should`` are shares of the greater of the two."""
    if place.kind == ElementKind.JOINT:
        step = STEP * (read or 0.0) if quantity == Q.LEVEL_STEP else 0.0
        return _joint(place, None, None, step) if step else _joint(place, read, should)
    if place.ties:
        ends = _ends(place, MIDDLE - OPEN / 8, MIDDLE + OPEN / 8)
        tie = _tie(place, quantity, read, should)
        return [*_support(place), *ends, *tie, *_named(place)]
    shapes = [*_support(place), *_deck(place)]
    if place.kind == ElementKind.BEARING:
        turns = quantity in (Q.OFFSET_ALONG, Q.OFFSET_ACROSS, Q.TILT, Q.ROTATION)
        lean = LEAN * read if turns and read is not None else 0.0
        if turns and should is not None:
            shapes += _bearing(place.device_type, LEAN * should, ghost=True)
        shapes += _bearing(place.device_type, lean)
    elif place.device_type == DeviceType.RESTRAINER_CABLE:
        shapes += _cable(read, should, SEAT)
    elif _has_stop(place, quantity):
        shapes += _stop(read, should, SEAT)
    else:
        shapes += _rods()
    return [*shapes, *_named(place)]


def _has_stop(place: Place, quantity: str) -> bool:
    stops = (DeviceType.SHEAR_KEY, DeviceType.LOCK_UP)
    return quantity == Q.KEY_GAP or place.device_type in stops


def _tie(place: Place, quantity: str, read: float | None, should: float | None) -> list[Shape]:
    """What goes from one deck to the other; it hangs below them, clear of the support."""
    if place.device_type == DeviceType.RESTRAINER_CABLE:
        return _cable(read, should, DECK_FOOT + 14.0)
    if _has_stop(place, quantity):
        return _stop(read, should, SEAT - 8.0)
    return _rod_across()


def _support(place: Place) -> list[Shape]:
    """An abutment with its wall where the deck ends, a pier with its cap, a ledge in a hinge."""
    ground = Line(8.0, GROUND, SKETCH, GROUND, "axis")
    behind, ahead = place.sides
    if place.support_kind == SupportKind.ABUTMENT and behind != ahead:
        way = 1.0 if ahead else -1.0
        toe, heel, wall = MIDDLE + way * 62.0, MIDDLE - way * 130.0, MIDDLE - way * 92.0
        points = (
            (toe, GROUND), (toe, SEAT), (wall, SEAT), (wall, DECK_TOP), (heel, DECK_TOP),
            (heel, GROUND),
        )  # fmt: skip
        name = Text(
            (toe + heel) / 2, SEAT + 30.0, pgettext("in plain words", "support"), "label", "middle"
        )
        return [Polygon(points, "support"), ground, name]
    cap = 78.0
    points = (
        (MIDDLE - cap, SEAT), (MIDDLE + cap, SEAT), (MIDDLE + cap, SEAT + 13.0),
        (MIDDLE + 34.0, SEAT + 22.0), (MIDDLE + 34.0, GROUND), (MIDDLE - 34.0, GROUND),
        (MIDDLE - 34.0, SEAT + 22.0), (MIDDLE - cap, SEAT + 13.0),
    )  # fmt: skip
    name = Text(MIDDLE, SEAT + 42.0, pgettext("in plain words", "support"), "label", "middle")
    return [Polygon(points, "support"), ground, name]


def _deck(place: Place) -> list[Shape]:
    behind, ahead = place.sides
    left = 8.0 if behind or not ahead else MIDDLE - 70.0
    right = SKETCH if ahead or not behind else MIDDLE + 70.0
    at = (right - 60.0) if ahead or not behind else (left + 60.0)
    return [
        Rect(left, DECK_TOP, right - left, DECK_FOOT - DECK_TOP, "deck"),
        Text(at, DECK_TOP + 15.0, pgettext("in plain words", "deck"), "label", "middle"),
    ]


def _bearing(device_type: str, lean: float, *, ghost: bool = False) -> list[Shape]:
    """Draw a bearing whose top stands ``lean`` from its foot; a ghost is an outline."""
    style = "should-edge" if ghost else "moved"
    top, foot = DECK_FOOT + 2.0, SEAT - 2.0
    if device_type == DeviceType.ROLLER:
        return [Circle(MIDDLE + lean / 2, (top + foot) / 2, (foot - top) / 2, style)]
    if device_type in RUBBER:
        half = 34.0
    elif device_type in (DeviceType.ROCKER, DeviceType.FIXED_PIN):
        half = 11.0
    else:
        middle = (top + foot) / 2
        plates: list[Shape] = [Rect(MIDDLE - 30.0 + lean, top, 60.0, middle - top - 1.5, style)]
        if not ghost:
            plates.append(Rect(MIDDLE - 40.0, middle + 1.5, 80.0, foot - middle - 1.5, "part"))
        return plates
    points = (
        (MIDDLE - half, foot), (MIDDLE - half + lean, top), (MIDDLE + half + lean, top),
        (MIDDLE + half, foot),
    )  # fmt: skip
    return [Polygon(points, style)]


def _stop(read: float | None, should: float | None, foot: float) -> list[Shape]:
    """A nose under the deck and the stop, as far apart as was read.

    The stop reaches to ``foot``: the support, or a little under the other deck that holds it.
    """
    top = DECK_FOOT + 8.0 if foot == SEAT else DECK_FOOT
    apart = OPEN * abs(read) if read is not None else OPEN / 2
    stop = MIDDLE + OPEN / 2
    nose = stop - apart
    shapes: list[Shape] = [
        Rect(stop, top, 26.0, foot - top, "moved"),
        Rect(nose - 26.0, DECK_FOOT, 26.0, SEAT - DECK_FOOT - 8.0, "deck"),
    ]
    if should is not None:
        meant = stop - OPEN * abs(should)
        shapes.append(Line(meant, DECK_FOOT, meant, SEAT - 4.0, "should-edge"))
    return shapes


def _cable(read: float | None, should: float | None, foot: float) -> list[Shape]:
    """A cable from the deck to the support or the other deck, as deep as it has slack.

    What holds its far end reaches to ``foot``.
    """
    deck, far, height = MIDDLE - OPEN / 2, MIDDLE + OPEN / 2, DECK_FOOT + 8.0
    top = DECK_FOOT + 2.0 if foot == SEAT else DECK_FOOT
    slack = SAG * abs(read) if read is not None else SAG / 2
    shapes: list[Shape] = [
        Rect(deck - 8.0, DECK_FOOT, 8.0, 14.0, "part"),
        Rect(far, top, 10.0, foot - top, "part"),
        *_hanging(deck, far, height, slack, "cable"),
    ]
    if should is not None:
        shapes += _hanging(deck, far, height, SAG * abs(should), "should-edge")
    return shapes


def _hanging(left: float, right: float, top: float, sag: float, style: str) -> list[Shape]:
    middle = (left + right) / 2
    return [
        Line(left, top, middle, top + sag, style),
        Line(middle, top + sag, right, top, style),
    ]


def _rods() -> list[Shape]:
    """Rods that tie the deck to its support, with their nuts."""
    shapes: list[Shape] = []
    for x in (MIDDLE - 22.0, MIDDLE + 22.0):
        shapes += [
            Rect(x - 2.5, DECK_FOOT - 4.0, 5.0, SEAT - DECK_FOOT + 14.0, "moved"),
            Rect(x - 7.0, DECK_FOOT + 4.0, 14.0, 7.0, "part"),
            Rect(x - 7.0, SEAT - 9.0, 14.0, 7.0, "part"),
        ]
    return shapes


def _rod_across() -> list[Shape]:
    """A rod from one deck to the other, with a plate on each and its nuts."""
    y = DECK_FOOT + 9.0
    shapes: list[Shape] = [Rect(MIDDLE - 42.0, y - 2.5, 84.0, 5.0, "moved")]
    for x, nut in ((MIDDLE - 34.0, MIDDLE - 41.0), (MIDDLE + 28.0, MIDDLE + 34.0)):
        shapes += [Rect(x, DECK_FOOT, 6.0, 18.0, "part"), Rect(nut, y - 6.0, 7.0, 12.0, "part")]
    return shapes


def _named(place: Place) -> list[Shape]:
    """The name of the part beside it, where there is air under the deck."""
    behind, ahead = place.sides
    way = -1.0 if behind and not ahead else 1.0
    y = DECK_FOOT + 22.0
    return [
        Line(MIDDLE + way * 76.0, y - 4.0, MIDDLE + way * 100.0, y - 4.0, "leader"),
        Text(MIDDLE + way * 104.0, y, noun(place), "label", "start" if way > 0 else "end"),
    ]


def _joint(
    place: Place, read: float | None, should: float | None, step: float = 0.0
) -> list[Shape]:
    """Two ends of the road with the gap between them as it was read, and as it should be.

    The end ahead stands ``step`` above the one behind.
    """
    apart = OPEN * abs(read) if read is not None else OPEN / 2
    left, right = MIDDLE - apart / 2, MIDDLE + apart / 2
    shapes = [*_support_of_joint(place, left, right), *_ends(place, left, right, step)]
    if should is not None:
        half = OPEN * abs(should) / 2
        shapes += [
            Line(x, DECK_TOP - 6.0, x, DECK_FOOT + 6.0, "should-edge")
            for x in (MIDDLE - half, MIDDLE + half)
        ]
    return [
        *shapes,
        Line(MIDDLE, DECK_FOOT - 4.0, MIDDLE, DECK_FOOT + 8.0, "leader"),
        Text(MIDDLE, DECK_FOOT + 20.0, pgettext("in plain words", "joint"), "label", "middle"),
    ]


def _ends(place: Place, left: float, right: float, step: float = 0.0) -> list[Shape]:
    """The ends of the deck on both sides of a gap, where there is a deck."""
    shapes: list[Shape] = []
    for there, x, width, middle, top in (
        (place.sides[0], 8.0, left - 8.0, 60.0, DECK_TOP + min(step, 0.0)),
        (place.sides[1], right, SKETCH - right, SKETCH - 60.0, DECK_TOP - max(step, 0.0)),
    ):
        if there:
            shapes += [
                Rect(x, top, width, DECK_FOOT - DECK_TOP, "deck"),
                Text(middle, top + 15.0, pgettext("in plain words", "deck"), "label", "middle"),
            ]
    return shapes


def _support_of_joint(place: Place, left: float, right: float) -> list[Shape]:
    """A pier under both ends, or an abutment whose wall is one side of the gap."""
    ground = Line(8.0, GROUND, SKETCH, GROUND, "axis")
    behind, ahead = place.sides
    if behind and ahead:
        return [
            *_support(place),
            Rect(MIDDLE - 72.0, DECK_FOOT, 24.0, SEAT - DECK_FOOT, "part"),
            Rect(MIDDLE + 48.0, DECK_FOOT, 24.0, SEAT - DECK_FOOT, "part"),
        ]
    way = 1.0 if ahead else -1.0
    face = left if ahead else right
    heel, toe = face - way * 40.0, MIDDLE + way * 110.0
    points = (
        (face, DECK_TOP), (face, SEAT), (toe, SEAT), (toe, GROUND), (heel, GROUND),
        (heel, DECK_TOP),
    )  # fmt: skip
    pad = MIDDLE + way * 76.0
    return [
        Polygon(points, "support"),
        ground,
        Rect(pad - 12.0, DECK_FOOT, 24.0, SEAT - DECK_FOOT, "part"),
        Text(
            (heel + toe) / 2, SEAT + 30.0, pgettext("in plain words", "support"), "label", "middle"
        ),
    ]
