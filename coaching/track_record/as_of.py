"""A student as the board would have read one at an instant: nothing that came later.

Kept tallies say what is known now. A week to which anything came after the instant (an
entry received, a day excused, a part added or taken off, a stop, a swap) is computed
anew as of then; every other week's row says the same as it did.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.db.models import Q

from coaching.board.read import BoardPerson, Raw, Tally, standing_parts
from coaching.board.read_as_of import person_as_of
from coaching.forecast.forecast import WEEKS_READ
from practice.care.models import Stop
from practice.compliance.models import WeekTally
from practice.compliance.tally import compute
from practice.log.models import AcceptedSwap, Entry, Result
from practice.weeks.models import Excusal, Part, Week
from shared.kit.weeks import DAYS_IN_WEEK, week_start
from shared.people.models import Student

WEEK = timedelta(weeks=1)


@dataclass(slots=True)
class Past:
    """One student's kept weeks, and when each was last touched. Seven queries to read."""

    student: Student
    kept: dict[date, WeekTally] = field(default_factory=dict)
    touched: dict[date, datetime] = field(default_factory=dict)
    spans: list[tuple[date, date, datetime, datetime | None]] = field(default_factory=list)

    def at(self, instant: datetime) -> tuple[BoardPerson, Raw]:
        """What the outlook and the state of the week stand on, as of then."""
        person = person_as_of(self.student.pk, instant)
        raw = Raw(excused=self._excused(instant))
        for opens in self._weeks(person.opens):
            row = self._tally(opens, instant)
            if row is None:
                continue
            tally = Tally._make(getattr(row, name) for name in _COLUMNS)
            raw.tallies.append(tally._replace(student=self.student.pk))
            raw.parts[opens] = standing_parts(row.parts)
        return person, raw

    def _weeks(self, newest: date) -> list[date]:
        first = newest - WEEKS_READ * WEEK
        known = set(self.kept) | set(self.touched) | {newest}
        return sorted(opens for opens in known if first <= opens <= newest)

    def _tally(self, opens: date, instant: datetime) -> WeekTally | None:
        if self.touched.get(opens, instant) <= instant:
            return self.kept.get(opens)
        return compute(self.student, opens, as_of=instant)

    def _excused(self, instant: datetime) -> set[date]:
        return {
            first + timedelta(days=n)
            for first, last, told, withdrawn in self.spans
            if told <= instant and (withdrawn is None or withdrawn > instant)
            for n in range((last - first).days + 1)
        }


_COLUMNS = tuple("student_id" if name == "student" else name for name in Tally._fields)


def past_of(student: Student) -> Past:
    """Read a student's weeks and everything that ever touched them; of what length ever the
    history is, in seven queries."""
    past = Past(student)
    past.kept = {row.opens: row for row in WeekTally.objects.filter(student=student)}
    first_weekday = student.studio.first_weekday
    spans = Excusal.objects.filter(student=student)
    past.spans = list(spans.values_list("first", "last", "told_at", "withdrawn_at"))
    for opens, at in [*_of_entries(student), *_of_plans(student), *_of_swaps(student)]:
        _touch(past, [opens], at)
    for first, last, *moments in past.spans:
        weeks = _weeks_between(week_start(first, first_weekday), last)
        for at in filter(None, moments):
            _touch(past, weeks, at)
    for since, until, *moments in _stops(student):
        weeks = [opens for opens in past.kept if since < opens + WEEK and opens <= until]
        for at in filter(None, moments):
            _touch(past, weeks, at)
    return past


def _touch(past: Past, weeks: Iterable[date], at: datetime) -> None:
    for opens in weeks:
        past.touched[opens] = max(at, past.touched.get(opens, at))


def _weeks_between(opens: date, last: date) -> list[date]:
    return [opens + n * WEEK for n in range((last - opens).days // DAYS_IN_WEEK + 1)]


def _of_entries(student: Student) -> list[tuple[date, datetime]]:
    """Every week that any entry of a chain is in is touched whenever one of it arrives."""
    entries = list(
        Entry.objects.filter(student=student).values_list("pk", "root", "day", "received_at")
    )
    results = Result.objects.filter(student=student).values_list("entry", "opens")
    weeks: dict[object, set[date]] = {}
    root_of = {pk: root for pk, root, _, _ in entries}
    for entry, opens in results:
        weeks.setdefault(root_of[entry], set()).add(opens)
    first_weekday = student.studio.first_weekday
    for _, root, day, _ in entries:
        weeks.setdefault(root, set()).add(week_start(day, first_weekday))
    return [(opens, at) for _, root, _, at in entries for opens in weeks[root]]


def _of_plans(student: Student) -> list[tuple[date, datetime]]:
    parts = Part.objects.filter(week__student=student, week__state=Week.State.SENT)
    columns = ("week__opens", "week__sent_at", "week__amended_at", "added_at", "removed_at")
    return [(opens, at) for opens, *moments in parts.values_list(*columns) for at in moments if at]


def _of_swaps(student: Student) -> list[tuple[date, datetime]]:
    swaps = AcceptedSwap.objects.filter(student=student)
    rows = swaps.values_list("part__week__opens", "at", "withdrawn_at")
    return [(opens, at) for opens, *moments in rows for at in moments if at]


def _stops(student: Student) -> list[tuple[date, date, datetime | None, datetime | None]]:
    stops = Stop.objects.filter(Q(student=student)).select_related("pain")
    return [
        (s.since, s.cleared_on or date.max, s.pain.told_at if s.pain else None, s.cleared_at)
        for s in stops
    ]
