"""Rules that span rows, kept by the database behind the checks of the forms.

A check constraint sees one row; these triggers see the others.  They are set up after
every migration instead of by one: SQLite rebuilds a table to alter it, which loses its
triggers, and it refuses to rename a table that another table's trigger names.

Every rule holds after each single write, so the order of writes matters: a place names
its new device first, then the present one ends, then the new row comes.
"""

from __future__ import annotations

from dataclasses import dataclass
from string import Template

from django.db import NotSupportedError, connections, transaction

from inventory.models.choices import DEVICES_OF_KIND, ElementKind

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
_KIND = "The device must be of the element's kind."

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
)


def take_down(using: str = "default", **_signal: object) -> None:
    """Drop the triggers, so that a migration may rebuild the tables they name."""
    connection = connections[using]
    listed = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT p.proname FROM pg_proc p JOIN pg_namespace n"
        " ON n.oid = p.pronamespace WHERE n.nspname = current_schema()",
    }[_vendor(using)]
    drop = {
        "sqlite": "DROP TRIGGER {}",
        "postgresql": "DROP FUNCTION {}() CASCADE",
    }[_vendor(using)]
    with transaction.atomic(using=using), connection.cursor() as cursor:
        cursor.execute(listed)
        for (name,) in cursor.fetchall():
            if name.startswith(PREFIX):
                cursor.execute(drop.format(connection.ops.quote_name(name)))


def set_up(using: str = "default", **_signal: object) -> None:
    """Put the triggers in place, new, where the register's tables exist."""
    connection = connections[using]
    statements = {"sqlite": _for_sqlite, "postgresql": _for_postgresql}[_vendor(using)]
    with transaction.atomic(using=using):
        take_down(using)
        tables = set(connection.introspection.table_names())
        if {rule.table for rule in RULES} <= tables:
            with connection.cursor() as cursor:
                for rule in RULES:
                    for statement in statements(rule):
                        cursor.execute(statement)


def _vendor(using: str) -> str:
    vendor = connections[using].vendor
    if vendor not in ("sqlite", "postgresql"):
        raise NotSupportedError(
            f"The rules that span rows are not written for {vendor}. Use SQLite or PostgreSQL."
        )
    return vendor


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _for_sqlite(rule: Rule) -> list[str]:
    events = [("update", f"UPDATE OF {rule.columns}")]
    if rule.on_insert:
        events.append(("insert", "INSERT"))
    return [
        f"CREATE TRIGGER {rule.trigger}__{suffix} AFTER {event} ON {rule.table} FOR EACH ROW"
        f" WHEN {rule.broken} BEGIN SELECT RAISE(ABORT, {_quoted(rule.told)}); END"
        for suffix, event in events
    ]


def _for_postgresql(rule: Rule) -> list[str]:
    insert = "INSERT OR " if rule.on_insert else ""
    return [
        f"CREATE FUNCTION {rule.trigger}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN"
        f" IF {rule.broken} THEN RAISE EXCEPTION USING ERRCODE = 'check_violation',"
        f" CONSTRAINT = {_quoted(rule.name)}, TABLE = {_quoted(rule.table)},"
        f" MESSAGE = {_quoted(rule.told)}; END IF; RETURN NULL; END $$",
        f"CREATE TRIGGER {rule.trigger} AFTER {insert}UPDATE OF {rule.columns} ON {rule.table}"
        f" FOR EACH ROW EXECUTE FUNCTION {rule.trigger}()",
    ]
