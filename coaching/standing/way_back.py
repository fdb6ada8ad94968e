"""What would bring a student back to where nothing is needed, in one sentence of own units."""

from math import ceil

from coaching.standing.care import Care, Why
from coaching.standing.facts import Facts
from coaching.standing.news import NEWS_DAYS, TESTED_DAYS, Kind, news_of
from coaching.standing.order import Need
from coaching.standing.phrases import day_words, listed, many, percent
from coaching.standing.states import State


def way_back(facts: Facts, state: State, need: Need, care: Care | None) -> str:
    """'' where nothing is needed and nothing is missing."""
    if care:
        return OF_CARE[care.why]
    if state in OF_STATE:
        return OF_STATE[state]
    if state in {State.TIGHT, State.UNLIKELY}:
        return _of_pace(facts)
    if need in OF_NEED:
        return OF_NEED[need](facts)
    if state is State.TOO_SOON:
        missing = facts.borders.weeks_needed - facts.outlook.counted
        return f"{many(max(1, missing), 'more week')} to go by bring a word."
    return ""


OF_CARE = {
    Why.STOPPED: "A coach clears the stop, in words that are kept.",
    Why.SERIOUS: "Fourteen days without pain like it.",
    Why.JUMP: "A week of the usual hard swings, or fourteen days without pain.",
    Why.LEFT_ALONE: "Part 1 done once without pain, or swapped.",
}
OF_STATE = {
    State.NO_WORD: "Any entry, or days excused.",
    State.NO_WEEK: "A week sent.",
    State.EXCUSED: "The first open day.",
}


def _of_pace(facts: Facts) -> str:
    if facts.outlook.lost:
        return f"A shorter {listed(facts.outlook.lost)}, or days excused."
    if facts.to_step is None:
        return "The week done, or a shorter one."
    more = max(1, ceil(facts.to_step - 1e-6))
    return f"{many(more, 'minute')} more done today, or a shorter week."


def _of_habit(facts: Facts) -> str:
    if facts.load.jump or facts.load.ceiling_passed is not None:
        return "A week of the usual hard swings."
    if facts.favourite:
        return f"Half of {facts.favourite.first_part} done in one week."
    return (
        f"Two lessons with less than {percent(facts.borders.cram_share)} % of the minutes in the "
        "two days before."
    )


def _of_evidence(facts: Facts) -> str:
    return "Counts that a coach has checked, or counts that vary."


def _of_event(facts: Facts) -> str:
    day = day_words(facts.event.day, facts.today) if facts.event else ""
    return f"The event over: {day}."


def _of_drill(facts: Facts) -> str:
    return "Another drill for part 1, or a coach's count that holds."


def _of_news(facts: Facts) -> str:
    news = news_of(facts.numbers, facts.today)
    return OF_NEWS[news.kind] if news else ""


OF_NEWS = {
    Kind.DOWN: f"{NEWS_DAYS} days, or another verdict that is held.",
    Kind.LEVEL: "Steadier test days, or a change that is held.",
    Kind.UP: f"{NEWS_DAYS} days.",
    Kind.MISSED: f"Balls that are on it, or {TESTED_DAYS} days without one at it.",
}
OF_NEED = {
    Need.CHANGE_DRILL: _of_drill,
    Need.HABIT: _of_habit,
    Need.EVIDENCE: _of_evidence,
    Need.EVENT: _of_event,
    Need.NEWS: _of_news,
}
