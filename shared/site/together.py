"""Several queries that know nothing of each other, asked in one.

A page asks for much of one student, and each question is a way to the database and back. Here
each stays where it is at home, says how it is asked and what is made of its rows, and the page
asks them `together`; whoever needs one alone reads its `answer`.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from operator import itemgetter
from typing import Any, Generic, TypeVar

from django.db import connection

from shared.site.prepared import Prepared, Worded, fetched

Answer_co = TypeVar("Answer_co", covariant=True)
Row = tuple[Any, ...]


class Question(Generic[Answer_co]):
    """What `make` makes of the answers to others; asked alone if nobody asked before."""

    def __init__(self, make: Callable[..., Answer_co], *of: "Question[Any]") -> None:
        self._make, self._of = make, of
        self._answer: list[Answer_co] = []

    @property
    def answer(self) -> Answer_co:
        if not self._answer:
            together(self)
            self._answer.append(self._make(*(one.answer for one in self._of)))
        return self._answer[0]

    def rows(self) -> "Iterator[Rows]":
        """The questions to the database that it stands on."""
        for one in self._of:
            yield from one.rows()


class Rows(Question[list[Any]]):
    """The rows of one prepared query."""

    def __init__(self, prepared: Prepared, **given: Any) -> None:
        self.prepared, self.given = prepared, given
        self.found: list[Any] | None = None

    @property
    def answer(self) -> list[Any]:
        if self.found is None:
            together(self)
        return self.found or []

    def rows(self) -> "Iterator[Rows]":
        yield self


def together(*asked: Question[Any]) -> None:
    """Ask the database for all that these stand on and that is not known yet. One query."""
    open_ones = [rows for one in asked for rows in one.rows() if rows.found is None]
    if len(open_ones) == 1:
        [alone] = open_ones
        alone.found = alone.prepared(**alone.given)
    elif open_ones:
        for rows, found in zip(open_ones, _read(open_ones), strict=True):
            rows.found = rows.prepared.read(found)


def _read(asked: Sequence[Rows]) -> list[list[Row]]:
    """The rows of each, in its order: the database reads one after the other."""
    heads, ways = _laid_out(tuple(rows.prepared.worded for rows in asked))
    texts, values = [], []
    for rows in asked:
        text, sent = rows.prepared.sent(rows.given)
        texts.append(text)
        values += sent
    named = ", ".join(f"{head} AS ({text})" for (head, _), text in zip(heads, texts, strict=True))
    picked = " UNION ALL ".join(select for _, select in heads)
    found: list[list[Row]] = [[] for _ in asked]
    for row in fetched(f"WITH {named} {picked}", values):
        found[row[0]].append(ways[row[0]](row))
    return found


@cache
def _laid_out(
    asked: tuple[Worded, ...],
) -> tuple[list[tuple[str, str]], list[Callable[[Row], Row]]]:
    """Of each its name with its columns, and how it is picked: columns of one type share a place,
    so that what is not its own is null. Beside it how its row is read out of the place."""
    places: list[tuple[str, int]] = []
    own: list[dict[tuple[str, int], int]] = []
    for worded in asked:
        columns: dict[tuple[str, int], int] = {}
        for number, kind in enumerate(worded.types):
            nth = sum(name == kind for name, _ in columns)
            columns[kind, nth] = number
        own.append(columns)
        places += [place for place in columns if place not in places]
    heads = []
    for number, columns in enumerate(own):
        names = ", ".join(f"c{n}" for n in range(len(columns)))
        cells = (
            _cell(columns[place]) if place in columns else _null(place[0], number)
            for place in places
        )
        heads.append(
            (f"w{number} ({names})", f"SELECT {number}, {', '.join(cells)} FROM w{number}")  # noqa: S608 (our own words)
        )
    return heads, [_picked([1 + places.index(place) for place in columns]) for columns in own]


def _cell(column: int) -> str:
    """SQLite's driver would read the values of all by the declared type of one: a `+` has none."""
    return f"{'+' if connection.vendor == 'sqlite' else ''}c{column}"


def _null(kind: str, number: int) -> str:
    """PostgreSQL goes by the first what a column is."""
    return "NULL" if number or connection.vendor == "sqlite" else f"NULL::{kind}"


def _picked(places: list[int]) -> Callable[[Row], Row]:
    if len(places) == 1:
        return lambda row: (row[places[0]],)
    pick: Callable[[Row], Row] = itemgetter(*places)
    return pick
