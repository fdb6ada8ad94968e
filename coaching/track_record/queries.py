"""How often the warnings were right: What Wednesday's words came to, for the page of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil, floor
from typing import NamedTuple

from django.db.models import Q

from coaching.board.rules.states import State
from coaching.forecast.scoring import brier
from coaching.track_record.models import WordKept
from practice.measures.answers import TooLittle
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.values import Verdict, from_json
from shared.kit.text import date_words, many
from shared.people import access
from shared.people.models import User

WEEKS = 8
MOST_WORDS = 5000
PACES = (State.UNLIKELY, State.TIGHT, State.IN_STEP)
# Fewer than this and only counts are shown.
ENOUGH_FOR_A_SCORE = 30


@dataclass(frozen=True, slots=True)
class SaidRow:
    """One word: how often it was said, and how many of those weeks reached the line."""

    word: str
    said: int
    reached: int
    sentence: str


@dataclass(frozen=True, slots=True)
class ForecastWeekRow:
    """One week: for each pace 'said, did not reach'."""

    opens: str
    cells: tuple[str, ...]


def tests_said(user: User) -> tuple[str, ...]:
    """How what was said of speed tests came out, of everybody grown whom the user teaches.

    'Up was said 9 times. A month later 8 of 9 still held.' One query beside the
    gate's.
    """
    rows = NumbersNow.objects.filter(
        student__in=access.students_taught_by(user), student__born_year=None
    )
    said = [
        each
        for figures in rows.values_list("figures", flat=True)[:MOST_WORDS]
        for each in from_json(figures).said
    ]
    return tuple(
        _test_sentence(word, [each.still for each in said if each.word == word])
        for word in (Verdict.UP, Verdict.DOWN)
        if any(each.word == word for each in said)
    )


def _test_sentence(word: str, came: Sequence[bool | None]) -> str:
    told = [each for each in came if each is not None]
    words = f"Speed {word} was said {_times(len(came))}"
    if not told:
        return f"{words}. No test has been a month later yet."
    new = len(came) - len(told)
    later = f"A month later {sum(told)} of {len(told)} still held"
    return f"{words}. {later}{f', {new} too new to tell' if new else ''}.{_how_sure(told)}"


def _how_sure(told: Sequence[bool]) -> str:
    from practice.measures.rates import clean_share

    known = clean_share(sum(told), len(told))
    if isinstance(known, TooLittle):
        return ""
    low, high = floor(100 * known.low), ceil(100 * known.high)
    return f" Chance leaves room for {low} to {high} %."


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


@dataclass(frozen=True, slots=True)
class Score:
    """What templates/track_record/score.html needs, and nothing else."""

    rows: tuple[SaidRow, ...]
    weeks: tuple[ForecastWeekRow, ...]
    head: tuple[str, ...]
    line: str
    notes: tuple[str, ...]
    is_cut: bool

    @property
    def is_empty(self) -> bool:
        return not any(row.said for row in self.rows)


class _Word(NamedTuple):
    opens: date
    said: str
    chance: float | None
    share: float | None
    by_forecast: bool
    enough: float
    reached: bool | None


def score_of(user: User, now: datetime) -> Score:
    """The last eight closed weeks of everybody the user teaches, and of those who were erased.

    One query beside the gate's.
    """
    erased = Q(studio__in=access.studios_of(user))
    words = WordKept.objects.filter(
        Q(student__in=access.students_taught_by(user)) | erased,
        closed_at__isnull=False,
        opens__gte=now.date() - timedelta(weeks=WEEKS + 1),
    ).order_by("-opens", "student")
    rows = words.values_list(*_Word._fields)[: MOST_WORDS + 1]
    found = [_Word._make(row) for row in rows]
    newest = sorted({word.opens for word in found}, reverse=True)[:WEEKS]
    kept = [word for word in found[:MOST_WORDS] if word.opens in newest]
    return Score(
        rows=tuple(_row(kept, pace) for pace in PACES),
        weeks=tuple(_week(kept, opens) for opens in newest),
        head=("Week from", *(f"{pace}" for pace in PACES)),
        line=_line(kept),
        notes=tuple(_notes(kept)),
        is_cut=len(found) > MOST_WORDS,
    )


def _judged(words: Sequence[_Word], pace: State) -> list[_Word]:
    return [w for w in words if w.said == pace and w.reached is not None]


def _row(words: Sequence[_Word], pace: State) -> SaidRow:
    judged = _judged(words, pace)
    reached = sum(bool(word.reached) for word in judged)
    return SaidRow(str(pace), len(judged), reached, _sentence(str(pace), len(judged), reached))


def _sentence(word: str, said: int, reached: int) -> str:
    """'Said Unlikely: 14, did not reach the line: 12.' In step is counted the other way."""
    if not said:
        return f"Said {word}: never."
    if word == State.IN_STEP:
        return f"Said {word}: {said}, reached the line: {reached}."
    return f"Said {word}: {said}, did not reach the line: {said - reached}."


def _week(words: Sequence[_Word], opens: date) -> ForecastWeekRow:
    here = [word for word in words if word.opens == opens]
    return ForecastWeekRow(date_words(opens), tuple(_cell(here, pace) for pace in PACES))


def _cell(words: Sequence[_Word], pace: State) -> str:
    judged = _judged(words, pace)
    reached = sum(bool(word.reached) for word in judged)
    count = reached if pace is State.IN_STEP else len(judged) - reached
    return f"{count} of {len(judged)}" if judged else "–"


def _line(words: Sequence[_Word]) -> str:
    """'80 % of what was asked', or a span where the studio moved it."""
    lines = sorted({round(word.enough * 100) for word in words}) or [80]
    ends = f"{lines[0]} %" if len(lines) == 1 else f"{lines[0]} to {lines[-1]} %"
    return f"{ends} of the minutes asked"


def _notes(words: Sequence[_Word]) -> list[str]:
    notes = []
    silent = sum(word.said not in PACES for word in words)
    if silent:
        notes.append(
            f"{many(silent, 'week').capitalize()} had no word about the pace on Wednesday. They "
            f"were done, excused, silent or too new."
        )
    left_out = sum(word.said in PACES and word.reached is None for word in words)
    if left_out:
        notes.append(f"{many(left_out, 'week').capitalize()} excused afterwards, left out.")
    both = [w for w in words if None not in (w.chance, w.share, w.reached)]
    if len(both) >= ENOUGH_FOR_A_SCORE:
        came = [bool(word.reached) for word in both]
        chance = brier([word.chance or 0.0 for word in both], came)
        count = brier([word.share or 0.0 for word in both], came)
        decided = sum(word.by_forecast for word in both)
        notes.append(
            f"{len(both)} weeks had both a chance and a count. The chance was off by "
            f"{chance:.3f}, the count by {count:.3f}. Never off would be 0 (mean square). The "
            f"chance gave the word in {decided} of them."
        )
    return notes
