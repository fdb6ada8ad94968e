"""Reading an entry as a phone sent it: strictly, and with a sentence for what cannot be taken.

An entry is refused whole or taken whole. Keys that this version does not know
are not kept (practice.log.known). Version 2 brought shots:
a server that knows only version 1 asks the phone to wait, so none is ever dropped.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple
from uuid import UUID

from practice.log.fields import (
    Refusal,
    clean_tree,
    flag,
    identity,
    instant,
    items,
    number,
    one_day,
    optional_identity,
    text,
    whole,
)
from practice.log.measured import Measured, read_shots

LATEST = 2
WITHOUT_SHOTS = 1
MOST_REPS = 999
MOST_MINUTES = 600
MOST_BALLS = 2000
MOST_BLOCKS = 30
MOST_STEPS = 60
MOST_SIGNS = 20
NOTE_LENGTH = 2000
KINDS = ("log", "change", "back", "read", "away")
WHAT = ("range", "round", "group", "lesson", "other")
AWAY_KINDS = ("away", "unwell", "other")


class StepDone(NamedTuple):
    """What was done of one step: how many, how many of them clean, at what felt effort."""

    n: int
    clean: int | None
    effort: int | None

    def as_row(self) -> dict[str, int | None]:
        return {"n": self.n, "clean": self.clean, "effort": self.effort}


class Block(NamedTuple):
    """One block of a session: of a part of the week, or practice nobody asked for."""

    part: UUID | None
    drill: UUID | None
    what: str
    steps: tuple[StepDone, ...]
    minutes: float | None
    # By the clock, and what was said before the clock was shown.
    timed: float | None
    guessed: float | None
    as_asked: bool
    stopped: bool
    for_last_week: bool
    balls: int | None
    hard: int | None
    # None: nothing is said of shots, and a change leaves those there are.
    shots: Measured | None


@dataclass(frozen=True, slots=True)
class Pain:
    level: int
    where: str
    signs: tuple[str, ...]
    is_new: bool
    part: UUID | None


@dataclass(frozen=True, slots=True)
class Head:
    """What must be read before anything else: whose entry this is, and in which version."""

    id: UUID
    version: int
    student: UUID


@dataclass(frozen=True, slots=True)
class Document:
    """An entry that can be taken, before anybody has looked at what it points to."""

    id: UUID
    kind: str
    day: date
    at: datetime
    target: UUID | None = None
    blocks: tuple[Block, ...] = ()
    minutes: float | None = None
    felt: int | None = None
    note: str = ""
    pain: Pain | None = None
    # The part that a question is about, where nothing was done of it.
    about: UUID | None = None
    caution: UUID | None = None
    first: date | None = None
    last: date | None = None
    away_kind: str = "other"
    off: bool = False

    @property
    def says_shots(self) -> bool:
        return any(block.shots is not None for block in self.blocks)


def head(raw: object) -> Head:
    """The id, version and student of an entry.

    Raises Refusal if one of them cannot be read, or if the entry is of a version
    that only a newer server knows.
    """
    if not isinstance(raw, Mapping):
        raise Refusal("shape", "An entry is a JSON object.")
    entry_id = identity(raw, "id")
    version = whole(raw, "v", low=1, high=10**6, reason="shape")
    if version is None:
        raise Refusal("shape", "The entry does not say its version (v).")
    if version > LATEST:
        raise Refusal("version", "This server does not know entries this new yet.", hold=True)
    return Head(entry_id, version, identity(raw, "who"))


def parse(raw: Mapping[str, Any], said: Head | None = None) -> Document:
    """The whole entry, of any version ever shipped, if its head was read before. Raises Refusal."""
    clean_tree(raw)
    return _READERS[(said or head(raw)).version](raw)


def _any_version(raw: Mapping[str, Any]) -> Document:
    kind = raw.get("k")
    if kind not in KINDS:
        raise Refusal("kind", "This kind of entry is not known.")
    common = {
        "id": identity(raw, "id"),
        "kind": kind,
        "day": one_day(raw, "day"),
        "at": instant(raw, "at"),
    }
    return _KIND_READERS[kind](raw, common)


def _session(raw: Mapping[str, Any], common: dict[str, Any]) -> Document:
    pain = raw.get("pain")
    document = Document(
        **common,
        target=identity(raw, "target", reason="target") if common["kind"] == "change" else None,
        blocks=tuple(_block(block, raw["v"]) for block in items(raw, "b", MOST_BLOCKS)),
        minutes=number(raw, "min", high=MOST_MINUTES, unit="minutes"),
        felt=whole(raw, "felt", high=10),
        note=text(raw, "note", NOTE_LENGTH),
        pain=None if pain is None else _pain(pain),
        about=optional_identity(raw, "about", reason="part"),
    )
    said = (document.blocks, document.note, document.pain, document.minutes, document.felt)
    if all(value in ((), "", None) for value in said):
        raise Refusal("shape", "There is nothing in this entry.")
    return document


def _back(raw: Mapping[str, Any], common: dict[str, Any]) -> Document:
    return Document(**common, target=identity(raw, "target", reason="target"))


def _read(raw: Mapping[str, Any], common: dict[str, Any]) -> Document:
    return Document(**common, caution=identity(raw, "caution"))


def _away(raw: Mapping[str, Any], common: dict[str, Any]) -> Document:
    first, last = one_day(raw, "first"), one_day(raw, "last")
    if last < first:
        raise Refusal("day", "The last day away cannot be before the first.")
    kind = raw.get("kind") or "other"
    if kind not in AWAY_KINDS:
        raise Refusal("shape", "Say away, unwell or other.")
    return Document(**common, first=first, last=last, away_kind=kind, off=flag(raw, "off"))


def _block(raw: object, version: int) -> Block:
    if not isinstance(raw, Mapping):
        raise Refusal("shape", "Each block of a session is a JSON object.")
    what = raw.get("w") or ""
    if what not in ("", *WHAT):
        raise Refusal("shape", f"Practice outside the week is one of: {', '.join(WHAT)}.")
    return Block(
        part=optional_identity(raw, "p", reason="part"),
        drill=optional_identity(raw, "d", reason="part"),
        what=what,
        steps=tuple(_step(step) for step in items(raw, "s", MOST_STEPS)),
        minutes=number(raw, "min", high=MOST_MINUTES, unit="minutes"),
        timed=number(raw, "t", high=MOST_MINUTES, unit="minutes"),
        guessed=number(raw, "g", high=MOST_MINUTES, unit="minutes"),
        as_asked=flag(raw, "as"),
        stopped=flag(raw, "stop"),
        for_last_week=flag(raw, "last"),
        balls=whole(raw, "balls", high=MOST_BALLS, unit="balls"),
        hard=whole(raw, "hard", high=MOST_BALLS, unit="hard swings"),
        shots=read_shots(raw) if version > WITHOUT_SHOTS else None,
    )


def _step(raw: object) -> StepDone:
    if not isinstance(raw, Mapping):
        raise Refusal("shape", "Each step of a block is a JSON object.")
    n = whole(raw, "n", high=MOST_REPS, unit="in one step")
    clean = whole(raw, "c", high=MOST_REPS, unit="in one step")
    if clean is not None and clean > (n or 0):
        raise Refusal("amount", "There cannot be more clean ones than were made.")
    return StepDone(n or 0, clean, whole(raw, "e", high=100, unit="percent effort"))


def _pain(raw: object) -> Pain:
    if not isinstance(raw, Mapping):
        raise Refusal("shape", "Pain is told as a JSON object.")
    level = whole(raw, "lvl", high=10)
    signs = items(raw, "signs", MOST_SIGNS)
    return Pain(
        level=level or 0,
        where=text(raw, "where", 60),
        signs=tuple(dict.fromkeys(text({"sign": sign}, "sign", 30) for sign in signs if sign)),
        is_new=flag(raw, "new"),
        part=optional_identity(raw, "p", reason="part"),
    )


_KIND_READERS: dict[str, Callable[[Mapping[str, Any], dict[str, Any]], Document]] = {
    "log": _session,
    "change": _session,
    "back": _back,
    "read": _read,
    "away": _away,
}
# Every version ever shipped stays here: a phone may bring an entry months later.
_READERS: dict[int, Callable[[Mapping[str, Any]], Document]] = {
    WITHOUT_SHOTS: _any_version,
    LATEST: _any_version,
}
