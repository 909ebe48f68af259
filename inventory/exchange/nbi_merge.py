"""What the inventory tells now, what it told before, and what stands in the register.

A field that holds what the inventory told last, or nothing, takes what it tells now.  Any other
value was entered here and stays; where the inventory has news of it, both are told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from inventory.exchange.nbi_reading import COLUMN_OF, DISTRICT, OURS, NbiRow
from inventory.exchange.problems import Problem
from inventory.models import Bridge

_TOGETHER = (("latitude_deg", "longitude_deg"),)
"""Fields that say one thing: half of it from here and half from there would be neither."""
_NAME, _REMARKS, _DISTRICT = "name", "remarks", "district_code"
"""The name is made of what a bridge carries and crosses; the inventory itself has none."""


def told_by(row: NbiRow) -> dict[str, Any]:
    """Return what a row tells, by field; what it leaves open is not in it."""
    told = {name: value for name, value in row.figures.items() if value not in (None, "")}
    return told | {_NAME: name_of(row), _REMARKS: row.remarks, _DISTRICT: row.district_code}


def name_of(row: NbiRow) -> str:
    """Return the name of a bridge that was given none here."""
    names = (row.figures["carries"], row.figures["crosses"])
    return " over ".join(filter(None, names)) or "-".join(row.number)


def merge(
    bridge: Bridge, row: NbiRow, before: Mapping[str, Any]
) -> tuple[set[str], list[Problem], dict[str, Any]]:
    """Lay a row over a bridge that knows what was told ``before``.

    Returns
    -------
    tuple
        The names of the changed fields, what is told otherwise than it stands here, and what
        to remember as told.
    """
    told = told_by(row)
    news = {name: told[name] for name in told.keys() - {_REMARKS, _DISTRICT}}
    conflicts = []
    for group in _groups(news):
        if all(_is_the_inventorys(bridge, name, before) for name in group):
            continue
        conflicts += [
            _conflict(row, name, getattr(bridge, name), news[name])
            for name in group
            if name != _NAME and news[name] not in (before.get(name), getattr(bridge, name))
        ]
        for name in group:
            del news[name]
    if told[_REMARKS] != before.get(_REMARKS):
        news[_REMARKS] = _remarks(bridge, row, before)
    if before.get(_DISTRICT, told[_DISTRICT]) != told[_DISTRICT]:
        conflicts.append(
            Problem(
                row.line,
                DISTRICT,
                f"The inventory moved it from {before[_DISTRICT]} to {told[_DISTRICT]}. It stays in"
                f" district {bridge.district.code} here: change that on its page if it moved.",
            )
        )
    changed = {name for name, value in news.items() if getattr(bridge, name) != value}
    for name in changed:
        setattr(bridge, name, news[name])
    return changed, conflicts, dict(before) | told


def _groups(names: Mapping[str, Any]) -> Iterator[tuple[str, ...]]:
    grouped = {name: group for group in _TOGETHER for name in group}
    yield from dict.fromkeys(grouped.get(name, (name,)) for name in sorted(names))


def _is_the_inventorys(bridge: Bridge, name: str, before: Mapping[str, Any]) -> bool:
    stands = getattr(bridge, name)
    return stands in (None, "") or (name in before and stands == before[name])


def _conflict(row: NbiRow, name: str, stands: Any, told: Any) -> Problem:
    return Problem(
        row.line,
        COLUMN_OF[name],
        f"The inventory says {_shown(told)}, and {_shown(stands)} was entered here, which stays."
        " Empty the field, or enter the inventory's, to let it follow the inventory again.",
    )


def _shown(value: Any) -> str:
    return f"{value:.10g}" if isinstance(value, float) else f"«{value}»"


def _remarks(bridge: Bridge, row: NbiRow, before: Mapping[str, Any]) -> str:
    """Return the remarks with the inventory's lines as they are now; all others stay."""
    lines = bridge.remarks.splitlines()
    if _REMARKS in before:
        others = [line for line in lines if line not in before[_REMARKS]]
    else:
        others = [line for line in lines if not line.startswith(OURS)]
    others = [line for line in others if line not in row.remarks]
    return "\n".join([*row.remarks, *others])
