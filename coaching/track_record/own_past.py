"""The forecast on a studio's own past weeks: each look as it would have been, nothing later."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from uuid import UUID

from coaching.board.forecasting import past_of as done_weeks
from coaching.board.forecasting import remembered_of, week_now
from coaching.board.read import BoardPerson, Raw
from coaching.board.weighing import this_week
from coaching.forecast.evaluation import LOOKS, OPENING, Case, counts_of
from coaching.forecast.forecast import forecast
from coaching.forecast.rhythm import DoneWeek
from coaching.forecast.rhythm_fit import rhythm_from
from coaching.forecast.simulated_run import print_nothing
from coaching.forecast.studio_rhythms import Known
from coaching.track_record.as_of import Past, past_of
from practice.compliance.models import WeekTally
from shared.kit.weeks import day_starts_at, practice_day, week_start
from shared.people.models import Student, Studio

A_MOMENT = timedelta(seconds=1)


@dataclass(slots=True)
class OwnPast:
    """The closed weeks of a studio, the newest `weeks` of them."""

    studio: Studio
    weeks: int
    now: datetime
    enough: float
    looks: tuple[int, ...] = LOOKS
    _pasts: list[Past] = field(default_factory=list)
    _known: dict[date, Known] = field(default_factory=dict)

    def students(self) -> list[Student]:
        """Everybody who ever was there: whoever left is part of the past."""
        students = Student.objects.filter(studio=self.studio).select_related("studio")
        return list(students.order_by("pk"))

    def run(self, said: Callable[[int], None] = print_nothing) -> Iterator[Case]:
        """A case for each look at each week; `said` hears how many students are done."""
        self._pasts = [past_of(student) for student in self.students()]
        for number, past in enumerate(self._pasts, start=1):
            for row in self._closed(past):
                yield from filter(None, (self._look(past, row, look) for look in self.looks))
            said(number)

    def _closed(self, past: Past) -> list[WeekTally]:
        today = practice_day(self.now, past.student.time_zone)
        this = week_start(today, self.studio.first_weekday)
        first = this - timedelta(weeks=self.weeks)
        weeks = sorted(past.kept.items())
        return [
            row
            for opens, row in weeks
            if first <= opens < this and row.has_plan and row.credit is not None
        ]

    def _look(self, past: Past, row: WeekTally, look: int) -> Case | None:
        at = self._instant(past.student, row.opens, look)
        if past.student.joined_on > practice_day(at, past.student.time_zone):
            return None
        person, raw = past.at(at)
        person = person._replace(known=self._known_at(row.opens))
        week = this_week(person, raw)
        if week is None or not week.has_plan or row.credit is None:
            return None
        now, weeks = week_now(person, raw, week), done_weeks(person, raw)
        memory = remembered_of(person, raw)
        said = forecast(now, weeks, person.known.rhythm, self.enough, memory)
        if said is None:
            return None
        share, same_line = counts_of(weeks, now.by_day, now.asked, look, self.enough)
        return Case(
            who=past.student.pk,
            week=row.opens,
            look=look,
            weeks_before=len(weeks),
            chance=said.chance,
            share=share,
            share_same_line=same_line,
            credited=now.credited / now.asked,
            quiet=_quiet(person, raw),
            came=row.credit >= self.enough - 1e-9,
        )

    def _instant(self, student: Student, opens: date, look: int) -> datetime:
        """The opening of the week, or the last moment of one of its practice days."""
        day = opens + timedelta(days=max(0, look + 1))
        starts = day_starts_at(day, student.time_zone)
        return starts if look == OPENING else starts - A_MOMENT

    def _known_at(self, opens: date) -> Known:
        """The studio's rhythm as it would have been made when that week opened."""
        if opens not in self._known:
            weeks: list[list[DoneWeek]] = []
            delays: list[int] = []
            for past in self._pasts:
                if past.student.joined_on > opens:
                    continue
                _, raw = found = past.at(day_starts_at(opens, past.student.time_zone))
                weeks.append(done_weeks(*found))
                delays += [max(0, on - day) for t in raw.tallies for day, on in t.entries]
            self._known[opens] = Known(rhythm_from(weeks, delays, self.enough))
        return self._known[opens]


def _quiet(person: BoardPerson, raw: Raw) -> int:
    written = [t.opens + timedelta(days=on) for t in raw.tallies for _, on in t.entries]
    known = [day for day in written if day <= person.today]
    first = min((t.opens for t in raw.tallies), default=person.opens)
    return (person.today - max(known, default=first - timedelta(days=1))).days


def studio_named(words: str) -> Studio | None:
    """A studio by its id or its whole name."""
    try:
        found = Studio.objects.filter(pk=UUID(words))
    except ValueError:
        found = Studio.objects.filter(name=words)
    return found.first()
