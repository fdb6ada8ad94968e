"""Why somebody stands where they stand, in at most nine words and one figure.

The closed line of *Who needs me*; the whole reason stands one tap below it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from coaching.board.rules.care import Care, Why
from coaching.board.rules.facts import Facts, PainFacts
from coaching.board.rules.news import NewsKind, missed_lately, news_of
from coaching.board.rules.news_text import HOUSE, NewsUnits, far
from coaching.board.rules.order import Need
from coaching.board.rules.states import State
from shared.kit.text import WEEKDAYS, many, minutes_left, on_day, weekday_words
from shared.kit.text import whole_percent as percent

MOST_WORDS = 9
NAME_WORDS = 4  # Of what somebody typed; a longer name is said by its first words.
HALF = 0.5
WHERE = "{where}"


@dataclass(frozen=True, slots=True)
class Because:
    """One clause, without a full stop, for every reader.

    Where it hurts is put in for those who may read it, from where it was told; a distance in
    the reader's units.
    """

    words: str
    # Said before the words.
    metres: float | None = None
    # For who reads of pain, with WHERE in it, and the day and level of the pain it quotes.
    of_pain: str = ""
    told: tuple[date, int] | None = None

    def said(self, units: NewsUnits = HOUSE, *, where: str | None = None) -> str:
        """`where` it hurts, as it was told; None for who does not read of pain."""
        if self.of_pain and where is not None:
            return self.of_pain.replace(WHERE, first_words(where, 3) or "pain")
        return self.words if self.metres is None else f"{far(self.metres, units)} {self.words}"


def because(facts: Facts, state: State, need: Need, care: Care | None) -> Because:
    if care:
        return _of_care(facts, care)
    is_said_first = state in {
        State.STOPPED, State.NO_WORD, State.UNLIKELY, State.NO_WEEK, State.EXCUSED,
    }  # fmt: skip
    if is_said_first and need is not Need.ANSWER:
        return Because(OF_STATE[state](facts))
    if need in OF_NEED:
        return Because(OF_NEED[need](facts))
    if need is Need.EVENT and facts.event:
        name = first_words(facts.event.name or "an event")
        return Because(f"{name} {on_day(facts.event.day, facts.today)}")
    if need is Need.NEWS:
        return _news(facts)
    return Because(OF_STATE[state](facts))


def where_told(care: Care | None) -> str:
    """As the student told it, of the pain that is quoted."""
    worst = _worst(care) if care else None
    return worst.where if worst else ""


def first_words(text: str, most: int = NAME_WORDS) -> str:
    """What somebody typed, by its first words: the short form of a name is made by rule."""
    return " ".join(text.split()[:most])


# --- care -------------------------------------------------------------------------


def _limit(care: Care) -> str:
    if care.stops:
        return "work is stopped until a coach clears it"
    return "no hard swings without asking the coach"


def _of_care(facts: Facts, care: Care) -> Because:
    worst, limit = _worst(care), _limit(care)
    if worst is None:
        return Because(limit, of_pain=f"stopped since {weekday_words(care.since, facts.today)}")
    return Because(limit, of_pain=_quoted(facts, care, worst), told=(worst.day, worst.level))


def _worst(care: Care) -> PainFacts | None:
    return max(care.pains, key=lambda pain: pain.level, default=None)


def _quoted(facts: Facts, care: Care, worst: PainFacts) -> str:
    if care.why is Why.JUMP:
        return f"rest from hard swings: {WHERE} hurts"
    if care.why is Why.LEFT_ALONE:
        return f"{WHERE} hurt twice, drill not done since"
    return f"{WHERE} {worst.level}/10 {on_day(worst.day, facts.today)}"


# --- the week ---------------------------------------------------------------------


def _no_word(facts: Facts) -> str:
    return f"nothing for {many(facts.silence.days, 'day')}"


def _unlikely(facts: Facts) -> str:
    look = facts.outlook
    if look.by_arithmetic:
        return "more is left than the days hold"
    often = "seldom" if look.came_through else "not once"
    return f"{_left(facts)}, {often} managed from here"


def _tight(facts: Facts) -> str:
    share = facts.outlook.share
    often = "seldom" if share is not None and share < HALF else "sometimes"
    return f"{_left(facts)}, {often} managed from here"


def _in_step(facts: Facts) -> str:
    return f"{_left(facts)}, usually managed from here"


def _left(facts: Facts) -> str:
    return f"{minutes_left(facts.left, facts.asked)} minutes left"


def _excused(facts: Facts) -> str:
    if facts.excused_until is None:
        return "days excused"
    return f"excused until {weekday_words(facts.excused_until, facts.today)}"


def _logs_later(facts: Facts) -> str:
    if facts.write_up_weekday is None:
        return "usually writes it up later"
    return f"usually writes it up on {WEEKDAYS[facts.write_up_weekday]}"


OF_STATE: dict[State, Callable[[Facts], str]] = {
    State.STOPPED: lambda _: "a part is stopped until a coach clears it",
    State.EXCUSED: _excused,
    State.TO_COME: lambda facts: f"the week sent begins {on_day(facts.next_opens, facts.today)}",
    State.NO_WEEK: lambda facts: f"no week since {weekday_words(facts.opens, facts.today)}",
    State.DONE: lambda _: "all of this week is done",
    State.HURTS: lambda _: "all of this week is done",
    State.NO_WORD: _no_word,
    State.LOGS_LATER: _logs_later,
    State.IN_STEP: _in_step,
    State.TIGHT: _tight,
    State.UNLIKELY: _unlikely,
    State.TOO_SOON: lambda _: "too few weeks to go by yet",
}


# --- drill, habits, evidence, news -------------------------------------------------


def _change_drill(facts: Facts) -> str:
    found = facts.drill
    share = percent(found.share) if found else 0
    but = "but fewer are clean now" if found and found.is_worse else "and nothing moved"
    return f"{share} % done, {but}"


def _habit(facts: Facts) -> str:
    """The gravest habit speaks; a tight week first, because it ends soonest."""
    load, cram = facts.load, facts.cramming
    if load.jump:
        return f"{load.now} hard swings, far more than usual"
    if load.ceiling_passed is not None:
        return f"{load.now} hard swings, too many for now"
    if facts.favourite:
        return f"one part took {percent(facts.favourite.share)} % of the minutes"
    if cram.is_habit:
        return f"{percent(cram.last_share)} % of it just before the lesson"
    return _tight(facts)


def _evidence(facts: Facts) -> str:
    counts = facts.counts
    how = "all" if counts.as_asked == counts.given else "nearly all"
    return f"{how} of {counts.given} counts exactly as asked"


def _answer(facts: Facts) -> str:
    return f"a question waits since {weekday_words(facts.asks_since or facts.today, facts.today)}"


OF_NEED: dict[Need, Callable[[Facts], str]] = {
    Need.ANSWER: _answer,
    Need.CHANGE_DRILL: _change_drill,
    Need.HABIT: _habit,
    Need.EVIDENCE: _evidence,
}


def _news(facts: Facts) -> Because:
    news = news_of(facts.numbers, facts.today)
    if news and news.missed:
        gap = missed_lately(facts.numbers, facts.today) or news.missed
        return Because("has no swing of its own", metres=gap.target)
    return Because(OF_NEWS[news.kind] if news else "")


OF_NEWS = {
    NewsKind.DOWN: "speed is down and has stayed down",
    NewsKind.LEVEL: "a best day, usual speed level",
    NewsKind.UP: "speed is up and has stayed up",
}
