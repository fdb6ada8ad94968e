"""What the board says about one student: the reason, since when, and a next small step.

Third person, figures in the student's own unit, no word that blames. A cause is
never guessed from a number: where one is wanted, the coach gets a question to ask.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil, floor

from coaching.board.rules import news_text as news_words
from coaching.board.rules.drill import DrillCheck
from coaching.board.rules.facts import EventFacts, Facts, Favourite, PartFacts
from coaching.board.rules.news import missed_lately, news_of, speed_up
from coaching.board.rules.news_text import HOUSE, NewsUnits
from coaching.board.rules.order import Need
from coaching.board.rules.states import State
from coaching.forecast import deciding
from coaching.forecast.forecast import Forecast
from shared.kit.text import (
    NAMED_DAYS,
    WEEKDAYS,
    in_minutes,
    listed,
    many,
    minutes_left,
    number,
    on_day,
    weekday_words,
)
from shared.kit.text import whole_percent as percent

LONG_UNASKED = 30  # Minutes nobody asked for that are worth a word.


@dataclass(frozen=True, slots=True)
class Words:
    reason: str
    since: str = ""
    action: str = ""
    # What would bring the student back to where nothing is needed.
    back: str = ""


# --- states -------------------------------------------------------------------


def standing(facts: Facts, state: State, need: Need, units: NewsUnits = HOUSE) -> Words:
    """The words for everybody who does not stand in care, in the reader's units."""
    said = _of_week(facts, state, need, units)
    if need is Need.ANSWER and facts.asks_since:
        return answer(said, facts.asks_since, facts.today)
    return said


def _of_week(facts: Facts, state: State, need: Need, units: NewsUnits) -> Words:
    if state in {State.STOPPED, State.NO_WORD, State.UNLIKELY, State.NO_WEEK, State.EXCUSED}:
        return OF_STATE[state](facts)
    if need is Need.CHANGE_DRILL and facts.drill:
        return change_drill(facts.drill)
    if need is Need.HABIT and state is not State.TIGHT:
        return habit(facts)
    if need is Need.EVIDENCE:
        return evidence(facts, state)
    if need in {Need.EVENT, Need.NEWS}:
        return event_or_news(facts, need, units)
    said = OF_STATE[state](facts)
    return with_speed_up(said, facts, units) if need is Need.NOTHING else said


def event_or_news(facts: Facts, need: Need, units: NewsUnits) -> Words:
    if need is Need.EVENT and facts.event:
        return event(facts, facts.event, units)
    news = news_of(facts.numbers, facts.today)
    if news is None:
        raise ValueError(f"Nothing to tell of {need.name}.")
    return Words(*news_words.of_news(news, facts.today, units))


def with_speed_up(said: Words, facts: Facts, units: NewsUnits) -> Words:
    """Good news that is no need, for as long as it is recent."""
    speed = speed_up(facts.numbers, facts.today)
    if speed is None:
        return said
    reason = f"{said.reason} {news_words.speed_changed(speed, units)}"
    return replace(said, reason=reason, action=said.action or news_words.TELL)


def answer(said: Words, asked: date, today: date) -> Words:
    """A question first, and what the week says behind it."""
    return Words(
        f"A question waits for an answer. {said.reason}",
        f"since {weekday_words(asked, today)}",
        "Answer the question.",
    )


def no_word(facts: Facts) -> Words:
    quiet = facts.silence
    usual = ""
    if quiet.longest_gap is not None and quiet.shortest_gap is not None:
        usual = f" Before, something came every {_span(quiet.shortest_gap, quiet.longest_gap)}."
    return Words(
        f"Nothing has come for {quiet.days} days.{usual} No days are excused.",
        f"since {weekday_words(quiet.since, facts.today)}",
        "Write a personal line.",
    )


def _span(shortest: int, longest: int) -> str:
    if shortest == longest:
        return "day" if longest == 1 else f"{longest} days"
    return f"{max(shortest, 1)} to {longest} days"


def asks_first(facts: Facts, state: State) -> bool:
    """Whether the next step is a question: the time is there, and goes to other practice."""
    return state is State.UNLIKELY and facts.unasked >= max(facts.credited, LONG_UNASKED)


def unlikely(facts: Facts) -> Words:
    beside = asks_first(facts, State.UNLIKELY)
    asides = [what_is_left(facts)]
    if beside:
        asides.append(
            f"{in_minutes(facts.unasked)} more minutes were practice of their own choice."
        )
    action = (
        "Ask whether the first part of each visit could be part 1."
        if beside
        else "Send a shorter week, or ask."
    )
    return Words(" ".join(filter(None, (_unlikely_reason(facts), *asides))), _since(facts), action)


def _unlikely_reason(facts: Facts) -> str:
    look, left = facts.outlook, _minutes_left(facts)
    if look.by_arithmetic:
        return f"{left} The days left cannot hold all of {listed(look.lost)}."
    if _chance_alone(facts) or look.came_through:
        return _pace_reason(facts)
    most = floor(max((week.week.late for week in look.weeks), default=0))
    weeks = many(len(look.weeks), "week")
    return f"{left} From a {_weekday(facts)} on, {most} was the most in {weeks}."


def why_the_word(facts: Facts, state: State) -> str:
    """Why a week is unlikely or tight, where the reason speaks of what hurts."""
    if state is State.UNLIKELY:
        return f"{_unlikely_reason(facts)} {what_is_left(facts)}".strip()
    return _pace_reason(facts) if state is State.TIGHT else ""


def tight(facts: Facts) -> Words:
    habit_words = f" {habit(facts).reason}" if facts.cramming.is_habit else ""
    return Words(
        f"{_pace_reason(facts)}{habit_words}",
        _since(facts),
        "Send a shorter week, or agree on two days.",
    )


def in_step(facts: Facts) -> Words:
    return Words(_pace_reason(facts), _since(facts))


def _pace_reason(facts: Facts) -> str:
    """The count of weeks; where the chance decides otherwise, its reason, with the count beside."""
    count = f"{came_through(facts)}."
    said = _chance_alone(facts)
    if said is None:
        return f"{_minutes_left(facts)} {count}"
    last = facts.opens + timedelta(days=6)
    reason = deciding.reason(said, facts.today.weekday(), last.weekday())
    return f"{reason} {_minutes_left(facts)} {count}"


def _chance_alone(facts: Facts) -> Forecast | None:
    """The forecast, if it gives the word, and another one than the count would."""
    found = facts.decided
    if found is None or not found.forecast_decides or found.by_forecast is found.by_count:
        return None
    return found.forecast


def too_soon(facts: Facts) -> Words:
    weeks = facts.outlook.counted
    return Words(
        f"{_minutes_left(facts)} A word needs {number(facts.borders.weeks_needed)} past weeks, "
        f"and there {'is' if weeks == 1 else 'are'} {number(weeks) if weeks else 'none'}.",
        f"since {weekday_words(facts.opens, facts.today)}",
    )


def done(facts: Facts) -> Words:
    since = f"since {weekday_words(facts.done_on, facts.today)}" if facts.done_on else ""
    return Words(
        f"Part 1 is complete: {in_minutes(facts.credited)} of {in_minutes(facts.asked)} minutes.",
        since,
    )


def excused(facts: Facts) -> Words:
    until = (
        f" until {weekday_words(facts.excused_until, facts.today)}" if facts.excused_until else ""
    )
    first = facts.excused_since or facts.opens
    return Words(f"Excused{until}. Nothing is asked.", f"since {weekday_words(first, facts.today)}")


def no_week(facts: Facts) -> Words:
    return Words(
        "No week is sent for these days.",
        f"since {weekday_words(facts.opens, facts.today)}",
        "Set the week.",
    )


def to_come(facts: Facts) -> Words:
    begins = on_day(facts.next_opens, facts.today)
    return Words(f"The week that is sent begins {begins}. Nothing is asked before.")


def logs_later(facts: Facts) -> Words:
    since = f"since {weekday_words(facts.opens, facts.today)}"
    if facts.write_up_weekday is None:
        return Words("They usually write it up later, so it is too soon for a word.", since)
    weekday = WEEKDAYS[facts.write_up_weekday]
    return Words(f"They usually write it up on {weekday}. Before that there is no word.", since)


def stopped(facts: Facts) -> Words:
    """For a reader of the state alone; whoever reads more is told it as care."""
    first = min((stop.since for stop in facts.stops), default=facts.opens)
    return Words(
        "Nothing more is asked of what stopped.",
        f"since {weekday_words(first, facts.today)}",
        "Clear it with a reason, or set other parts.",
    )


OF_STATE = {
    State.STOPPED: stopped,
    State.EXCUSED: excused,
    State.NO_WEEK: no_week,
    State.TO_COME: to_come,
    State.DONE: done,
    State.HURTS: done,
    State.NO_WORD: no_word,
    State.LOGS_LATER: logs_later,
    State.IN_STEP: in_step,
    State.TIGHT: tight,
    State.UNLIKELY: unlikely,
    State.TOO_SOON: too_soon,
}


def change_drill(found: DrillCheck) -> Words:
    moved = "Fewer are clean than at the start." if found.is_worse else "It did not move."
    return Words(
        f"{percent(found.share)} % of {found.part} was done over {many(found.weeks, 'week')}. "
        f"{moved} A coach counted it on {many(found.days, 'day')}.",
        "",
        "Change the drill, not the dose.",
    )


# --- habits, evidence, events -------------------------------------------------


def habit(facts: Facts) -> Words:
    """A mark that has lasted; the gravest one speaks."""
    if facts.load.jump or facts.load.ceiling_passed is not None:
        return Words(f"{load_words(facts)}.", "", "Ask what the extra swings were for.")
    if facts.favourite:
        return _favourite(facts.favourite)
    cram = facts.cramming
    return Words(
        f"{percent(cram.last_share)} % of the minutes came in the two days before a lesson. "
        f"So it was before {cram.times} of the last {cram.lessons} lessons.",
        "",
        "Ask whether two fixed days would suit.",
    )


def _favourite(found: Favourite) -> Words:
    first = (
        f"{in_minutes(found.first_minutes)} minutes to {found.first_part}"
        if found.first_minutes >= 1
        else f"none to {found.first_part}"
    )
    return Words(
        f"{percent(found.share)} % of the minutes went to {found.part}, {first}, "
        "two weeks running.",
        "",
        "Ask what part 1 is like to do.",
    )


def evidence(facts: Facts, state: State) -> Words:
    counts = facts.counts
    first = f"{logs_later(facts).reason} " if state is State.LOGS_LATER else ""
    return Words(
        f"{first}{counts.as_asked} of {counts.given} counts are exactly as asked.",
        "",
        "Look at one clip, or count one set together.",
    )


def event(facts: Facts, coming: EventFacts, units: NewsUnits = HOUSE) -> Words:
    name = coming.name or "An event"
    if gap := missed_lately(facts.numbers, facts.today):
        return Words(
            f"{name} is {on_day(coming.day, facts.today)}. {news_words.missed(gap, units)}",
            "",
            f"One stock shot for {news_words.far(gap.target, units)}. Nothing new before it.",
        )
    return Words(
        f"{name} is {on_day(coming.day, facts.today)}. "
        f"{minutes_left(facts.left, facts.asked)} of {in_minutes(facts.asked)} minutes are left.",
        "",
        "Keep it light. Nothing new before it.",
    )


# --- shared by several --------------------------------------------------------


def load_words(facts: Facts) -> str:
    """Hard swings beside the usual, as a reason to ask."""
    if facts.load.ceiling_passed is not None:
        return (
            f"{facts.load.now} hard swings this week; in first weeks "
            f"{facts.load.ceiling_passed} is the most"
        )
    if facts.load.usual is None:
        return f"{facts.load.now} hard swings this week; no usual is known yet"
    return f"{facts.load.now} hard swings this week, usually {round(facts.load.usual)}"


def came_through(facts: Facts) -> str:
    """'From a Wednesday on that was done in 3 of 8 weeks': the counts behind every outlook."""
    look = facts.outlook
    weeks = f"{look.came_through} of {look.counted} weeks"
    return f"From a {_weekday(facts)} on that was done in {weeks}"


def _minutes_left(facts: Facts) -> str:
    left = minutes_left(facts.left, facts.asked)
    return "One minute is left." if left == 1 else f"{left} minutes are left."


def what_is_left(facts: Facts) -> str:
    """Where the rest lies, and how often it is meant: 'All of it is Ladder: four times.'"""
    open_parts = [part for part in facts.parts if part.minutes_left >= 1]
    if not open_parts:
        return ""
    if len(open_parts) == 1:
        return f"All of it is {open_parts[0].name}: {_times(open_parts[0])}."
    biggest = max(open_parts, key=lambda part: part.minutes_left)
    return f"Most of it is {biggest.name}: {_times(biggest)}."


def _times(part: PartFacts) -> str:
    left = ceil(part.sessions_left - 1e-6)
    return {1: "once", 2: "twice"}.get(left, f"{number(left)} times")


def _since(facts: Facts) -> str:
    return f"since {weekday_words(facts.outlook_since or facts.today, facts.today)}"


def _weekday(facts: Facts) -> str:
    return WEEKDAYS[facts.today.weekday()]


# --- what arrived last --------------------------------------------------------


def last_word(
    facts: Facts, *, written: str | None, wrote_this_week: bool, seen: date | None
) -> str:
    """What arrived last. 'No news' says nothing about practice, and says so differently.

    `written` is the time of the last entry in words; `seen` the day on which the
    student's phone last fetched the week.
    """
    if written is None:
        return _seen("No entry yet", facts, seen)
    if wrote_this_week or facts.silence.days <= 1:
        return f"Last word {written}"
    return _seen(f"No news since {written}", facts, seen)


def _seen(words: str, facts: Facts, seen: date | None) -> str:
    if seen and seen > facts.silence.since and facts.today - seen <= timedelta(days=NAMED_DAYS):
        return f"{words}; the phone fetched the week {on_day(seen, facts.today)}"
    return words
