"""The one state of a student's week, and the marks beside it."""

from enum import StrEnum

from coaching.standing.outlook import Pace


class State(StrEnum):
    EXCUSED = "Excused"
    NO_WEEK = "No week sent"
    DONE = "Done"
    NO_WORD = "No word"
    LOGS_LATER = "Logs later"
    IN_STEP = "In step"
    TIGHT = "Tight"
    UNLIKELY = "Unlikely"
    TOO_SOON = "Too soon to say"


class Mark(StrEnum):
    CARE = "Care"
    PAST_PLAN = "Past the plan"
    CRAMMED = "Crammed"
    FAVOURITE = "Favourite part"
    TOO_BIG = "Plan too big"


OF_PACE = {
    Pace.IN_STEP: State.IN_STEP,
    Pace.TIGHT: State.TIGHT,
    Pace.UNLIKELY: State.UNLIKELY,
    Pace.TOO_SOON: State.TOO_SOON,
}


def state_of(
    *, excused: bool, has_week: bool, done: bool, no_word: bool, logs_later: bool, pace: Pace
) -> State:
    """Excused on every day, then done, no word, logs later, and last the outlook."""
    if excused:
        return State.EXCUSED
    if not has_week:
        return State.NO_WEEK
    if done:
        return State.DONE
    if no_word:
        return State.NO_WORD
    return State.LOGS_LATER if logs_later else OF_PACE[pace]


def offers_shorter(state: State) -> bool:
    """Whether the student is asked if a shorter week would suit."""
    return state in {State.TIGHT, State.UNLIKELY}
