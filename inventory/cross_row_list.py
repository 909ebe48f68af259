"""What the rules between rows are: each as the SQL condition that must never come true."""

from __future__ import annotations

from dataclasses import dataclass
from string import Template

from inventory.models.choices import (
    DECK_OF_SECTION,
    DEVICES_OF_KIND,
    DeckType,
    ElementKind,
)

PREFIX = "ledger_"


def _words(kind: ElementKind) -> str:
    return ", ".join(f"'{device.value}'" for device in DEVICES_OF_KIND[kind])


def _with(condition: str, **words: str) -> str:
    """Return a condition with words of this file's own choosing filled in."""
    return Template(condition).substitute(words)


def _kind_of(column: str) -> str:
    whens = " ".join(
        f"WHEN {column} IN ({_words(kind)}) THEN '{kind.value}'" for kind in ElementKind
    )
    return f"CASE {whens} END"


def _deck_of(column: str) -> str:
    whens = " ".join(
        f"WHEN '{form.value}' THEN '{deck.value}'" for form, deck in DECK_OF_SECTION.items()
    )
    return f"CASE {column} {whens} END"


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule as seen from one table.

    Attributes
    ----------
    name : str
        Told with the refusal, as the name of a constraint is.
    table : str
        Whose writes are checked.
    columns : str
        Columns whose update is checked.
    broken : str
        SQL condition over NEW (and OLD) that must not be true.
    message : str
    on_insert : bool
        False for a rule that only an update can break.
    """

    name: str
    table: str
    columns: str
    broken: str
    message: str
    on_insert: bool = True

    @property
    def trigger(self) -> str:
        """Return the name of its trigger and function."""
        return f"{PREFIX}{self.name}__{self.table.removeprefix('inventory_')}"

    @property
    def told(self) -> str:
        """Return what the database says."""
        return f"{self.name}: {self.message}"


_OWN = "The current device of a place must be its own and not ended."
_OVERLAP = "Two devices stand at one place at the same time."
_INSIDE = "An element lies outside its unit."
_ONE_BRIDGE = "An element, its support and its units must be of one bridge."
_DRAWING = "A drawing must be of an element of its bridge."
_KIND = "The device must be of the element's kind."
_SECTION = "The section must be one of the unit's deck type."
_CONCRETE = "A steel unit has no concrete that creeps and shrinks."

RULES = (
    Rule(
        "element_current_is_its_own",
        "inventory_element",
        "current_installation_id",
        "EXISTS (SELECT 1 FROM inventory_installation i WHERE i.id = NEW.current_installation_id"
        " AND (i.element_id <> NEW.id OR i.removed_on IS NOT NULL))",
        _OWN,
    ),
    Rule(
        "element_current_is_its_own",
        "inventory_installation",
        "element_id, removed_on",
        "EXISTS (SELECT 1 FROM inventory_element e WHERE e.current_installation_id = NEW.id"
        " AND (e.id <> NEW.element_id OR NEW.removed_on IS NOT NULL))",
        _OWN,
    ),
    Rule(
        "installation_keeps_its_place",
        "inventory_installation",
        "element_id",
        "NEW.element_id <> OLD.element_id",
        "A device stays at the place it was installed at.",
        on_insert=False,
    ),
    Rule(
        "installations_do_not_overlap",
        "inventory_installation",
        "installed_on, removed_on",
        "EXISTS (SELECT 1 FROM inventory_installation o WHERE o.element_id = NEW.element_id"
        " AND o.id <> NEW.id AND (NEW.removed_on IS NULL OR o.installed_on < NEW.removed_on)"
        " AND (o.removed_on IS NULL OR NEW.installed_on < o.removed_on))",
        _OVERLAP,
    ),
    Rule(
        "element_inside_its_units",
        "inventory_element",
        "station_m, unit_id, unit_ahead_id",
        "EXISTS (SELECT 1 FROM inventory_unit u WHERE u.id IN (NEW.unit_id, NEW.unit_ahead_id)"
        " AND (NEW.station_m < u.start_station_m OR NEW.station_m > u.end_station_m))",
        _INSIDE,
    ),
    Rule(
        "element_inside_its_units",
        "inventory_unit",
        "start_station_m, end_station_m",
        "EXISTS (SELECT 1 FROM inventory_element e"
        " WHERE (e.unit_id = NEW.id OR e.unit_ahead_id = NEW.id)"
        " AND (e.station_m < NEW.start_station_m OR e.station_m > NEW.end_station_m))",
        _INSIDE,
    ),
    Rule(
        "element_of_one_bridge",
        "inventory_element",
        "bridge_id, support_id, unit_id, unit_ahead_id",
        "EXISTS (SELECT 1 FROM inventory_unit u WHERE u.id IN (NEW.unit_id, NEW.unit_ahead_id)"
        " AND u.bridge_id <> NEW.bridge_id) OR EXISTS (SELECT 1 FROM inventory_support s"
        " WHERE s.id = NEW.support_id AND s.bridge_id <> NEW.bridge_id)",
        _ONE_BRIDGE,
    ),
    Rule(
        "element_of_one_bridge",
        "inventory_unit",
        "bridge_id",
        "EXISTS (SELECT 1 FROM inventory_element e"
        " WHERE (e.unit_id = NEW.id OR e.unit_ahead_id = NEW.id) AND e.bridge_id <> NEW.bridge_id)",
        _ONE_BRIDGE,
    ),
    Rule(
        "element_of_one_bridge",
        "inventory_support",
        "bridge_id",
        "EXISTS (SELECT 1 FROM inventory_element e"
        " WHERE e.support_id = NEW.id AND e.bridge_id <> NEW.bridge_id)",
        _ONE_BRIDGE,
    ),
    Rule(
        "drawing_of_one_bridge",
        "inventory_drawing",
        "bridge_id, element_id",
        "EXISTS (SELECT 1 FROM inventory_element e"
        " WHERE e.id = NEW.element_id AND e.bridge_id <> NEW.bridge_id)",
        _DRAWING,
    ),
    Rule(
        "drawing_of_one_bridge",
        "inventory_element",
        "bridge_id",
        "EXISTS (SELECT 1 FROM inventory_drawing d"
        " WHERE d.element_id = NEW.id AND d.bridge_id <> NEW.bridge_id)",
        _DRAWING,
        on_insert=False,
    ),
    Rule(
        "device_of_its_kind",
        "inventory_installation",
        "device_type, element_id",
        _with(
            "EXISTS (SELECT 1 FROM inventory_element e WHERE e.id = NEW.element_id"
            " AND e.kind <> $kind)",
            kind=_kind_of("NEW.device_type"),
        ),
        _KIND,
    ),
    Rule(
        "device_of_its_kind",
        "inventory_element",
        "kind",
        _with(
            "EXISTS (SELECT 1 FROM inventory_installation i WHERE i.element_id = NEW.id"
            " AND NEW.kind <> $kind)",
            kind=_kind_of("i.device_type"),
        ),
        _KIND,
    ),
    *(
        Rule(
            "design_of_its_kind",
            f"inventory_{kind.value}design",
            "installation_id",
            _with(
                "EXISTS (SELECT 1 FROM inventory_installation i WHERE i.id = NEW.installation_id"
                " AND i.device_type NOT IN ($devices))",
                devices=_words(kind),
            ),
            "Capacities must be those of the device's kind.",
        )
        for kind in ElementKind
    ),
    Rule(
        "section_fits_deck",
        "inventory_unitsection",
        "section_form, unit_id",
        _with(
            "EXISTS (SELECT 1 FROM inventory_unit u WHERE u.id = NEW.unit_id"
            " AND u.deck_type <> $deck)",
            deck=_deck_of("NEW.section_form"),
        ),
        _SECTION,
    ),
    Rule(
        "section_fits_deck",
        "inventory_unit",
        "deck_type",
        _with(
            "EXISTS (SELECT 1 FROM inventory_unitsection s WHERE s.unit_id = NEW.id"
            " AND NEW.deck_type <> $deck)",
            deck=_deck_of("s.section_form"),
        ),
        _SECTION,
        on_insert=False,
    ),
    Rule(
        "concrete_fits_deck",
        "inventory_unitconcrete",
        "unit_id",
        _with(
            "EXISTS (SELECT 1 FROM inventory_unit u WHERE u.id = NEW.unit_id"
            " AND u.deck_type = '$steel')",
            steel=DeckType.STEEL.value,
        ),
        _CONCRETE,
    ),
    Rule(
        "concrete_fits_deck",
        "inventory_unit",
        "deck_type",
        _with(
            "NEW.deck_type = '$steel'"
            " AND EXISTS (SELECT 1 FROM inventory_unitconcrete c WHERE c.unit_id = NEW.id)",
            steel=DeckType.STEEL.value,
        ),
        _CONCRETE,
        on_insert=False,
    ),
)
