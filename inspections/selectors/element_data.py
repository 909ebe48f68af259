"""Element data as it is reported: rows of the ledger in place of what was given, others kept."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.utils.functional import cached_property

from inspections.element_rows import ElementRow, StructureKey
from inspections.models import Condition, ElementDataRow
from inspections.models.choices import DefectCode, InspectionState
from inspections.paging import MadeRows
from inventory.element_numbers import JOINTS, NAMES, number_of
from inventory.models import Bridge, Element

M_PER_FT = 0.3048
_AT_ONCE = 500
HAS_KEY = ~Q(inventory_state_code="") & ~Q(inventory_number="")


@dataclass(frozen=True, slots=True)
class NotTold:
    """What the ledger cannot tell of a bridge: all of it, or one element number.

    ``elements`` are the codes of those without condition states.
    """

    bridge: str
    number: int | None = None
    elements: tuple[str, ...] = ()

    def __str__(self) -> str:
        if self.number is None:
            return f"Not reported, for want of a state and structure number: {self.bridge}."
        return (
            f"{self.bridge}, element {self.number} ({NAMES[self.number]}) is not reported from the"
            " ledger: no condition states of the element as a whole are on record of"
            f" {', '.join(self.elements)}."
        )


@dataclass(slots=True)
class ElementData:
    """Rows by structure and element number; and what the ledger could not tell."""

    rows: list[ElementRow] = field(default_factory=list)
    not_told: list[NotTold] = field(default_factory=list)

    @property
    def notices(self) -> list[str]:
        """What could not be told, and why, in sentences."""
        without = [each.bridge for each in self.not_told if each.number is None]
        first = [f"{NotTold(', '.join(without))}"] if without else []
        return first + [f"{each}" for each in self.not_told if each.number is not None]


def element_data(bridges: QuerySet[Bridge] | None = None) -> ElementData:
    """Return the element data of some bridges, or all there is.

    Joints and bearings come from the ledger: of each element the last condition states that a
    crew handed in for the device of today, joints in feet, bearings each.  A number of which
    one element has no condition states is not reported from the ledger, since a part would
    pass for the whole.  All other rows are those given before; of all there is, those too
    whose structure is not on record here.
    """
    keyed, nameless = keyed_bridges(bridges)
    keys = None if bridges is None else [key for _, key in keyed.values()]
    told, not_told = told_of(keyed)
    kept = {row_key(row): row for row in stored_rows(keys)}
    rows = sorted((kept | owned_rows(keyed, told)).values(), key=place_of)
    return ElementData(rows, nameless + not_told)


class WhatIsNotTold(MadeRows):
    """What the ledger cannot tell of some bridges, or all: whole bridges first, then numbers.

    What it can tell of the others is looked up where a page goes beyond the whole bridges.
    """

    def __init__(self, bridges: QuerySet[Bridge] | None = None) -> None:
        self._bridges = Bridge.objects.all() if bridges is None else bridges

    def counted(self, most: int) -> int:
        """Return how many there are, ``most`` of more."""
        whole = self._whole.order_by()[:most].count()
        return whole if whole == most else min(whole + len(self._numbers), most)

    def __len__(self) -> int:
        return self._whole.count() + len(self._numbers)

    def __getitem__(self, wanted: slice) -> list[NotTold]:  # type: ignore[override] # slices
        first, last = wanted.start, wanted.stop
        found = [NotTold(code) for code in self._whole.values_list("code", flat=True)[first:last]]
        if len(found) == last - first:
            return found
        whole = first + len(found) if found else self._whole.count()
        return found + self._numbers[max(first - whole, 0) : last - whole]

    @property
    def _whole(self) -> QuerySet[Bridge]:
        return self._bridges.exclude(HAS_KEY).order_by("code")

    @cached_property
    def _numbers(self) -> list[NotTold]:
        return told_of(keyed_bridges(self._bridges.filter(HAS_KEY))[0])[1]


def stored_rows(keys: Sequence[StructureKey] | None = None) -> Iterator[ElementRow]:
    """Yield the rows given before: those of some structures, or all."""
    if keys is None:
        yield from map(_row, ElementDataRow.objects.iterator())
        return
    wanted = set(keys)
    for start in range(0, len(keys), _AT_ONCE):
        part = keys[start : start + _AT_ONCE]
        of_part = ElementDataRow.objects.filter(
            state_code__in={key.state for key in part},
            structure_number__in={key.number for key in part},
        )
        for stored in of_part:
            # The same number may stand in another state.
            if (row := _row(stored)).structure in wanted:
                yield row


def _row(row: ElementDataRow) -> ElementRow:
    return ElementRow(
        row.state_code,
        row.structure_number,
        row.element_number,
        row.parent_number,
        row.total,
        (row.cs1, row.cs2, row.cs3, row.cs4),
    )


_RowKey = tuple[StructureKey, int, int | None]


def row_key(row: ElementRow) -> _RowKey:
    return (row.structure, row.element, row.parent)


def place_of(row: ElementRow) -> tuple[StructureKey, int, int]:
    return (row.structure, row.element, row.parent or 0)


_Keyed = Mapping[int, tuple[str, StructureKey]]
_Place = tuple[int, int]


def keyed_bridges(bridges: QuerySet[Bridge] | None) -> tuple[_Keyed, list[NotTold]]:
    """Return code and structure of each bridge that has them; and the others."""
    keyed, nameless = {}, []
    columns = ("pk", "code", "inventory_state_code", "inventory_number")
    rows = Bridge.objects.all() if bridges is None else bridges
    for pk, code, state, number in rows.order_by("code").values_list(*columns):
        if state and number:
            keyed[pk] = (code, StructureKey(state.zfill(2), number))
        else:
            nameless.append(NotTold(code))
    return keyed, nameless


def told_of(keyed: _Keyed) -> tuple[dict[_Place, list[int]], list[NotTold]]:
    """Return the elements of each number that the ledger reports; and what it does not."""
    elements: dict[_Place, list[int]] = defaultdict(list)
    unknown: dict[_Place, list[str]] = defaultdict(list)
    columns = ("pk", "bridge", "code", "access", "current_installation__device_type", "has_states")
    rows = (
        Element.objects.filter(bridge_id__in=keyed, current_installation__isnull=False)
        .annotate(has_states=Exists(_states().filter(element=OuterRef("pk"))))
        .order_by("bridge__code", "code")
    )
    for pk, bridge, code, access, device_type, has_states in rows.values_list(*columns):
        number = number_of(device_type, access)
        if number is not None:
            elements[bridge, number].append(pk)
            if not has_states:
                unknown[bridge, number].append(code)
    not_told = [
        NotTold(keyed[pk][0], number, tuple(codes)) for (pk, number), codes in unknown.items()
    ]
    return {place: each for place, each in elements.items() if place not in unknown}, not_told


def owned_rows(keyed: _Keyed, told: Mapping[_Place, list[int]]) -> dict[_RowKey, ElementRow]:
    states = _last_states(keyed)
    rows = (
        _reported(
            keyed[pk][1],
            number,
            [sum(each) for each in zip(*(states[each] for each in elements), strict=True)],
        )
        for (pk, number), elements in told.items()
        if states.keys() >= {*elements}
    )
    return {row_key(row): row for row in rows}


def _states() -> QuerySet[Condition]:
    """Return the states of elements as a whole that describe their devices of today."""
    return Condition.objects.filter(
        defect=DefectCode.OVERALL,
        inspection__date__gte=F("element__current_installation__installed_on"),
    ).exclude(inspection__state=InspectionState.OPEN)


def _last_states(bridge_ids: Iterable[int]) -> dict[int, tuple[int, int, int, int]]:
    rows = _states().filter(element__bridge_id__in=list(bridge_ids))
    return {
        row.element_id: (row.cs1, row.cs2, row.cs3, row.cs4)
        for row in rows.order_by("inspection__date", "pk")
    }


def _reported(key: StructureKey, number: int, states: list[int]) -> ElementRow:
    """Return a row in whole units of the file."""
    if number in JOINTS:
        states = in_whole_feet(states)
    one, two, three, four = states
    return ElementRow(*key, number, None, sum(states), (one, two, three, four))


def in_whole_feet(lengths_m: list[int]) -> list[int]:
    """Return lengths in feet, whole numbers that sum to the whole length as it rounds.

    The feet left over by rounding down go to the largest remainders, so that no state is off
    by a foot or more; common practice, no source.
    """
    feet = [length_m / M_PER_FT for length_m in lengths_m]
    whole = [int(each) for each in feet]
    left = round(sum(feet)) - sum(whole)
    by_remainder = sorted(range(len(feet)), key=lambda n: whole[n] - feet[n])
    for place in by_remainder[:left]:
        whole[place] += 1
    return whole
