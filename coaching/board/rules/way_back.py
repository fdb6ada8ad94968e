"""What would bring a student back to where nothing is needed, in one sentence of own units."""

from math import ceil

from coaching.board.rules.care import Care, Why
from coaching.board.rules.facts import Facts
from coaching.board.rules.news import NEWS_DAYS, NewsKind, news_of
from coaching.board.rules.order import Need
from coaching.board.rules.states import State
from shared.kit.text import listed, many, weekday_words


def way_back(facts: Facts, state: State, need: Need, care: Care | None) -> str:
    """'' where nothing is needed and nothing is missing."""
    if care:
        return OF_CARE[care.why]
    if said := ANSWERED if need is Need.ANSWER else OF_STATE.get(state):
        return said
    if state in {State.TIGHT, State.UNLIKELY}:
        return _of_pace(facts)
    if need in OF_NEED:
        return OF_NEED[need](facts)
    if state is State.TOO_SOON:
        missing = facts.borders.weeks_needed - facts.outlook.counted
        return f"A word comes after {many(missing, 'more week')}."
    return ""


OF_CARE = {
    Why.STOPPED: "Done when a coach clears the stop.",
    Why.SERIOUS: "Done after fourteen days without pain like it.",
    Why.JUMP: "Done after a week of the usual hard swings.",
    Why.LEFT_ALONE: "Done when part 1 is swapped, or done without pain.",
}
ANSWERED = "Done when the question is answered, or ticked as read."
OF_STATE = {
    State.NO_WORD: "Done when anything comes, or days are excused.",
    State.NO_WEEK: "Done when the week is sent.",
    State.EXCUSED: "Done on the first open day.",
}


def _of_pace(facts: Facts) -> str:
    if facts.outlook.lost:
        return f"Done with a shorter {listed(facts.outlook.lost)}, or days excused."
    if facts.to_step is None:
        return "Done when the week is done, or made shorter."
    more = max(1, ceil(facts.to_step - 1e-6))
    return f"Done with {many(more, 'more minute')} today, or a shorter week."


def _of_habit(facts: Facts) -> str:
    if facts.load.jump or facts.load.ceiling_passed is not None:
        return "Done after a week of the usual hard swings."
    if facts.favourite:
        return f"Done when half of {facts.favourite.first_part} is done in a week."
    return "Done after two lessons with practice spread over the days before."


def _of_evidence(facts: Facts) -> str:
    return "Done when a coach has counted a set, or the counts vary."


def _of_event(facts: Facts) -> str:
    day = weekday_words(facts.event.day, facts.today) if facts.event else ""
    return f"Done when the event is over: {day}."


def _of_drill(facts: Facts) -> str:
    return "Done with another drill for part 1, or a coach’s count that holds."


def _of_news(facts: Facts) -> str:
    news = news_of(facts.numbers, facts.today)
    return OF_NEWS[news.kind] if news else ""


OF_NEWS = {
    NewsKind.DOWN: f"Shown for {NEWS_DAYS} days.",
    NewsKind.LEVEL: "Done when test days are steadier, or a change stays.",
    NewsKind.UP: f"Shown for {NEWS_DAYS} days.",
    NewsKind.MISSED: "Done when balls land on it.",
}
OF_NEED = {
    Need.CHANGE_DRILL: _of_drill,
    Need.HABIT: _of_habit,
    Need.EVIDENCE: _of_evidence,
    Need.EVENT: _of_event,
    Need.NEWS: _of_news,
}
