"""A kind note prepared from the facts, for the coach to edit. Nothing is sent by itself.

It says the thing, the number, and the next small step; it names no cause, no failing,
and compares the student with nobody.
"""

from math import ceil

from coaching.board.rules.care import Care, Why
from coaching.board.rules.facts import Facts, PartFacts
from coaching.board.rules.news import NewsKind, news_of
from coaching.board.rules.order import Need
from coaching.board.rules.states import State
from shared.kit.text import number, weekday_words


def draft(name: str, facts: Facts, state: State, need: Need, care: Care | None) -> str:
    """Two sentences at most after the name; '' where there is nothing to write about."""
    said = _care(facts, care) if care else _of(facts, state, need)
    return f"{name.split(maxsplit=1)[0]}, {said}" if said and name.split() else said


PLAIN = {
    Need.CHANGE_DRILL: ("you have done the work. We will try another drill."),
    Need.EVIDENCE: (
        "could you send one clip of a set this week? Then I can say what to build next."
    ),
}


OF_NEWS = {
    # What lies behind it is asked, not written.
    NewsKind.DOWN: "",
    NewsKind.LEVEL: (
        "your usual speed is the same as at the start. Next thing to build is the usual."
    ),
    NewsKind.UP: "your usual speed is up, and it has held.",
    NewsKind.MISSED: (
        "one of your wedge distances has no swing that lands on it yet. Let’s make one."
    ),
}


def _of(facts: Facts, state: State, need: Need) -> str:
    if state is State.NO_WORD:
        return _no_word(facts)
    if state in {State.TIGHT, State.UNLIKELY}:
        return _shorter(facts)
    if need is Need.HABIT:
        return _habit(facts)
    if need in PLAIN:
        return PLAIN[need]
    return _event_or_news(facts, need) or _fine(state)


def _event_or_news(facts: Facts, need: Need) -> str:
    if need is Need.EVENT and facts.event:
        day = weekday_words(facts.event.day, facts.today)
        return f"{facts.event.name or 'your event'} is {day}. Keep it light, and nothing new."
    news = news_of(facts.numbers, facts.today) if need is Need.NEWS else None
    return OF_NEWS[news.kind] if news else ""


def _fine(state: State) -> str:
    if state is State.DONE:
        return "the week is done. Thank you; the next one comes with the lesson."
    return ""


def _no_word(facts: Facts) -> str:
    day = weekday_words(facts.silence.since, facts.today)
    return (
        f"the last entry I have is from {day}. "
        "How are you? If some days should be excused, just say which."
    )


def _shorter(facts: Facts) -> str:
    left = [part for part in facts.parts if part.minutes_left >= 1 and not part.stopped]
    if not left:
        return "would a shorter version of this week suit you?"
    total = sum(ceil(part.sessions_left - 1e-6) for part in left)
    first = left[0]
    return (
        f"{_meant(total, left)} this week. Would a shorter version suit? "
        f"{first.name} takes {ceil(first.session_minutes)} minutes each time."
    )


def _meant(total: int, left: list[PartFacts]) -> str:
    if len(left) == 1:
        return f"{left[0].name} is meant {'once' if total == 1 else f'{number(total)} times'} more"
    return f"{number(total)} parts are still to do"


def _habit(facts: Facts) -> str:
    if facts.load.jump or facts.load.ceiling_passed is not None:
        return (
            f"you have made {facts.load.now} hard swings this week. Leave the hard ones for a few "
            f"days. Tell me what they were for."
        )
    if facts.favourite:
        first = facts.favourite.first_part
        return f"{facts.favourite.part} is in good hands. Ten minutes for {first}?"
    return "little and often sticks better. Would two fixed days suit you, Tuesday and Thursday?"


def _care(facts: Facts, care: Care) -> str:
    """Thanks first. No part of the pain note is repeated: a line is read by others too."""
    if care.why is Why.LEFT_ALONE and facts.parts:
        return (
            f"thank you for telling me how {facts.parts[0].name} felt. Shall we swap it for "
            "something easier on the body until we meet?"
        )
    rest = (
        "leave the hard swings until we have spoken" if care.stops else "take the hard swings out"
    )
    return f"thank you for telling me. Please {rest}. Nothing you leave out counts against you."


def tried_words(what: str, by: str, day: str, note: str) -> str:
    """One line of what was tried, for the student's page and the call list."""
    return f"{day}: {what} ({by}){f': {note}' if note else ''}"
