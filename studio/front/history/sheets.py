"""Many rows at once: plain tuples in the database's own units, written in blocks."""

from datetime import datetime
from typing import Any

from django.core.management.color import no_style
from django.db import connection, models
from django.db.models import Max

BLOCK = 20_000


class Sheet:
    """Rows of one table. ``columns`` are named as in ``add``; every other column takes its default.

    Amounts are whole numbers of their field's smallest unit, moments come through ``moment``.
    """

    def __init__(self, model: type[models.Model], columns: str) -> None:
        self.model = model
        named = columns.split()
        fields = {field.attname: field for field in model._meta.concrete_fields}
        others = [field for name, field in fields.items() if name not in named]
        self._rest = tuple(field.get_db_prep_save(field.get_default(), connection) for field in others)
        quoted = [connection.ops.quote_name(fields[name].column) for name in named]
        quoted += [connection.ops.quote_name(field.column) for field in others]
        table = connection.ops.quote_name(model._meta.db_table)
        values = ", ".join(["%s"] * len(quoted))
        self._insert = f"INSERT INTO {table} ({', '.join(quoted)}) VALUES ({values})"  # noqa: S608 - own names
        self._rows: list[tuple[Any, ...]] = []
        self.next = (model._base_manager.aggregate(last=Max("pk"))["last"] or 0) + 1
        self.count = 0

    def number(self) -> int:
        """The key of the next row."""
        self.next += 1
        return self.next - 1

    def add(self, *row: Any) -> None:
        self._rows.append(row + self._rest)
        if len(self._rows) >= BLOCK:
            self.write()

    def write(self) -> None:
        """Put what is collected into the table."""
        if self._rows:
            with connection.cursor() as cursor:
                cursor.executemany(self._insert, self._rows)
        self.count += len(self._rows)
        self._rows.clear()


def moment(at: datetime) -> Any:
    """A moment as the database keeps it."""
    return connection.ops.adapt_datetimefield_value(at)


def json(value: Any) -> Any:
    """A value as a JSON column keeps it."""
    return models.JSONField().get_db_prep_save(value, connection)


def go_on_after(sheets: list[Sheet]) -> None:
    """Where the database numbers rows by a sequence, let it go on behind those that were written."""
    kinds = [sheet.model for sheet in sheets]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), kinds):
            cursor.execute(statement)
