"""Append-only tables: the database itself refuses UPDATE and DELETE on them."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.apps import apps
from django.db import connections

SENTENCE = "history is added to, never edited"
POSTGRES_FUNCTION = f"""
CREATE OR REPLACE FUNCTION stirbook_append_only() RETURNS trigger AS $$
BEGIN RAISE EXCEPTION '{SENTENCE}: %', TG_TABLE_NAME; END $$ LANGUAGE plpgsql
"""


def tables() -> list[str]:
    """Names of the tables whose model says ``append_only``: history, and lines of recipe versions."""
    return sorted(m._meta.db_table for m in apps.get_models() if getattr(m, "append_only", False))


def lay(alias: str = "default") -> None:
    """Lay the triggers on every append-only table that exists; repeating it changes nothing."""
    connection = connections[alias]
    there = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRES_FUNCTION)
        for table in tables():
            if table in there:
                for statement in _statements(connection.vendor, table):
                    cursor.execute(statement)


def _statements(vendor: str, table: str) -> list[str]:
    if vendor == "postgresql":
        return [
            f"DROP TRIGGER IF EXISTS append_only_row ON {table}",
            f"DROP TRIGGER IF EXISTS append_only_all ON {table}",
            f"CREATE TRIGGER append_only_row BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION stirbook_append_only()",
            f"CREATE TRIGGER append_only_all BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION stirbook_append_only()",
        ]
    return [
        f"CREATE TRIGGER IF NOT EXISTS append_only_{event.lower()}_{table} BEFORE {event} ON {table} "
        f"BEGIN SELECT RAISE(ABORT, '{SENTENCE}: {table}'); END"
        for event in ("UPDATE", "DELETE")
    ]


def lift(alias: str = "default") -> None:
    """Take the triggers off: only for the test harness's own flush and for restoring a backup."""
    connection = connections[alias]
    there = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for table in tables():
            if table not in there:
                continue
            if connection.vendor == "postgresql":
                cursor.execute(f"DROP TRIGGER IF EXISTS append_only_row ON {table}")
                cursor.execute(f"DROP TRIGGER IF EXISTS append_only_all ON {table}")
            else:
                for event in ("update", "delete"):
                    cursor.execute(f"DROP TRIGGER IF EXISTS append_only_{event}_{table}")


def missing(alias: str = "default") -> list[str]:
    """Append-only tables without their triggers (should be none)."""
    connection = connections[alias]
    query = (
        "SELECT tgrelid::regclass::text FROM pg_trigger WHERE tgname = 'append_only_row'"
        if connection.vendor == "postgresql"
        else "SELECT tbl_name FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'append_only_delete_%'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        guarded = {row[0] for row in cursor.fetchall()}
    return [table for table in tables() if table not in guarded]


@contextmanager
def lifted(alias: str = "default") -> Iterator[None]:
    """Triggers off inside the block, laid again after it."""
    lift(alias)
    try:
        yield
    finally:
        lay(alias)


def lay_after_migrate(sender, using: str = "default", **kwargs) -> None:
    if sender.name == "buckets":  # the signal comes once per app; the last one with tables is enough
        lay(using)
