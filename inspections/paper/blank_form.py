"""The form of one inspection on paper, for when no tablet is at hand.

It is made from the packet that a tablet takes along, so that both ask for the same.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any, BinaryIO
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark
from django.utils.translation import pgettext
from reportlab.platypus import Flowable, KeepTogether, PageBreak, Spacer

from inspections.criteria import NEXT_STEPS, STATE_WORDS
from inspections.drawing import typeface
from inspections.paper.codes import place_url, square_code
from inspections.paper.cover import printed_words
from inspections.paper.expected_table import channel_name, expected_table
from inspections.paper.frame import CAUTION, PageSize, ReportPages
from inspections.paper.text import (
    BODY,
    HAIRLINE,
    INK,
    NOTE,
    SHADE,
    SMALL,
    SMALL_BOLD,
    SUBTITLE,
    TITLE,
    Heading,
    facts_table,
    layout,
    para,
    table,
)
from inspections.paper.words import figure, heads, word
from inventory.units import Dimension, System, shown, to_shown
from inventory.words import in_sentence

CODE_SIDE = 54.0
BOX_HEIGHT = 21.0
PLACES = 9
TO_FILL_IN = (
    mark("Weather"), mark("Began at"), mark("Ended at"), mark("Tape or vernier"),
    mark("Thermometer"),
)  # fmt: skip
WHERE = mark("Places: %(places)s. Units: %(units)s. Write where, whether in the sun, and when.")
READINGS = (
    mark("What"), mark("Limits"), mark("Last time"), mark("Reading"),
    mark("Again, if out of band"), mark("Time"),
)  # fmt: skip
QUANTITY_UNIT = {"m": "m", "each": mark("each")}
IN_BRACKETS = mark(
    "In brackets: last time. CS1 to CS4 sum to the quantity. Remarks, or why not read:"
)
COUNT_RODS = mark(
    "How many rods there are is not on record. Counted: ____________ Read every one, and write the"
    " further ones at the remarks."
)
COMPLETE = mark(
    "Complete and true to what was seen; what was left out is named above with its reason."
)
BOXED = [("GRID", (0, 0), (-1, -1), 0.6, INK), ("VALIGN", (0, 0), (-1, -1), "MIDDLE")]


def write_blank_form(
    packet: dict[str, Any],
    file: BinaryIO,
    *,
    system: System,
    base_url: str,
    printed_at: dt.datetime,
    printed_by: str,
    page_size: PageSize = "A4",
) -> None:
    """Write the form of an inspection.

    Parameters
    ----------
    packet : dict
        From ``selectors.packet.packet_of``.
    base_url : str
        Where the site is found, for the square codes.
    """
    typeface.register()
    head = packet["inspection"]
    local = printed_at.astimezone(ZoneInfo(head["time_zone"]))
    pages = ReportPages(
        file,
        page_size,
        running=(head["bridge_code"], head["bridge_name"]),
        printed=printed_words(local, head["time_zone"], printed_by),
        title=_("Inspection form of %(bridge)s, %(day)s")
        % {"bridge": head["bridge_code"], "day": head["date"]},
        subject=_("Readings of bearings, deck joints and restraints, to be filled in by hand"),
        what=_("Inspection form"),
    )
    story = _front(packet, pages.room, system)
    for stop in packet["stops"]:
        at = " ".join(part for part in (stop["support_code"], stop["support_name"]) if part)
        station = shown(stop["station_m"], Dimension.STATION, system)
        above = [Heading(f"{at}, {_('station %(station)s') % {'station': station}}")]
        for element in stop["elements"]:
            story.append(
                KeepTogether(above + _element(packet, element, pages.room, system, base_url))
            )
            above = []
    story += _signature(pages.room)
    pages.write(story)


def _front(packet: dict[str, Any], room: float, system: System) -> list[Flowable]:
    head = packet["inspection"]
    unit = to_shown(0.0, Dimension.TEMPERATURE, system)[1]
    about = {"kind": head["kind"], "day": head["date"]}
    places = ", ".join(in_sentence(each["label"]) for each in packet["temperature"]["places"])
    units = ", ".join(each["code"] for each in packet["temperature"]["units"])
    return [
        para(f"{head['bridge_code']} {head['bridge_name']}", TITLE),
        para(_("%(kind)s inspection of %(day)s") % about, SUBTITLE),
        facts_table(
            [(_("Team"), head["team"]), *((_(each), "_" * 24) for each in TO_FILL_IN)],
            room,
        ),
        Heading(_("Temperatures first")),
        para(_(WHERE) % {"places": places, "units": units}, NOTE),
        _boxes(
            [_("Place"), pgettext("of measure", "Unit"), _("Sun or shade"),
             f"{_('Temperature')} [{unit}]", _("Time")], PLACES,
            [0.34, 0.14, 0.16, 0.2, 0.16], room,
        ),
        Heading(_("If it cannot wait")),
        *(para(f"{number}. {_(step)}", BODY) for number, step in enumerate(NEXT_STEPS, 1)),
        para(_("The owner's own procedure governs."), NOTE),
        PageBreak(),
    ]  # fmt: skip


def _element(
    packet: dict[str, Any], element: dict[str, Any], room: float, system: System, base_url: str
) -> list[Flowable]:
    url = place_url(base_url, element["id"])
    words = [
        Heading(f"{element['code']}: {element['device_label']}", level=1,
                key=f"element-{element['id']}"),
        para("; ".join(part for part in (
            element["name"],
            _("access: %(access)s") % {"access": in_sentence(element["access"])},
            _("skew %(skew)s°") % {"skew": figure(element["skew_deg"])}
            if element["skew_deg"] else "") if part), NOTE),
    ]  # fmt: skip
    head = layout([[words, square_code(url, CODE_SIDE)]], [room - CODE_SIDE - 4.0, CODE_SIDE + 4.0])
    return [
        head,
        _readings(element, room, system),
        Spacer(0, 3),
        *([para(_(COUNT_RODS), BODY)] if element["rods_to_count"] else []),
        *expected_table(packet, element, room, system),
        *_conditions(packet, element, room),
        Spacer(0, 12),
    ]


def _readings(element: dict[str, Any], room: float, system: System) -> Flowable:
    rows: list[list[object]] = [[para(each, SMALL_BOLD) for each in heads(READINGS)]]
    for each in element["channels"]:
        if not each["is_offered"]:
            continue
        dimension = Dimension(each["dimension"])
        last = each["last"]
        rows.append(
            [
                para(channel_name(each), SMALL),
                para(_limits(each, dimension, system), NOTE),
                para("–" if last is None else
                     f"{shown(last['value'], dimension, system)}, {last['taken_at'][:10]}", SMALL),
                "", "", "",
            ]
        )  # fmt: skip
    shares = (0.25, 0.17, 0.18, 0.16, 0.14, 0.1)
    return table(
        rows,
        [share * room for share in shares],
        [
            *BOXED,
            ("TOPPADDING", (0, 1), (-1, -1), 5),
            ("BOTTOMPADDING", (0, 1), (-1, -1), 6),
            ("BACKGROUND", (3, 1), (4, -1), SHADE),
        ],
    )


def _conditions(packet: dict[str, Any], element: dict[str, Any], room: float) -> list[Flowable]:
    total = _("Quantity, %(unit)s") % {"unit": word(QUANTITY_UNIT[element["quantity_unit"]])}
    states = [f"{state} {_(told).lower()}" for state, told in STATE_WORDS.items()]
    rows: list[list[object]] = [[para(each, SMALL_BOLD) for each in (_("Defect"), *states, total)]]
    known = {each["defect"]: each for each in element["conditions"]}
    for code in element["defects"]:
        last = known.get(code)
        name = packet["defects"][str(code)]["label"]
        label = name if code == 0 else f"{code} {name}"
        rows.append(
            [para(label, SMALL)]
            + [para("" if last is None else f"({last[state]})", NOTE)
               for state in ("cs1", "cs2", "cs3", "cs4", "total")]
        )  # fmt: skip
    first = 0.34 * room
    return [
        table(rows, [first] + [(room - first) / 5.0] * 5, BOXED),
        para(_(IN_BRACKETS), NOTE),
        Spacer(0, 14),
    ]  # fmt: skip


def _signature(room: float) -> list[Flowable]:
    return [
        KeepTogether(
            [
                Heading(_("Signature of the lead")),
                para(_(COMPLETE), BODY),
                _boxes([_("Role"), _("Signature"), _("Date and time")], 1,
                       [0.34, 0.42, 0.24], room, 34.0),
                Spacer(0, 6),
                *(para(_(line), NOTE) for line in CAUTION),
            ]
        )
    ]  # fmt: skip


def _boxes(
    heads: Iterable[str], rows: int, shares: list[float], room: float, height: float = BOX_HEIGHT
) -> Flowable:
    head = [para(each, SMALL_BOLD) for each in heads]
    return layout(
        [head, *([""] * len(head) for _ in range(rows))],
        [share * room for share in shares],
        [
            ("LINEBELOW", (0, 0), (-1, 0), 0.9, INK),
            ("INNERGRID", (0, 1), (-1, -1), 0.6, HAIRLINE),
            ("BOX", (0, 1), (-1, -1), 0.6, INK),
            ("BOTTOMPADDING", (0, 0), (-1, 0), 3),
        ],
        heights=[14.0, *([height] * rows)],
    )


def _limits(channel: dict[str, Any], dimension: Dimension, system: System) -> str:
    """Return the device's limits; a side without one is left open."""
    low, high = (
        "" if each is None else shown(each, dimension, system)
        for each in (channel["limit_lower"], channel["limit_upper"])
    )
    if low and high:
        return _("%(low)s to %(high)s") % {"low": low, "high": high}
    if low or high:
        if low:
            return _("at least %(limit)s") % {"limit": low}
        return _("at most %(limit)s") % {"limit": high}
    return "–"
