"""Element data as it is reported: rows of the ledger in place of what was given, others kept."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from django.db.models import F, QuerySet

from inspections.element_rows import ElementRow, StructureKey
from inspections.models import Condition, ElementDataRow
from inspections.models.choices import DefectCode, InspectionState
from inventory.element_numbers import JOINTS, NAMES, number_of
from inventory.models import Bridge, Element

M_PER_FT = 0.3048
_AT_ONCE = 500


@dataclass(slots=True)
class ElementData:
    """Rows by structure and element number; and what the ledger could not tell, with why."""

    rows: list[ElementRow] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)


def element_data(bridges: QuerySet[Bridge] | None = None) -> ElementData:
    """Return the element data of some bridges, or all there is.

    Joints and bearings come from the ledger: of each element the last condition states that a
    crew handed in for the device of today, joints in feet, bearings each.  A number of which
    one element has no condition states is not reported from the ledger, since a part would
    pass for the whole.  All other rows are those given before; of all there is, those too
    whose structure is not on record here.
    """
    found = ElementData()
    keyed = _keyed(Bridge.objects.all() if bridges is None else bridges, found.notices)
    keys = None if bridges is None else [key for _, key in keyed.values()]
    kept = {_row_key(row): row for row in stored_rows(keys)}
    found.rows = sorted((kept | _owned(keyed, found.notices)).values(), key=_place)
    return found


def stored_rows(keys: Sequence[StructureKey] | None = None) -> Iterator[ElementRow]:
    """Yield the rows given before: those of some structures, or all."""
    if keys is None:
        yield from map(_row, ElementDataRow.objects.iterator())
        return
    wanted = set(keys)
    for start in range(0, len(keys), _AT_ONCE):
        numbers = {key.number for key in keys[start : start + _AT_ONCE]}
        for stored in ElementDataRow.objects.filter(structure_number__in=numbers):
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


def _row_key(row: ElementRow) -> _RowKey:
    return (row.structure, row.element, row.parent)


def _place(row: ElementRow) -> tuple[StructureKey, int, int]:
    return (row.structure, row.element, row.parent or 0)


def _keyed(bridges: QuerySet[Bridge], notices: list[str]) -> dict[int, tuple[str, StructureKey]]:
    """Return code and structure of each bridge that has them; name the others."""
    keyed, without = {}, []
    columns = ("pk", "code", "inventory_state_code", "inventory_number")
    for pk, code, state, number in bridges.order_by("code").values_list(*columns):
        if state and number:
            keyed[pk] = (code, StructureKey(state.zfill(2), number))
        else:
            without.append(code)
    if without:
        names = ", ".join(without)
        notices.append(f"Not reported, for want of a state and structure number: {names}.")
    return keyed


def _owned(
    keyed: Mapping[int, tuple[str, StructureKey]], notices: list[str]
) -> dict[_RowKey, ElementRow]:
    states = _last_states(keyed)
    sums: dict[tuple[int, int], list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    unknown: dict[tuple[int, int], list[str]] = defaultdict(list)
    for element in (
        Element.objects.filter(bridge_id__in=keyed)
        .select_related("current_installation")
        .order_by("bridge__code", "code")
    ):
        device = element.current_installation
        number = device and number_of(device.device_type, element.access)
        if number is None:
            continue
        place = (element.bridge_id, number)
        if element.pk in states:
            sums[place] = [a + b for a, b in zip(sums[place], states[element.pk], strict=True)]
        else:
            unknown[place].append(element.code)
    for (pk, number), codes in unknown.items():
        notices.append(
            f"{keyed[pk][0]}, element {number} ({NAMES[number]}) is not reported from the ledger:"
            f" no condition states of the element as a whole are on record of {', '.join(codes)}."
        )
    rows = (
        _reported(keyed[pk][1], number, its)
        for (pk, number), its in sums.items()
        if (pk, number) not in unknown
    )
    return {_row_key(row): row for row in rows}


def _last_states(bridge_ids: Iterable[int]) -> dict[int, tuple[int, int, int, int]]:
    """Return the last states of each element that describe its device of today."""
    rows = (
        Condition.objects.filter(
            element__bridge_id__in=list(bridge_ids),
            defect=DefectCode.OVERALL,
            inspection__date__gte=F("element__current_installation__installed_on"),
        )
        .exclude(inspection__state=InspectionState.OPEN)
        .order_by("inspection__date", "pk")
    )
    return {row.element_id: (row.cs1, row.cs2, row.cs3, row.cs4) for row in rows}


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
