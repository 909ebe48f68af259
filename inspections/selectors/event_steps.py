"""Reads of what moved at the bridges of an event: the last reading before, the first after."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from django.db.models import F, OrderBy, QuerySet, Window
from django.db.models.functions import RowNumber
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.lookups.plan_facts import HANDED_IN
from inspections.models import AgencySettings, Event, Verdict
from inspections.wording import dimension_of, name_of
from inventory.units import Dimension
from movement.event_step import Steps, StepWord, Visit, steps_between

_CHANNEL = ("installation_id", "quantity", "point", "axis")
_COLUMNS = ("value", "u_reading", "temperature_c", "u_temperature_k", "shortening", "b", "c2")
_TOLD = (
    *_CHANNEL, *_COLUMNS, "taken_at", "use_now", "use_at_min", "use_at_max", "element__code",
)  # fmt: skip
"""What pages, papers and the API tell of a verdict before or after an event."""

STILL_K = 2.0
"""Standard uncertainties within which two readings say the same.  Judgement, no source."""
NO_TEMPERATURE = {
    "before": mark("no temperature was taken before the event"),
    "after": mark("no temperature was taken after the event"),
}
NO_U_READING = {
    "before": mark("the uncertainty of the reading before the event is not known"),
    "after": mark("the uncertainty of the reading after the event is not known"),
}
NO_U_TEMPERATURE = {
    "before": mark("the uncertainty of the temperature before the event is not known"),
    "after": mark("the uncertainty of the temperature after the event is not known"),
}


class _Read(NamedTuple):
    """A verdict without what only its own row on the page needs."""

    pk: int
    bridge_id: int
    code: str
    channel: tuple[object, ...]
    numbers: tuple[float | None, ...]


class Compared(NamedTuple):
    """A channel before and after, by the keys of its verdicts; NaN where not known."""

    before_id: int
    after_id: int
    code: str
    size: float
    u: float
    in_u: float
    word: StepWord
    stood_still: bool

    @property
    def weight(self) -> float:
        """How much it weighs among others: its size in its uncertainty."""
        return 0.0 if np.isnan(self.in_u) else abs(self.in_u)


@dataclass(slots=True)
class ChannelsAfter:
    """The channels of one bridge: compared, the largest step first, and read on one side only."""

    compared: list[Compared] = field(default_factory=list)
    elements_not_read: list[str] = field(default_factory=list)
    channels_not_read: list[int] = field(default_factory=list)
    new: list[str] = field(default_factory=list)

    def count(self, word: StepWord) -> int:
        """Return how many comparisons have a word, without those that stood still."""
        return sum(each.word == word and not each.stood_still for each in self.compared)

    @property
    def stood_still(self) -> int:
        """How many do not follow the temperature, whatever the event did."""
        return sum(each.stood_still for each in self.compared)


@dataclass(frozen=True, slots=True)
class StepFound:
    """One channel before and after an event; ``use`` is the greatest use of a limit after it."""

    before: Verdict
    after: Verdict
    size: float | None
    u: float | None
    in_u: float | None
    word: StepWord

    @property
    def dimension(self) -> Dimension:
        """What it measures."""
        return dimension_of(self.after)

    @property
    def value_before(self) -> float:
        """As read before."""
        return self.before.value

    @property
    def value_after(self) -> float:
        """As read after."""
        return self.after.value

    @property
    def use(self) -> float | None:
        """The greatest share of a limit that is used after the event."""
        uses = (self.after.use_now, self.after.use_at_min, self.after.use_at_max)
        return max((each for each in uses if each is not None), default=None)

    @property
    def stood_still(self) -> bool:
        """Whether it reads as before while the temperature called for it to move.

        The step is then the movement that it did not make: the event need not have moved it.
        """
        return _stood_still(
            self.word,
            (self.value_before, self.value_after),
            (self.before.u_reading, self.after.u_reading),
        )

    @property
    def why_not(self) -> str:
        """Why it cannot be told whether it moved; empty where it can."""
        if self.word != StepWord.CANNOT_COMPARE:
            return ""
        sides = ((self.before, "before"), (self.after, "after"))
        b, c2 = _line_of(self.before, self.after)
        if b is None:
            missing = [when for verdict, when in sides if verdict.temperature_c is None]
            if missing:
                return _(NO_TEMPERATURE[missing[0]])
            return _("the register does not say how it should move with the temperature")
        for verdict, when in sides:
            if b and verdict.temperature_c is None:
                return _(NO_TEMPERATURE[when])
            if verdict.u_reading is None:
                return _(NO_U_READING[when])
            if b and verdict.u_temperature_k is None:
                return _(NO_U_TEMPERATURE[when])
        if c2 is None:
            return _("the uncertainty of its movement per degree is not known")
        return _("its readings state no uncertainty")


def channels_after(
    event: Event, bridge_ids: Iterable[int], agency: AgencySettings
) -> Mapping[int, ChannelsAfter]:
    """Return, by bridge, what its channels show between the last handed-in reading before an
    event and the first after it; the channels of a bridge are judged together."""
    rows = Verdict.objects.filter(
        element__bridge__in=list(bridge_ids), inspection__state__in=HANDED_IN
    )
    before = _first_of_channel(
        rows.filter(taken_at__lt=event.occurred_at), F("taken_at").desc(), F("pk").desc()
    )
    after = _first_of_channel(
        rows.filter(taken_at__gte=event.occurred_at), F("taken_at").asc(), F("pk").asc()
    )
    found: dict[int, ChannelsAfter] = defaultdict(ChannelsAfter)
    read_after = _codes(after.values())
    devices_after = {channel[0] for channel in after}
    for channel, row in before.items():
        if channel in after:
            continue
        told = found[row.bridge_id]
        if (row.bridge_id, row.code) not in read_after:
            told.elements_not_read.append(row.code)
        elif channel[0] in devices_after:
            # Of a device that was replaced meanwhile nothing can be read any more.
            told.channels_not_read.append(row.pk)
    pairs = [(before[channel], row) for channel, row in after.items() if channel in before]
    for each in found.values():
        each.elements_not_read = list(dict.fromkeys(each.elements_not_read))
    for bridge_id, code in sorted(read_after - _codes(row for _before, row in pairs)):
        found[bridge_id].new.append(code)
    _add_steps(found, pairs, agency)
    return found


def steps_found(
    told: Iterable[ChannelsAfter],
) -> list[tuple[list[StepFound], list[str]]]:
    """Return, for each of some bridges, the steps with their verdicts, and what was read before
    and not after: an element by its code, a single channel with its name."""
    wanted = list(told)
    keys: set[int] = set()
    for each in wanted:
        keys.update(each.channels_not_read)
        for row in each.compared:
            keys |= {row.before_id, row.after_id}
    verdicts = Verdict.objects.select_related("element").only(*_TOLD).in_bulk(keys)
    return [
        (
            [
                StepFound(
                    verdicts[row.before_id],
                    verdicts[row.after_id],
                    *(None if np.isnan(each) else each for each in (row.size, row.u, row.in_u)),
                    row.word,
                )
                for row in each.compared
            ],
            [
                *each.elements_not_read,
                *(
                    f"{verdicts[key].element.code} ({name_of(verdicts[key])})"
                    for key in each.channels_not_read
                ),
            ],
        )
        for each in wanted
    ]


def _first_of_channel(rows: QuerySet[Verdict], *order: OrderBy) -> dict[tuple[object, ...], _Read]:
    place = Window(RowNumber(), partition_by=[F(name) for name in _CHANNEL], order_by=order)
    firsts = (
        rows.annotate(place=place)
        .filter(place=1)
        .order_by("element__code", "quantity", "point", "axis", "pk")
        .values_list("pk", "element__bridge_id", "element__code", *_CHANNEL, *_COLUMNS)
    )
    numbers = 3 + len(_CHANNEL)
    return {row[3:numbers]: _Read(*row[:3], row[3:numbers], row[numbers:]) for row in firsts}


def _codes(rows: Iterable[_Read]) -> set[tuple[int, str]]:
    return {(row.bridge_id, row.code) for row in rows}


def _add_steps(
    found: dict[int, ChannelsAfter], pairs: list[tuple[_Read, _Read]], agency: AgencySettings
) -> None:
    if not pairs:
        return
    steps = _steps(pairs, agency)
    columns = [steps.size.tolist(), steps.u.tolist(), steps.in_u.tolist(), steps.word.tolist()]
    for pair, size, u, in_u, word in zip(pairs, *columns, strict=True):
        before, after = pair
        values, u_readings = zip(*(each.numbers[:2] for each in pair), strict=True)
        still = _stood_still(StepWord(word), values, u_readings)
        found[after.bridge_id].compared.append(
            Compared(before.pk, after.pk, after.code, size, u, in_u, StepWord(word), still)
        )
    for each in found.values():
        each.compared.sort(key=lambda row: (-row.weight, row.code))


def _steps(pairs: list[tuple[_Read, _Read]], agency: AgencySettings) -> Steps:
    first, second = (
        dict(
            zip(
                _COLUMNS,
                np.array([pair[side].numbers for pair in pairs], dtype=np.float64).T,
                strict=True,
            )
        )
        for side in (0, 1)
    )
    # The later reading knows the register as it is now; where it has no line, the earlier.
    no_line = np.isnan(second["b"])
    return steps_between(
        _visit(first),
        _visit(second),
        np.where(no_line, first["b"], second["b"]),
        np.sqrt(np.where(no_line, first["c2"], second["c2"])),
        agency.watch_k,
        agency.out_k,
        family=[after.bridge_id for _before, after in pairs],
    )


def _stood_still(
    word: StepWord, values: Sequence[float], u_readings: Sequence[float | None]
) -> bool:
    """True for a step that is the movement which the element did not make."""
    if word not in (StepWord.WATCH, StepWord.STEPPED):
        return False
    u = float(np.hypot(*(each or 0.0 for each in u_readings)))
    return abs(values[1] - values[0]) <= STILL_K * u


def _line_of(before: Verdict, after: Verdict) -> tuple[float | None, float | None]:
    """Return slope and its variance as ``_steps`` takes them."""
    return (before.b, before.c2) if after.b is None else (after.b, after.c2)


def _visit(columns: Mapping[str, np.ndarray]) -> Visit:
    # A shortening that is not reckoned is none; an uncertainty that is not known stays so.
    return Visit(
        columns["value"],
        columns["u_reading"],
        columns["temperature_c"],
        columns["u_temperature_k"],
        np.nan_to_num(columns["shortening"]),
    )
