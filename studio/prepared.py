"""What a page asks every time: the SQL is written once, and only the values in it change.

Putting a queryset into SQL takes several times as long as the database takes to answer it. A ``Prepared``
keeps the SQL on the connection it was written for, so every thread and database has its own.
"""

import copy
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any, NamedTuple

from django.db import DEFAULT_DB_ALIAS, connections
from django.db.models import CharField, DateTimeField, Field, IntegerField, QuerySet

KEPT = "_stirbook_prepared"


class _Written(NamedTuple):
    """SQL as it was written, and where in its parameters each value goes."""

    queryset: Any
    compiler: Any
    sql: str
    parameters: tuple[Any, ...]
    places: tuple[tuple[int, str], ...]


class _SameQuery:
    """Stands for a query, answering with the compiler that has written it already."""

    def __init__(self, query: Any, compiler: Any) -> None:
        self._query, self._compiler = query, compiler

    def get_compiler(self, *args: Any, **kwargs: Any) -> Any:
        return self._compiler

    def __getattr__(self, name: str) -> Any:
        return getattr(self._query, name)


class Prepared:
    """A queryset with open places.

    ``build`` makes it from keyword values, each of them used in lookups only; ``places`` says what kind
    of field each is: CharField, IntegerField or DateTimeField. ``build`` is called once per connection,
    so nothing in it may depend on the moment.
    """

    def __init__(self, build: Callable[..., QuerySet[Any]], **places: Field) -> None:
        self._build, self._places = build, places

    def rows(self, **values: Any) -> list[Any]:
        """The rows for these values: whatever the queryset yields."""
        written = self._written()
        connection = connections[DEFAULT_DB_ALIAS]
        parameters = list(written.parameters)
        for position, name in written.places:
            parameters[position] = self._places[name].get_db_prep_value(values[name], connection)
        compiler = copy.copy(written.compiler)
        compiler.as_sql = lambda *args, **kwargs: (written.sql, tuple(parameters))
        # a fresh queryset around the same query: copying one would run it
        same: Any = _SameQuery(written.queryset.query, compiler)
        asked: Any = QuerySet(model=written.queryset.model, query=same)
        asked._iterable_class = written.queryset._iterable_class
        return list(asked._iterable_class(asked))

    def _written(self) -> _Written:
        connection = connections[DEFAULT_DB_ALIAS]
        kept: dict[Prepared, _Written] = connection.__dict__.setdefault(KEPT, {})
        if self not in kept:
            kept[self] = self._write(connection)
        return kept[self]

    def _write(self, connection: Any) -> _Written:
        marks = {name: _mark(field, number) for number, (name, field) in enumerate(self._places.items())}
        queryset: Any = self._build(**marks)
        if queryset._prefetch_related_lookups:
            raise ValueError("what is fetched beside it would be asked anew each time: ask it by itself")
        compiler = queryset.query.get_compiler(connection=connection)
        sql, parameters = compiler.as_sql()
        converters = compiler.get_converters([column for column, *_ in compiler.select[: compiler.col_count]])
        compiler.get_converters = lambda columns: converters
        meant = {self._places[name].get_db_prep_value(mark, connection): name for name, mark in marks.items()}
        if connection.vendor == "sqlite":
            sql, parameters = _with_constants(sql, parameters, set(meant))
        places = tuple((at, meant[value]) for at, value in enumerate(parameters) if _hashable(value) in meant)
        if {name for _, name in places} != set(marks):
            raise ValueError(f"a place is not used: {sorted(set(marks) - {name for _, name in places})}")
        return _Written(queryset, compiler, sql, tuple(parameters), places)


def _with_constants(sql: str, parameters: Any, marks: set[Any]) -> tuple[str, list[Any]]:
    """What never changes, written into the SQL.

    Bound like the rest, it would make SQLite plan the query anew for every answer where an index holds a
    part of a table only: whether that part is meant hangs on the value.
    """
    head, *pieces = sql.split("%s")
    left = []
    for value, piece in zip(parameters, pieces, strict=True):
        if isinstance(value, str | int) and value not in marks:
            quoted = str(value).replace("'", "''").replace("%", "%%")
            head += (f"'{quoted}'" if isinstance(value, str) else str(int(value))) + piece
        else:
            left.append(value)
            head += f"%s{piece}"
    return head, left


def _mark(field: Field, number: int) -> Any:
    """A value no row has, to find its place in the parameters by."""
    if isinstance(field, CharField):
        return f"\ue000place {number}"
    if isinstance(field, IntegerField):
        return 9_000_000_000_000_000_000 + number
    if isinstance(field, DateTimeField):
        return datetime(9000 + number, 1, 1, tzinfo=UTC)
    raise TypeError(f"no mark for {type(field).__name__}")


def _hashable(value: Any) -> Any:
    return value if isinstance(value, str | int | datetime) else None
