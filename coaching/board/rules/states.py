"""The one state of a student's week, and the marks beside it."""

from enum import StrEnum

from coaching.forecast.outlook import Pace


class State(StrEnum):
    STOPPED = "Stopped for pain"
    HURTS = "Something hurts"
    EXCUSED = "Excused"
    NO_WEEK = "No week sent"
    TO_COME = "Week to come"
    DONE = "Done"
    NO_WORD = "No word"
    LOGS_LATER = "Logs later"
    IN_STEP = "In step"
    TIGHT = "Tight"
    UNLIKELY = "Unlikely"
    TOO_SOON = "Too soon to say"


class StateMark(StrEnum):
    CARE = "Care"
    PAST_PLAN = "Past the plan"
    CRAMMED = "Crammed"
    FAVOURITE = "Favourite part"
    TOO_BIG = "Plan too big"


# For who may not read of pain.
WITHOUT_PAIN = {State.STOPPED: "Stopped", State.HURTS: "Ask first"}
OF_PACE = {
    Pace.IN_STEP: State.IN_STEP,
    Pace.TIGHT: State.TIGHT,
    Pace.UNLIKELY: State.UNLIKELY,
    Pace.TOO_SOON: State.TOO_SOON,
}


def state_of(
    *,
    stopped: bool,
    excused: bool,
    has_week: bool,
    is_sent_ahead: bool,
    done: bool,
    hurts: bool,
    no_word: bool,
    logs_later: bool,
    pace: Pace,
) -> State:
    """A stop outranks every other word; then excused on every day, no week, done, no word,
    logs later, and last the outlook. Whoever is to rest is not praised for being done."""
    if stopped:
        return State.STOPPED
    if excused:
        return State.EXCUSED
    if not has_week:
        return State.TO_COME if is_sent_ahead else State.NO_WEEK
    if done:
        return State.HURTS if hurts else State.DONE
    if no_word:
        return State.NO_WORD
    return State.LOGS_LATER if logs_later else OF_PACE[pace]


def state_words(state: State, *, reads_pain: bool) -> str:
    """The state for somebody who reads it; without leave to read of pain, what to do alone."""
    return state.value if reads_pain else WITHOUT_PAIN.get(state, state.value)


def offers_shorter(state: State) -> bool:
    """Whether the student is asked if a shorter week would suit."""
    return state in {State.TIGHT, State.UNLIKELY}
