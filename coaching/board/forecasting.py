"""The chance for one student's week from what the board has read, beside the count of weeks."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil
from typing import NamedTuple

from coaching.board.read import BoardPerson, Raw, Tally
from coaching.forecast.deciding import Decided, decide, pace_of
from coaching.forecast.evaluation import counts_of
from coaching.forecast.forecast import ThisWeek, forecast, left_of_day, to_come
from coaching.forecast.outlook import Outlook, Pace
from coaching.forecast.rhythm import DoneWeek, remembered_week
from coaching.forecast.studio_rhythms import done_week
from shared.kit.weeks import DAYS_IN_WEEK, week_start

NEEDS_A_WAY = frozenset({Pace.TIGHT, Pace.UNLIKELY})
A_STEP = 5  # Minutes.
# Outlook, since when it is so, and the minutes today that would mend it.
Judgement = tuple[Outlook, date | None, float | None]


class Weighed(NamedTuple):
    """The outlook as the board says it, and what count and chance say."""

    outlook: Outlook
    since: date | None
    to_step: float | None
    decided: Decided | None


def decided_by(person: BoardPerson, raw: Raw, week: Tally | None, by_count: Judgement) -> Weighed:
    """The outlook with the word of count or chance, since when, and what both say."""
    if week is None or not week.has_plan:
        return Weighed(*by_count, None)
    outlook, since, to_step = by_count
    past, now = past_of(person, raw), week_now(person, raw, week)
    known, borders = person.known, person.borders
    memory = remembered_of(person, raw)
    said = forecast(now, past, known.rhythm, borders.finish_share, memory)
    outlook, decided = decide(outlook, said, known.record, borders)
    if said is not None:
        enough = borders.finish_share
        _, of_line = counts_of(past, now.by_day, now.asked, now.rest(enough).day, enough)
        decided = replace(decided, share_of_line=of_line)
    if decided.forecast_decides:
        look = _WeekLook(person, now, past, memory)
        since = look.since(outlook.pace)
        to_step = look.to_step() if outlook.pace in NEEDS_A_WAY else None
    return Weighed(outlook, since, to_step, decided)


def past_of(person: BoardPerson, raw: Raw) -> list[DoneWeek]:
    weeks = [
        done_week(t.opens, t.asked_minutes, t.credited_by_day, t.open_days, raw.excused)
        for t in raw.tallies
        if t.opens < person.opens and t.has_plan and t.open_days
    ]
    return [week for week in weeks if week]


def remembered_of(person: BoardPerson, raw: Raw) -> list[DoneWeek]:
    """Weeks before this one of which somebody remembers a day of practice, oldest first; a week
    that was sent speaks for itself. Days without a word of such a week were without practice."""
    sent = {tally.opens for tally in raw.tallies if tally.has_plan}
    weeks: dict[date, list[float]] = {}
    for day, minutes in sorted(raw.remembered.items()):
        opens = week_start(day, person.first_weekday)
        if opens < person.opens and opens not in sent:
            weeks.setdefault(opens, [0.0] * DAYS_IN_WEEK)[(day - opens).days] += minutes
    return [remembered_week(opens, tuple(by_day)) for opens, by_day in weeks.items()]


def week_now(person: BoardPerson, raw: Raw, week: Tally) -> ThisWeek:
    come = to_come(
        (person.today - person.opens).days,
        person.known.rhythm.late,
        day_left=left_of_day(person.hour),
        shut=_shut(person, raw),
    )
    return ThisWeek(week.opens, week.asked_minutes, _by_day(week), come, _shut(person, raw))


def _by_day(week: Tally) -> tuple[float, ...]:
    return tuple(week.credited_by_day) or (0.0,) * DAYS_IN_WEEK


def _shut(person: BoardPerson, raw: Raw) -> frozenset[int]:
    days = range(DAYS_IN_WEEK)
    return frozenset(n for n in days if person.opens + timedelta(days=n) in raw.excused)


@dataclass(frozen=True, slots=True)
class _WeekLook:
    """The week of one student for whom the chance gives the word."""

    person: BoardPerson
    now: ThisWeek
    past: list[DoneWeek]
    memory: list[DoneWeek]

    @property
    def today(self) -> int:
        return (self.person.today - self.person.opens).days

    def _pace(self, by_day: tuple[float, ...], to_come: tuple[float, ...]) -> Pace | None:
        known, borders = self.person.known, self.person.borders
        week = replace(self.now, by_day=by_day, to_come=to_come)
        said = forecast(week, self.past, known.rhythm, borders.finish_share, self.memory)
        return pace_of(said, borders)

    def since(self, pace: Pace) -> date:
        """The day at whose end the chance first gave this word, and gave it every day since."""
        began, late = self.person.today, self.person.known.rhythm.late
        for day in range(self.today - 1, -1, -1):
            then = tuple(m if n <= day else 0.0 for n, m in enumerate(self.now.by_day))
            if self._pace(then, to_come(day, late, shut=self.now.shut)) is not pace:
                break
            began = self.person.opens + timedelta(days=day)
        return began

    def to_step(self) -> float | None:
        """Minutes that, done today, would make it In step; in steps of five."""
        left = self.now.asked - self.now.credited
        for more in range(A_STEP, ceil(left) + A_STEP, A_STEP):
            minutes = min(float(more), left)
            days = list(self.now.by_day)
            days[self.today] += minutes
            if self._pace(tuple(days), self.now.to_come) is Pace.IN_STEP:
                return minutes
        return None
