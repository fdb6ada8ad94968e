"""The order of need: who stands where on the board, once each."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import IntEnum, StrEnum

from coaching.board.rules.care import Care
from coaching.board.rules.facts import Facts
from coaching.board.rules.news import news_of
from coaching.board.rules.states import State, StateMark


class Need(IntEnum):
    """Highest first."""

    CARE = 0
    # Who has asked waits for the coach, whatever the week says.
    ANSWER = 1
    NO_WORD = 2
    UNLIKELY = 3
    CHANGE_DRILL = 4
    HABIT = 5
    NO_WEEK = 6
    EVIDENCE = 7
    EVENT = 8
    NEWS = 9
    NOTHING = 10


class OrderGroup(StrEnum):
    CARE = "Care first"
    ACT = "Act"
    WATCH = "Watch"
    FINE = "Nothing needed"


GROUP_OF = {
    Need.CARE: OrderGroup.CARE,
    Need.ANSWER: OrderGroup.ACT,
    Need.NO_WORD: OrderGroup.ACT,
    Need.UNLIKELY: OrderGroup.ACT,
    Need.CHANGE_DRILL: OrderGroup.ACT,
    Need.HABIT: OrderGroup.ACT,
    Need.NO_WEEK: OrderGroup.ACT,
    Need.EVIDENCE: OrderGroup.WATCH,
    Need.EVENT: OrderGroup.WATCH,
    Need.NEWS: OrderGroup.WATCH,
    Need.NOTHING: OrderGroup.FINE,
}
# Whom the call list names.
CALLED_FOR = frozenset({OrderGroup.CARE, OrderGroup.ACT})


@dataclass(frozen=True, slots=True)
class OrderPlace:
    """What decides where somebody stands; `who` makes the order total."""

    need: Need
    lesson: date | None
    name: str
    who: str


def marks_of(facts: Facts, care: Care | None) -> tuple[StateMark, ...]:
    """The marks beside the state, in the order in which they are read."""
    holds = {
        StateMark.CARE: care is not None,
        StateMark.PAST_PLAN: facts.past_plan,
        StateMark.CRAMMED: facts.cramming.times > 0,
        StateMark.FAVOURITE: facts.favourite is not None,
        StateMark.TOO_BIG: facts.size.too_big,
    }
    return tuple(mark for mark, holding in holds.items() if holding)


def need_of(facts: Facts, state: State, care: Care | None) -> Need:
    """The highest need that somebody qualifies for. Excused, care and a question alone are."""
    if care:
        return Need.CARE
    if facts.asks_since:
        return Need.ANSWER
    if state is State.EXCUSED:
        return Need.NOTHING
    return min(_needs(facts, state), default=Need.NOTHING)


def _needs(facts: Facts, state: State) -> list[Need]:
    holds = {
        Need.NO_WORD: state is State.NO_WORD,
        Need.UNLIKELY: state is State.UNLIKELY,
        Need.CHANGE_DRILL: facts.drill is not None,
        Need.HABIT: state is State.TIGHT or has_habit(facts),
        Need.NO_WEEK: state is State.NO_WEEK,
        Need.EVIDENCE: facts.counts.question,
        Need.EVENT: event_is_near(facts),
        Need.NEWS: news_of(facts.numbers, facts.today) is not None,
    }
    return [need for need, holding in holds.items() if holding]


def has_habit(facts: Facts) -> bool:
    """A mark that has become a habit, or load to ask about."""
    return (
        facts.cramming.is_habit
        or facts.favourite is not None
        or facts.load.jump
        or facts.load.ceiling_passed is not None
    )


def event_is_near(facts: Facts) -> bool:
    return facts.event is not None and (
        facts.today <= facts.event.day <= facts.today + timedelta(days=facts.borders.event_days)
    )


def in_order(places: Iterable[OrderPlace]) -> list[OrderPlace]:
    """By need; inside a need the nearest lesson first, then by name."""
    return sorted(places, key=_key)


def _key(place: OrderPlace) -> tuple[int, date, str, str]:
    return (place.need, place.lesson or date.max, place.name, place.who)
