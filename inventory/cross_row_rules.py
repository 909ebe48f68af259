"""Rules that span rows, kept by the database behind the checks of the forms.

A check constraint sees one row; these triggers see the others.  They are set up after
every migration instead of by one: SQLite rebuilds a table to alter it, which loses its
triggers, and it refuses to rename a table that another table's trigger names.

Every rule holds after each single write, so the order of writes matters: a place names
its new device first, then the present one ends, then the new row comes.
"""

from __future__ import annotations

from django.db import NotSupportedError, connections, transaction

from inventory.cross_row_list import PREFIX, RULES, Rule


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
