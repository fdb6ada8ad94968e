"""Queries that the ORM words once, and that are asked with other values each time.

Wording a query costs ten times what the database needs to answer it. What every log asks is
worded at its first use and kept as text, for each kind of database.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any
from uuid import UUID

from django.db import connection, models
from django.db.models import CharField, DateField, DateTimeField, Field, QuerySet, UUIDField

# What stands for a value while a query is worded: nothing that anybody would ask for.
_MARKS: dict[type, Callable[[int], Any]] = {
    UUIDField: lambda n: UUID(int=0xA110000 + n),
    DateField: lambda n: date(9000, 1, 1) + timedelta(days=n),
    DateTimeField: lambda n: datetime(9100, 1, 1, tzinfo=UTC) + timedelta(days=n),
    CharField: lambda n: f"value {n} of a prepared query",
}
_PLACE = "%s"


@dataclass(frozen=True, slots=True)
class _Worded:
    """The text in pieces, between them what is sent: a value by its name, or as it is.

    `converters` make of a column what its field is read as.
    """

    pieces: list[str]
    names: list[str | None]
    values: Sequence[Any]
    converters: list[tuple[int, list[Callable[..., Any]], Any]]


class Prepared:
    """The rows of a `values_list`, made by a function of arguments that are told by their fields.

    The function may only hand them on: it is called with marks in their place, and what it
    reckons from them is found out. One that it asks by `__in=[...]` is given as a list.
    """

    def __init__(
        self, make: Callable[..., QuerySet[Any, Any]], **fields: "type[Field[Any, Any]]"
    ) -> None:
        self._make = make
        self._fields = {name: field() for name, field in fields.items()}
        self._worded: dict[str, _Worded] = {}

    def __call__(self, **given: Any) -> list[tuple[Any, ...]]:
        worded = self._worded.get(connection.vendor) or self._word()
        sent = {name: self._all_sent(name, value) for name, value in given.items()}
        text, values = [worded.pieces[0]], []
        for name, kept, piece in zip(worded.names, worded.values, worded.pieces[1:], strict=True):
            several = [kept] if name is None else sent[name]
            text += [", ".join([_PLACE] * len(several)), piece]
            values += several
        with connection.cursor() as cursor:
            cursor.execute("".join(text), values)
            found: list[tuple[Any, ...]] = cursor.fetchall()
        return [_converted(row, worded.converters) for row in found]

    def _all_sent(self, name: str, value: Any) -> list[Any]:
        return [self._as_sent(name, one) for one in (value if isinstance(value, list) else [value])]

    def _as_sent(self, name: str, value: Any) -> Any:
        return self._fields[name].get_db_prep_value(value, connection)

    def _word(self) -> _Worded:
        worded, other = self._with_marks(0), self._with_marks(len(self._fields))
        if _kept(worded) != _kept(other) or set(self._fields) - set(worded.names):
            raise TypeError("A prepared query may only hand on what it is asked with.")
        self._worded[connection.vendor] = worded
        return worded

    def _with_marks(self, first: int) -> _Worded:
        named = enumerate(self._fields.items(), first)
        marks = {name: _MARKS[type(field)](n) for n, (name, field) in named}
        compiler = self._make(**marks).query.get_compiler(connection=connection)
        sql, values = compiler.as_sql()
        by_mark = {self._as_sent(name, mark): name for name, mark in marks.items()}
        names = [by_mark.get(it) if isinstance(it, str | UUID | date) else None for it in values]
        columns = [column for column, *_ in compiler.select[: compiler.col_count]]
        converters = [(n, *how) for n, how in compiler.get_converters(columns).items()]
        return _Worded(sql.split(_PLACE), names, values, converters)


def _kept(worded: _Worded) -> list[Any]:
    pairs = zip(worded.names, worded.values, strict=True)
    return [worded.pieces, *(value for name, value in pairs if name is None)]


def _converted(
    row: tuple[Any, ...], converters: list[tuple[int, list[Callable[..., Any]], Any]]
) -> tuple[Any, ...]:
    values = list(row)
    for place, ways, column in converters:
        for way in ways:
            values[place] = way(values[place], column, connection)
    return tuple(values)


def columns_of(*sides: tuple[str, type[models.Model]]) -> list[str]:
    """Every column of several models beside each other, for a `values_list`."""
    return [path + name for path, model in sides for name in _names(model)]


@cache
def _names(model: type[models.Model]) -> list[str]:
    return [field.attname for field in model._meta.concrete_fields]  # noqa: SLF001 (documented)


def made_of(row: Sequence[Any], *kinds: type[models.Model]) -> Iterator[Any]:
    """The rows of `columns_of`, each as its model."""
    start = 0
    for kind in kinds:
        names = _names(kind)
        yield kind.from_db(connection.alias, names, row[start : start + len(names)])
        start += len(names)
