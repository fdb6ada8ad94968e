"""When a reminder is due, and whether it should be. Pure: days, clocks and facts in, words out.

The caps, quiet hours and kinds are our own choice (common practice, no source). The
rule of time: take the UTC instant of (local day, wall time, zone) with fold=0, of today
on the student's clock. Comparing wall clocks instead misses or doubles reminders
whenever a clock changes.
"""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from coaching.forecast.outlook import Pace
from shared.kit.weeks import utc_instant

QUIET_FROM = time(21)
QUIET_UNTIL = time(7)
A_DAY = 1
A_WEEK = 3
WEDNESDAY = 2
LESSON_AHEAD = 7  # Days for which one of the three is kept for the lesson.


class ReminderKind(StrEnum):
    LESSON_TOMORROW = "lesson_tomorrow"
    TEST_TOMORROW = "test_tomorrow"
    MIDWEEK_OFFER = "midweek_offer"
    NEW_WEEK = "new_week"
    CALLS_STOP = "calls_stop"
    PRACTICE_CALL = "practice_call"
    WRITTEN = "written"
    ANSWER = "answer"
    COACH_MONDAY = "coach_monday"
    COACH_EVENING = "coach_evening"
    PAIN_TOLD = "pain_told"


# Those about one student's practice: they share the caps. First come first chosen.
ABOUT_PRACTICE = (
    ReminderKind.LESSON_TOMORROW,
    ReminderKind.TEST_TOMORROW,
    ReminderKind.MIDWEEK_OFFER,
    ReminderKind.NEW_WEEK,
    ReminderKind.CALLS_STOP,
    ReminderKind.PRACTICE_CALL,
)
# Of those, the ones that say what the week asks.
OF_THE_WEEK = (
    ReminderKind.TEST_TOMORROW,
    ReminderKind.MIDWEEK_OFFER,
    ReminderKind.NEW_WEEK,
    ReminderKind.PRACTICE_CALL,
)
# Those that share the one slot of a day. What a coach wrote goes along with whichever is sent, and
# alone where nothing else is; it never counts among the three of a week.
ONE_A_DAY = (*ABOUT_PRACTICE, ReminderKind.WRITTEN)
# What may go before the student's hour: a new week, and the answer that somebody waits for.
AT_ONCE = (ReminderKind.ANSWER, ReminderKind.NEW_WEEK)
# What tells of something written: neither pain nor days away hold it back.
OF_THE_COACH = (ReminderKind.WRITTEN, ReminderKind.ANSWER)
WORDS = {
    ReminderKind.WRITTEN: "From the coach",
    ReminderKind.ANSWER: "Answer to a question",
    ReminderKind.LESSON_TOMORROW: "Lesson tomorrow",
    ReminderKind.TEST_TOMORROW: "Test tomorrow",
    ReminderKind.MIDWEEK_OFFER: "Midweek offer",
    ReminderKind.NEW_WEEK: "New week",
    ReminderKind.CALLS_STOP: "No more practice calls",
    ReminderKind.PRACTICE_CALL: "Practice call",
    ReminderKind.COACH_MONDAY: "Monday summary",
    ReminderKind.COACH_EVENING: "Tomorrow's lessons",
    ReminderKind.PAIN_TOLD: "Something hurts",
}


def local_day(now: datetime, zone: str) -> date:
    return now.astimezone(ZoneInfo(zone)).date()


def exists(day: date, zone: str) -> bool:
    """Whether this zone has the day at all: crossing the date line can skip one."""
    return local_day(utc_instant(day, time(12), zone), zone) == day


def cut_off(day: date, zone: str) -> datetime:
    """The instant from which a reminder for this day is no longer sent."""
    return utc_instant(day, QUIET_FROM, zone)


def due_day(now: datetime, at: time, zone: str) -> date | None:
    """The local day, if its reminder at this wall time is due now and not yet too late."""
    today = local_day(now, zone)
    return today if utc_instant(today, at, zone) <= now < cut_off(today, zone) else None


def next_due(now: datetime, at: time, zone: str) -> datetime:
    """The first instant after now at which a clock of this zone shows this time."""
    today = local_day(now, zone)
    # The third for a zone that skips a day.
    days = [today + timedelta(days=n) for n in range(3)]
    return min(
        instant
        for day in days
        if exists(day, zone) and (instant := utc_instant(day, at, zone)) > now
    )


def first_decent(now: datetime, zone: str) -> datetime:
    """Now, or the end of the quiet hours that this zone's clock is in."""
    return next_due(now, QUIET_UNTIL, zone) if is_quiet(now, zone) else now


def is_quiet(now: datetime, zone: str) -> bool:
    """Between 21:00 and 07:00 on this zone's clock."""
    clock = now.astimezone(ZoneInfo(zone)).time()
    return clock >= QUIET_FROM or clock < QUIET_UNTIL


@dataclass(frozen=True, slots=True)
class ReminderFacts:
    """What bears on a reminder to one person about one student on one local day."""

    day: date
    wants: frozenset[ReminderKind]
    weekdays: frozenset[int]
    may_write: bool = True
    silenced: bool = False
    excused: bool = False
    hurting: bool = False
    logged: bool = False
    # Something is left of the week, and of that something for this day.
    left: bool = False
    planned: bool = False
    # The outlook in its own word; asked only on Wednesdays.
    pace: Pace | None = None
    event_week: bool = False
    lesson_tomorrow: bool = False
    lesson_ahead: bool = False
    test_tomorrow: bool = False
    new_week: bool = False
    # The last calls in a row were followed by no practice; and whether that was said.
    unheard: bool = False
    stop_told: bool = False
    # Other reminders about practice, that day and in the seven days that end with it.
    sent_today: int = 0
    sent_lately: int = 0
    # Something of the coach's that this reader has neither read nor been told of; and whether
    # the answer to a question is among it.
    written: bool = False
    answered: bool = False


def objection(kind: ReminderKind, facts: ReminderFacts) -> str:
    """Why this reminder should not go out; empty if it should."""
    return _person(kind, facts) or _caps(kind, facts) or _state(kind, facts) or _own(kind, facts)


def choose(
    facts: ReminderFacts, among: tuple[ReminderKind, ...] = ABOUT_PRACTICE
) -> ReminderKind | None:
    """The one reminder for this day, if any."""
    return next((kind for kind in among if not objection(kind, facts)), None)


_GOES_WITH = {
    ReminderKind.ANSWER: ReminderKind.WRITTEN,
    ReminderKind.CALLS_STOP: ReminderKind.PRACTICE_CALL,
}


def _person(kind: ReminderKind, facts: ReminderFacts) -> str:
    if not facts.may_write:
        return "no consent or no access"
    if facts.silenced:
        return "stopped by the reader"
    wanted = _GOES_WITH.get(kind, kind)
    return "" if wanted in facts.wants else "this kind is off"


def _caps(kind: ReminderKind, facts: ReminderFacts) -> str:
    if kind is ReminderKind.ANSWER:
        return ""
    if facts.sent_today >= A_DAY:
        return "one today already"
    if kind is ReminderKind.WRITTEN:
        return ""
    # Calls give way, so that the lesson's own reminder is never crowded out.
    kept = kind in _REST and facts.lesson_ahead
    return "three this week already" if facts.sent_lately >= A_WEEK - kept else ""


def _state(kind: ReminderKind, facts: ReminderFacts) -> str:
    if kind in OF_THE_COACH:
        return ""
    if facts.excused:
        return "excused"
    if facts.hurting:
        return "something hurts"
    appointment = kind in {ReminderKind.LESSON_TOMORROW, ReminderKind.TEST_TOMORROW}
    return "event week" if facts.event_week and not appointment else ""


_BY_ONE_FACT = {
    ReminderKind.LESSON_TOMORROW: ("lesson_tomorrow", "no lesson tomorrow"),
    ReminderKind.TEST_TOMORROW: ("test_tomorrow", "no test tomorrow"),
    ReminderKind.NEW_WEEK: ("new_week", "no new week"),
    ReminderKind.WRITTEN: ("written", "read already, or told of"),
    ReminderKind.ANSWER: ("answered", "read already, or told of"),
}


def _own(kind: ReminderKind, facts: ReminderFacts) -> str:
    """What this kind needs of its own."""
    if kind in _BY_ONE_FACT:
        fact, otherwise = _BY_ONE_FACT[kind]
        return "" if getattr(facts, fact) else otherwise
    if facts.logged:
        return "logged today"
    if not facts.left:
        return "nothing left this week"
    return _REST[kind](facts)


def _midweek(facts: ReminderFacts) -> str:
    if facts.day.weekday() != WEDNESDAY:
        return "not Wednesday"
    return "" if facts.pace in {Pace.TIGHT, Pace.UNLIKELY} else "in step"


def _calls_stop(facts: ReminderFacts) -> str:
    if not facts.unheard:
        return "calls are followed"
    return "said already" if facts.stop_told else _day_of_call(facts)


def _call(facts: ReminderFacts) -> str:
    return "nobody follows them" if facts.unheard else _day_of_call(facts)


def _day_of_call(facts: ReminderFacts) -> str:
    if facts.day.weekday() not in facts.weekdays:
        return "not a chosen day"
    return "" if facts.planned else "nothing planned today"


# Those that give way to a lesson's own reminder, and go only while something is left to do.
_REST = {
    ReminderKind.MIDWEEK_OFFER: _midweek,
    ReminderKind.CALLS_STOP: _calls_stop,
    ReminderKind.PRACTICE_CALL: _call,
}
