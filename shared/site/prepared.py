"""Queries that the ORM words once, and that are asked with other values each time.

Wording a query costs ten times what the database needs to answer it. What every log asks is
worded at its first use and kept as text, for each kind of database.
"""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import cache, cached_property, lru_cache
from operator import attrgetter
from typing import Any
from uuid import UUID

from django.db import DEFAULT_DB_ALIAS, connection, connections, models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.utils import CursorWrapper
from django.db.models import (
    AutoField,
    BooleanField,
    CharField,
    DateField,
    DateTimeField,
    Field,
    FloatField,
    ForeignKey,
    IntegerField,
    JSONField,
    QuerySet,
    TextField,
    UUIDField,
)
from django.db.models.constants import OnConflict
from django.db.models.expressions import Col
from django.db.models.query import ModelIterable
from django.db.models.sql.compiler import SQLCompiler
from django.utils.dateparse import parse_datetime
from django.utils.timezone import is_aware, make_aware

# What stands for a value while a query is worded: nothing that anybody would ask for.
_MARKS: dict[type, Callable[[int], Any]] = {
    UUIDField: lambda n: UUID(int=0xA110000 + n),
    DateField: lambda n: date(9000, 1, 1) + timedelta(days=n),
    DateTimeField: lambda n: datetime(9100, 1, 1, tzinfo=UTC) + timedelta(days=n),
    CharField: lambda n: f"value {n} of a prepared query",
}
_PLACE = "%s"
MOST_TEXTS = 100  # Of one query: lists have many lengths.
FEW_VALUES = 500  # So many go out in one statement whatever the database is.
_SENT_AS_THEY_ARE = (BooleanField, CharField, FloatField, IntegerField, TextField)
_READ_BY_THE_DRIVER = (DateField, BooleanField)  # A time of a day is a DateField too.
_Way = Callable[[Any, BaseDatabaseWrapper], Any]
_Converter = tuple[int, _Way, bool]


@dataclass(frozen=True, slots=True, eq=False)
class Worded:
    """The text in pieces, between them what is sent: a value by its name, or as it is.

    `converters` make of a column what its field is read as, and say whether that is JSON of a
    column's own; `objects` make of rows their models where no `values_list` was asked for.
    `types` are what the database calls its columns.
    """

    pieces: list[str]
    names: list[str | None]
    values: Sequence[Any]
    types: list[str]
    converters: list[_Converter]
    objects: Callable[[list[tuple[Any, ...]]], list[Any]] | None


class Prepared:
    """The rows of a `values_list`, or the models of a query, made by a function of arguments that
    are told by their fields.

    The function may only hand them on: it is called with marks in their place, and what it
    reckons from them is found out. One that it asks by `__in=[...]` is given as a list.
    """

    def __init__(
        self, make: Callable[..., QuerySet[Any, Any]], **fields: "type[Field[Any, Any]]"
    ) -> None:
        self._make = make
        self._fields = {name: field() for name, field in fields.items()}
        self._ways_by_vendor: dict[str, dict[str, _Way]] = {}
        self._worded: dict[str, Worded] = {}
        # Of each kind of database and number of values, in the order of the fields.
        self._texts: dict[tuple[Any, ...], str] = {}

    def __call__(self, **given: Any) -> list[Any]:
        here = _here()
        direct = _is_direct(here)
        rows = _fetched(here, direct, *self._sent(given, here, direct))
        return self._read(rows, self._worded_for(here), here)

    @property
    def worded(self) -> Worded:
        return self._worded_for(_here())

    def _worded_for(self, here: BaseDatabaseWrapper) -> Worded:
        return self._worded.get(here.vendor) or self._word()

    def sent(self, given: Mapping[str, Any]) -> tuple[str, list[Any]]:
        """The text, and the values beside it."""
        here = _here()
        return self._sent(given, here, _is_direct(here))

    def _sent(
        self, given: Mapping[str, Any], here: BaseDatabaseWrapper, direct: bool
    ) -> tuple[str, list[Any]]:
        worded, ways = self._worded_for(here), self._ways(here.vendor)
        sent = {name: _all_sent(ways[name], value, here) for name, value in given.items()}
        values: list[Any] = []
        for name, kept in zip(worded.names, worded.values, strict=True):
            if name is None:
                values.append(kept)
            else:
                values += sent[name]
        like = (here.vendor, direct, *(len(sent[name]) for name in self._fields))
        text = self._texts.get(like)
        if text is None:
            lengths = {name: len(each) for name, each in sent.items()}
            text = _text_of(worded, lengths, "?" if direct else _PLACE)
            if len(self._texts) < MOST_TEXTS:
                self._texts[like] = text
        return text, values

    def read(self, rows: list[tuple[Any, ...]]) -> list[Any]:
        """What the database found, as the query's own fields read it."""
        here = _here()
        return self._read(rows, self._worded_for(here), here)

    @staticmethod
    def _read(rows: list[tuple[Any, ...]], worded: Worded, here: BaseDatabaseWrapper) -> list[Any]:
        found = _converted(rows, worded.converters, here)
        return worded.objects(found) if worded.objects else found

    def _ways(self, vendor: str) -> Mapping[str, _Way]:
        return self._ways_by_vendor.get(vendor) or self._ways_by_vendor.setdefault(
            vendor,
            {name: _way(it, vendor) or it.get_db_prep_value for name, it in self._fields.items()},
        )

    def _word(self) -> Worded:
        worded, other = self._with_marks(0), self._with_marks(len(self._fields))
        if _kept(worded) != _kept(other) or set(self._fields) - set(worded.names):
            raise TypeError("A prepared query may only hand on what it is asked with.")
        self._worded[connection.vendor] = worded
        return worded

    def _with_marks(self, first: int) -> Worded:
        named = enumerate(self._fields.items(), first)
        marks = {name: _MARKS[type(field)](n) for n, (name, field) in named}
        rows = self._make(**marks)
        compiler = rows.query.get_compiler(connection=connection)
        sql, values = compiler.as_sql()
        ways = self._ways(connection.vendor)
        by_mark = {_all_sent(ways[name], it, _here())[0]: name for name, it in marks.items()}
        names = [by_mark.get(it) if isinstance(it, str | UUID | date) else None for it in values]
        columns = [column for column, *_ in compiler.select[: compiler.col_count]]
        converters = [
            (n, _reader(ways, column), _is_own_json(column))
            for n, (ways, column) in compiler.get_converters(columns).items()
        ]
        return Worded(
            _read_later(sql, compiler).split(_PLACE),
            names,
            values,
            [_type_of(column) for column in columns],
            converters,
            _maker_of(compiler) if rows._iterable_class is ModelIterable else None,  # noqa: SLF001 (no public place)
        )


def _text_of(worded: Worded, lengths: Mapping[str, int], place: str) -> str:
    text = [worded.pieces[0]]
    for name, piece in zip(worded.names, worded.pieces[1:], strict=True):
        text += [", ".join([place] * (1 if name is None else lengths[name])), piece]
    return "".join(text)


def _all_sent(way: _Way, value: Any, here: BaseDatabaseWrapper) -> list[Any]:
    values = value if isinstance(value, list) else [value]
    return [way(one, here) for one in values]


def _read_later(sql: str, compiler: SQLCompiler) -> str:
    """Days, times and truths as SQLite has them: its driver knows a column by its declared type
    and reads every value of it in Python, while a `+` of one is no column."""
    if compiler.connection.vendor != "sqlite":
        return sql
    for column, (text, _), alias in compiler.select:
        if (
            alias
            and isinstance(column, Col)
            and isinstance(column.output_field, _READ_BY_THE_DRIVER)
        ):
            named = f"{text} AS {compiler.connection.ops.quote_name(alias)}"
            if named not in sql:
                raise TypeError("A prepared query has a name for each column.")
            sql = sql.replace(named, f"+{named}", 1)
    return sql


def fetched(text: str, values: Sequence[Any]) -> list[tuple[Any, ...]]:
    """What the database finds by a text that `Prepared.sent` has a part in."""
    here = _here()
    return _fetched(here, _is_direct(here), text, values)


def asked(text: str, values: Sequence[Any]) -> list[tuple[Any, ...]]:
    """The same by a text of one's own, with a place for each value as Django writes it."""
    here = _here()
    direct = _is_direct(here)
    return _fetched(here, direct, text.replace(_PLACE, "?") if direct else text, values)


def _fetched(
    here: BaseDatabaseWrapper, direct: bool, text: str, values: Sequence[Any]
) -> list[tuple[Any, ...]]:
    found: list[tuple[Any, ...]]
    if direct:
        found = _ask_sqlite(here, text, values, and_fetch=True)
        return found
    with _planned_once(here) as cursor:
        cursor.execute(text, values)
        found = cursor.fetchall()
    return found


def _type_of(column: Any) -> str:
    """What the database calls it, without its length."""
    kind = column.output_field.cast_db_type(connection) or ""
    return str(kind).partition("(")[0]


def _maker_of(compiler: SQLCompiler) -> Callable[[list[tuple[Any, ...]]], list[Any]]:
    """Of rows their models, with what was asked for beside them, as a query set makes them."""
    make = _one_of(compiler.klass_info, compiler.select)
    added = dict(compiler.annotation_col_map or {})

    def made(row: tuple[Any, ...]) -> Any:
        one = make(row)
        for name, place in added.items():
            setattr(one, name, row[place])
        return one

    return lambda rows: [made(row) for row in rows]


def _one_of(own: dict[str, Any], select: Sequence[Any]) -> Callable[[tuple[Any, ...]], Any]:
    """The model of a row and those that it names beside it; None where it names nobody."""
    model, places = own["model"], own["select_fields"]
    names = [select[place][0].target.attname for place in places]
    key = places[names.index(model._meta.pk.attname)]  # noqa: SLF001 (documented)
    beside = [
        (each["local_setter"], each["remote_setter"], _one_of(each, select))
        for each in own.get("related_klass_infos", ())
    ]

    def made(row: tuple[Any, ...]) -> Any:
        if row[key] is None:
            return None
        one = _one(model, names, [row[place] for place in places])
        for set_here, set_there, make in beside:
            set_here(one, other := make(row))
            if other is not None:
                set_there(other, one)
        return one

    return made


def _kept(worded: Worded) -> list[Any]:
    pairs = zip(worded.names, worded.values, strict=True)
    # JSON as the driver wraps it is equal to no other: what it wraps is.
    same = (getattr(value, "obj", value) for name, value in pairs if name is None)
    return [worded.pieces, *same]


def _here() -> BaseDatabaseWrapper:
    """The connection itself: what stands for it looks at each use which thread it is in."""
    return connections[DEFAULT_DB_ALIAS]


def _planned_once(here: BaseDatabaseWrapper) -> CursorWrapper:
    """A cursor that sends values beside the text, so that PostgreSQL plans the text once a
    connection. SQLite does so by itself; where queries are noted, the driver says no text of one
    that was planned before."""
    if here.vendor != "postgresql" or here.queries_logged:
        return here.cursor()
    from django.db.backends.postgresql.base import ServerBindingCursor

    here.close_if_health_check_failed()  # As `cursor` does: the server may have restarted since.
    here.ensure_connection()
    return here._prepare_cursor(ServerBindingCursor(here.connection))  # type: ignore[attr-defined, call-arg, no-any-return]  # noqa: SLF001 (no public place)


def _is_direct(here: BaseDatabaseWrapper) -> bool:
    """Whether what is sent may go to SQLite as SQLite writes it: nobody looks on."""
    return here.vendor == "sqlite" and not here.queries_logged and not here.execute_wrappers


def _place(here: BaseDatabaseWrapper) -> str:
    return "?" if _is_direct(here) else _PLACE


def _ask_sqlite(
    here: BaseDatabaseWrapper, text: str, values: Sequence[Any], *, and_fetch: bool = False
) -> Any:
    """As a cursor of Django's does, without its layers, and without looking for the places in
    every text anew. What goes wrong is told as Django tells it."""
    here.ensure_connection()
    here.validate_no_broken_transaction()
    try:
        cursor = here.connection.execute(text, values)
        return cursor.fetchall() if and_fetch else None
    except Exception:
        with here.wrap_database_errors:
            raise


def _write(here: BaseDatabaseWrapper, text: str, values: Sequence[Any], *, often: bool) -> None:
    """Often: worth a plan that is kept."""
    if _is_direct(here):
        _ask_sqlite(here, text, values)
        return
    with _planned_once(here) if often else here.cursor() as cursor:
        cursor.execute(text, values)


def _converted(
    rows: list[tuple[Any, ...]], converters: list[_Converter], here: BaseDatabaseWrapper
) -> list[tuple[Any, ...]]:
    if not rows:
        return rows
    if len(rows) == 1:
        only = list(rows[0])
        for place, read, _ in converters:
            only[place] = read(only[place], here)
        return [tuple(only)]
    columns = list(zip(*rows, strict=True))
    for place, read, is_json in converters:
        values: Sequence[Any] = columns[place]
        if is_json:
            columns[place] = _all_read(values)
        else:  # What nobody can change is made once, however many rows have it.
            made = {value: read(value, here) for value in set(values)}
            columns[place] = tuple(made[value] for value in values)
    return list(zip(*columns, strict=True))


def _all_read(texts: Sequence[str | None]) -> tuple[Any, ...]:
    """JSON as JSONField reads it, each value its own: as one list, which costs one reading."""
    return tuple(json.loads(f"[{','.join(text or 'null' for text in texts)}]"))


def _is_own_json(column: Any) -> bool:
    return type(column.output_field) is JSONField and isinstance(column, Col)


def _reader(ways: list[Callable[..., Any]], column: Any) -> _Way:
    """How a value is read: by its field's and its database's ways, one after the other.

    Where SQLite has text for what nobody can change, the same text is made into it once.
    """

    def read(value: Any, here: BaseDatabaseWrapper) -> Any:
        for way in ways:
            value = way(value, column, here)
        return value

    kept = _KEPT.get(type(column.output_field))
    if connection.vendor != "sqlite" or len(ways) > 1 or kept is None:
        return read
    return lambda value, here: kept(value, here) if type(value) is str else read(value, here)


MOST_KEPT = 8192
_uuid_of = lru_cache(MOST_KEPT)(UUID)
_day_of = lru_cache(MOST_KEPT)(date.fromisoformat)


@lru_cache(MOST_KEPT)
def _instant_of(text: str, zone: tzinfo) -> datetime | None:
    found = parse_datetime(text)
    return found if found is None or is_aware(found) else make_aware(found, zone)


_KEPT: dict[type, _Way] = {
    UUIDField: lambda text, _here: _uuid_of(text),
    DateField: lambda text, _here: _day_of(text),
    DateTimeField: lambda text, here: _instant_of(text, here.timezone),
}


class _Saved:
    """How values are sent that stand under the names of these fields' columns."""

    def __init__(self, fields: "Sequence[Field[Any, Any]]") -> None:
        self._fields = fields
        self._given = attrgetter(*(field.attname for field in fields))
        self._ways: dict[str, list[tuple[int, _Way]]] = {}

    def __call__(self, rows: Sequence[object], here: BaseDatabaseWrapper) -> list[Any]:
        ways = self._ways.get(here.vendor)
        if ways is None:
            found = enumerate(_way(field, here.vendor) for field in self._fields)
            ways = self._ways[here.vendor] = [(n, way) for n, way in found if way is not None]
        values: list[Any] = []
        last: Sequence[Any] = [None] * len(self._fields)
        last_sent = last
        for row in rows:
            given = self._given(row)
            sent = list(given)
            for place, way in ways:
                value = given[place]
                if value is not None:  # What every row has is made once.
                    same = value is last[place]
                    sent[place] = last_sent[place] if same else way(value, here)
            values += sent
            last, last_sent = given, sent
        return values


class PreparedRows:
    """New rows of one model, by a statement that is worded once.

    As `bulk_create`, but a number that the database gives a row is not read back. With the
    names of a unique key in `instead`, a row that is there already becomes the new one, or in the
    fields of `changing` alone.
    """

    def __init__(
        self,
        model: type[models.Model],
        *,
        instead: Sequence[str] = (),
        changing: Sequence[str] = (),
    ) -> None:
        self._model, self._instead, self._changing = model, instead, changing
        self._worded: dict[str, tuple[str, str]] = {}

    def __call__(self, rows: Sequence[object]) -> None:
        """The rows of the model, or whatever has values under the names of its columns."""
        if not rows:
            return
        here, fields = _here(), self._fields
        few = len(rows) * len(fields) <= FEW_VALUES
        most = len(rows) if few else here.ops.bulk_batch_size(fields, rows)
        for start in range(0, len(rows), most):
            self._write(rows[start : start + most], fields, here)

    @cached_property
    def _fields(self) -> "list[Field[Any, Any]]":
        every = self._model._meta.concrete_fields  # noqa: SLF001 (documented)
        return [field for field in every if not isinstance(field, AutoField)]

    @cached_property
    def _saved(self) -> _Saved:
        return _Saved(self._fields)

    def _write(
        self,
        rows: Sequence[object],
        fields: "list[Field[Any, Any]]",
        here: BaseDatabaseWrapper,
    ) -> None:
        head, tail = self._worded.get(here.vendor) or self._word(fields)
        values = self._saved(rows, here)
        row = f"({', '.join([_place(here)] * len(fields))})"
        few = len(values) <= FEW_VALUES  # Of many the texts are many, each used once.
        _write(here, f"{head} {', '.join([row] * len(rows))} {tail}", values, often=few)

    def _word(self, fields: "list[Field[Any, Any]]") -> tuple[str, str]:
        quote, ops = connection.ops.quote_name, connection.ops
        columns = ", ".join(quote(str(field.column)) for field in fields)
        table = quote(self._model._meta.db_table)  # noqa: SLF001 (documented)
        tail = ""
        if self._instead:
            by_name = {field.name: field.column for field in fields}
            key = [by_name.pop(name) for name in self._instead]
            new = [by_name[name] for name in self._changing or by_name]
            tail = ops.on_conflict_suffix_sql(fields, OnConflict.UPDATE, new, key)
        self._worded[connection.vendor] = (f"INSERT INTO {table} ({columns}) VALUES", tail)
        return self._worded[connection.vendor]


class PreparedChange:
    """Other values in one row of a model, found by a unique key: one statement, worded once."""

    def __init__(
        self, model: type[models.Model], names: Sequence[str], *, key: Sequence[str]
    ) -> None:
        by_name = {field.name: field for field in model._meta.concrete_fields}  # noqa: SLF001 (documented)
        self._changed, self._key = [by_name[n] for n in names], [by_name[n] for n in key]
        self._saved = _Saved(self._changed + self._key)
        self._table = model._meta.db_table  # noqa: SLF001 (documented)
        self._worded: dict[str, str] = {}

    def __call__(self, row: object) -> None:
        """The values stand under the names of the columns, those of the key as well."""
        here = _here()
        place = _place(here)
        text = self._worded.get(place) or self._worded.setdefault(place, self._word(here, place))
        _write(here, text, self._saved([row], here), often=True)

    def _word(self, here: BaseDatabaseWrapper, place: str) -> str:
        quote = here.ops.quote_name
        changed = ", ".join(f"{quote(str(f.column))} = {place}" for f in self._changed)
        where = " AND ".join(f"{quote(str(f.column))} = {place}" for f in self._key)
        return f"UPDATE {quote(self._table)} SET {changed} WHERE {where}"  # noqa: S608 (our names)


def _way(field: "Field[Any, Any]", vendor: str) -> _Way | None:
    """How a value of this field is sent; None where it is sent as it is."""
    kind = field.target_field if isinstance(field, ForeignKey) else field
    if isinstance(kind, _SENT_AS_THEY_ARE) or (
        vendor == "postgresql" and isinstance(kind, UUIDField | DateField)
    ):
        return None
    saved = field.get_db_prep_save
    if type(kind) is UUIDField:
        return lambda value, here: value.hex if type(value) is UUID else saved(value, here)
    if vendor == "sqlite" and type(kind) is DateTimeField:
        return lambda value, here: _instant(value, here) or saved(value, here)
    if vendor == "sqlite" and type(kind) is DateField:
        return lambda value, here: str(value) if type(value) is date else saved(value, here)
    if vendor == "sqlite" and type(kind) is JSONField and kind.encoder is None:
        return lambda value, here: (
            _as_json(value) if type(value) in (dict, list) else saved(value, here)
        )
    return saved


def _as_json(value: dict[str, Any] | list[Any]) -> str:
    return json.dumps(value) if value else "[]" if type(value) is list else "{}"


def _instant(value: Any, here: BaseDatabaseWrapper) -> str | None:
    """As the backend of SQLite writes one that knows its clock."""
    is_known = type(value) is datetime and value.tzinfo is not None
    return str(value.astimezone(here.timezone).replace(tzinfo=None)) if is_known else None


# A model with all its columns, or with those named: the ORM asks for others if somebody reads them.
Kind = type[models.Model] | tuple[type[models.Model], tuple[str, ...]]


def columns_of(*sides: tuple[str, Kind]) -> list[str]:
    """The columns of several models beside each other, for a `values_list`."""
    return [path + name for path, kind in sides for name in _named(kind)[1]]


def _named(kind: Kind) -> tuple[type[models.Model], tuple[str, ...]]:
    return kind if isinstance(kind, tuple) else (kind, _names(kind))


@cache
def _names(model: type[models.Model]) -> tuple[str, ...]:
    return tuple(field.attname for field in model._meta.concrete_fields)  # noqa: SLF001 (documented)


def made_of(row: Sequence[Any], *kinds: Kind) -> Iterator[Any]:
    """The rows of `columns_of`, each as its model."""
    start = 0
    for kind in kinds:
        model, names = _named(kind)
        yield _one(model, names, row[start : start + len(names)])
        start += len(names)


def _one(kind: type[models.Model], names: Sequence[str], values: Sequence[Any]) -> Any:
    """As `from_db`, which asks each field how it is set, and each relation what it knew."""
    one: Any = kind.__new__(kind)
    one.__dict__.update(zip(names, values, strict=True))
    one._state = state = models.base.ModelState()  # noqa: SLF001 (documented)
    state.adding, state.db = False, DEFAULT_DB_ALIAS
    return one


def new_one(kind: type[models.Model], /, **values: Any) -> Any:
    """A row to write, as its model; a value for each column, by the column's name."""
    one: Any = kind.__new__(kind)
    one.__dict__.update(values)
    one._state = models.base.ModelState()  # noqa: SLF001 (documented)
    return one


def stand_beside(one: models.Model, **others: models.Model | None) -> None:
    """What its foreign keys name, which it need not ask for."""
    one._state.fields_cache.update(others)  # noqa: SLF001 (documented)


def stand_behind(one: models.Model, **others: Sequence[models.Model]) -> None:
    """What names it by a foreign key, under the name for all of them: as if prefetched."""
    for name, rows in others.items():
        known: Any = getattr(one, name).model._default_manager.all()  # noqa: SLF001 (documented)
        known._result_cache = list(rows)  # noqa: SLF001 (no public place)
        held = one.__dict__.setdefault("_prefetched_objects_cache", {})
        held[name] = known
