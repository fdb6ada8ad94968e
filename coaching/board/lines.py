"""A student's line on the board as values: made of a judgement, kept, and read again."""

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any

from coaching.board.read import BoardPerson
from coaching.board.rows import JudgedStudent, bar_of, group_of, said
from coaching.board.rules.by_chance import Looked, looked_at
from coaching.board.rules.order import CALLED_FOR, Need
from coaching.board.rules.short import Because, because
from coaching.board.rules.states import State
from coaching.board.rules.text import Words, asks_first
from coaching.board.rules.trend_text import finished_of, weeks_before
from coaching.forecast.forecast import EVENING
from shared.kit.drawing.work_bar import WorkBar
from shared.kit.weeks import TURNOVER, day_starts_at

ROOT = Path(__file__).resolve().parents[2]
# What a line is made of and by: a release that judges otherwise lets no line of before stand.
MADE_BY = ("coaching/board", "coaching/forecast", "practice/numbers/now", "practice/measures",
           "practice/care", "shared/kit")  # fmt: skip
MOST_READ = 2048  # Lines that a process knows as they were read.


@dataclass(frozen=True, slots=True)
class BoardLine:
    """What is said of one student until something changes, for whoever reads it."""

    opens: date
    need: Need
    state: State
    has_week: bool
    because: Because
    # Of whom the call list names, in every reader's units; what was told of pain is in none.
    words: Words
    # Without its page's scale and key.
    bar: WorkBar
    shares: tuple[float | None, ...]
    shares_words: str
    finished: str
    looked: Looked
    # Whether the next step is a question to the student.
    asks_first: bool

    def __hash__(self) -> int:
        """Of the words that tell most lines apart: the whole is what two are compared by."""
        return hash((self.because.words, self.bar.label, self.shares_words))


def line_of(judged: JudgedStudent) -> BoardLine:
    facts = judged.facts
    return BoardLine(
        opens=judged.person.opens,
        need=judged.need,
        state=judged.state,
        has_week=facts.has_week,
        because=because(facts, judged.state, judged.need, judged.care),
        words=_words(judged),
        bar=replace(bar_of(judged), key=""),
        shares=facts.trend.shares,
        shares_words=weeks_before(facts.trend),
        finished=finished_of(facts.trend),
        looked=looked_at(facts),
        asks_first=asks_first(facts, judged.state) and not judged.care,
    )


def _words(judged: JudgedStudent) -> Words:
    if group_of(judged) not in CALLED_FOR:
        return Words("")
    whole = said(judged, reads_pain=True)
    return Words("" if judged.care else whole.reason, whole.since, whole.action)


def to_json(line: BoardLine) -> list[Any]:
    why, words, bar = line.because, line.words, line.bar
    told = why.told and (str(why.told[0]), why.told[1])
    return [
        str(line.opens),
        line.need.value,
        line.state.name,
        line.has_week,
        [why.words, why.metres, why.of_pain, told],
        [words.reason, words.since, words.action],
        [bar.asked, bar.done, bar.extra, bar.pin, bar.label],
        line.shares,
        line.shares_words,
        line.finished,
        line.looked,
        line.asks_first,
    ]


def from_json(kept: Sequence[Any]) -> BoardLine:
    opens, need, state, has_week, because, words, bar, shares, said, finished, *more = kept
    looked, asks = more
    short, metres, of_pain, told = because
    day_and_level = (date.fromisoformat(told[0]), told[1]) if told else None
    return BoardLine(
        date.fromisoformat(opens),
        Need(need),
        State[state],
        has_week,
        Because(short, metres, of_pain, day_and_level),
        Words(*words),
        WorkBar(*bar),
        tuple(shares),
        said,
        finished,
        Looked(*looked),
        asks,
    )


@lru_cache(maxsize=MOST_READ)
def from_text(kept: str) -> BoardLine:
    """The same from JSON as the database has it: nobody can change a line, so it is read once."""
    return from_json(json.loads(kept))


def stands_until(judged: JudgedStudent, lessons: Iterable[datetime]) -> datetime:
    """When time alone may change the line: the turn of the day, the next lesson, and the
    evening of those whose word is the chance's."""
    person, decided = judged.person, judged.facts.decided
    turns = [day_starts_at(person.today + timedelta(days=1), person.zone), *lessons]
    if decided and decided.forecast_decides and person.hour < EVENING:
        turns.append(_evening(person))
    return min(turns)


def _evening(person: BoardPerson) -> datetime:
    return day_starts_at(person.today, person.zone) + timedelta(hours=EVENING) - TURNOVER


def _digest() -> str:
    digest = hashlib.sha256()
    for folder in MADE_BY:
        for file in sorted((ROOT / folder).rglob("*.py")):
            digest.update(file.read_bytes())
    return digest.hexdigest()[:16]


# With the code itself: a release put over a running one must not lend its name to lines of before.
_RULES = _digest()


def rules() -> str:
    """A name for the rules of this release: of every file that has a part in a line."""
    return _RULES
