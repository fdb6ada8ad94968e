"""Everything the board needs of a set of students, in a few reads, as plain values.

The number of reads never depends on how many students or weeks there are.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import (
    Case,
    CharField,
    DateField,
    DateTimeField,
    F,
    JSONField,
    Max,
    QuerySet,
    Sum,
    UUIDField,
    Value,
    When,
)
from django.db.models.functions import Cast

from coaching.board.rules.drill import CheckedStep
from coaching.board.rules.facts import OpenStop, PainFacts
from coaching.bring.models import Remembered
from coaching.forecast.forecast import WEEKS_READ
from coaching.forecast.models import Tried
from coaching.forecast.own_thresholds import COLUMNS, from_values
from coaching.forecast.studio_rhythms import Known, known_from, latest
from coaching.forecast.thresholds import Thresholds
from coaching.lessons.models import Lesson
from coaching.messages.queries import OPEN_FOR, questions_since
from practice.care.models import PainNote, Stop
from practice.care.queries import told_last
from practice.care.rules import is_serious, sign_words
from practice.coach_counts.models import CheckedCount
from practice.compliance.models import WeekTally
from practice.log.clock import DAYS_BACK as DAYS_WRITTEN_BACK
from practice.log.models import Entry, Line, LogKey, Result
from practice.measures.usual import UsualPrior
from practice.numbers.now.values import Numbers, from_json
from practice.shots import studio_days
from practice.shots.models import Sitting
from practice.weeks.models import Excusal
from shared.kit.weeks import TURNOVER, day_starts_at, practice_day, week_start
from shared.people.models import Student
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

WEEK_AHEAD = timedelta(weeks=1)
WEEKS_BACK = WEEKS_READ  # All that the forecast reads; the count finds its eight open ones there.
PAINS_BACK = timedelta(weeks=12)
PARTS_BACK = timedelta(weeks=2)
DAYS_BACK = timedelta(weeks=4)
LESSONS_BACK = timedelta(weeks=3)  # With seven days before each, DAYS_BACK holds them.
WORDS_BACK = timedelta(days=14)
EXCUSED_AHEAD = timedelta(days=60)
CHECKED_BACK = timedelta(weeks=8)
COUNTED_BACK = timedelta(weeks=26)
TRUSTED_BACK = timedelta(weeks=4)  # What a coach counted speaks so long for the own counts.
MOST_WORDS = 2000
LONG = ("minutes_by_day", "planned_by_day")  # Columns that only the last few weeks have.


class BoardPerson(NamedTuple):
    """A student as the board reads one, on the student's own practice day."""

    id: UUID
    name: str
    studio: UUID
    lead_coach: UUID
    zone: str
    first_weekday: int
    born_year: int | None
    next_lesson: date | None
    next_event: date | None
    next_event_name: str
    joined_on: date
    borders: Thresholds
    # The studio's rhythm of practice, and how forecasts came out there.
    known: Known
    # How much days of students differ in the studio.
    usual: UsualPrior
    # What the newest tests of speed and wedges say, as the worker last made it.
    numbers: Numbers
    # What is said of the gate before priority 1, as the worker last said it.
    gate: str
    today: date
    # Of the student's own clock, from 3 to 27: the practice day turns over at 3.
    hour: float

    @property
    def opens(self) -> date:
        return week_start(self.today, self.first_weekday)

    @property
    def calendar_day(self) -> date:
        """What the calendar says there; between midnight and three a day after the practice
        day. Lessons go by it."""
        return self.today + timedelta(days=int(self.hour >= 24))

    def may_be_at_most(self, years: int) -> bool:
        """Whether the student may still be this young; in doubt, the younger."""
        return Student(born_year=self.born_year).age_at_most(years, self.today)


class Tally(NamedTuple):
    """One week of one student; the names of WeekTally."""

    student: UUID
    opens: date
    has_plan: bool
    asked_minutes: float
    credited_minutes: float
    credit: float | None
    priority_credit: float | None
    priority_sessions_done: float
    priority_sessions_asked: int
    finished: bool
    open_days: int
    days_done: int
    days_asked: int
    minutes: float
    unplanned_minutes: float
    reps: int
    balls: int
    hard_swings: int
    counts_as_asked: int
    counts_given: int
    counts_tapped: int
    credited_by_day: list[float]
    # Null in weeks longer ago.
    minutes_by_day: list[float] | None
    planned_by_day: list[float] | None
    entries: list[list[int]]
    last_written_at: datetime | None


@dataclass(slots=True)
class Raw:
    """What was read of one student."""

    tallies: list[Tally] = field(default_factory=list)
    parts: dict[date, list[dict[str, Any]]] = field(default_factory=dict)
    # Whether the week after this one is sent already.
    is_sent_ahead: bool = False
    excused: set[date] = field(default_factory=set)
    # Minutes by day before the first week was sent, as somebody remembers them.
    remembered: dict[date, float] = field(default_factory=dict)
    stops: list[OpenStop] = field(default_factory=list)
    pains: list[PainFacts] = field(default_factory=list)
    # Days on which each drill was done; read of those who told pain.
    days_of_drill: dict[str, set[date]] = field(default_factory=dict)
    line: tuple[str, datetime] | None = None
    note: tuple[str, datetime] | None = None
    seen: datetime | None = None
    # What was tried last, and when.
    tried: tuple[str, datetime] | None = None
    # Practice days of lessons held, newest first.
    lessons: list[date] = field(default_factory=list)
    # Whether counts of these weeks were checked by a coach or measured.
    is_checked: bool = False
    # The practice day of the oldest question that still waits for an answer.
    asks_since: date | None = None
    # Of each drill, what a coach has counted in the last weeks.
    counted: dict[str, list[CheckedStep]] = field(default_factory=dict)


PERSON = (
    "pk",
    "name",
    "studio",
    "lead_coach",
    "time_zone",
    "studio__first_weekday",
    "born_year",
    "next_lesson",
    "next_event",
    "next_event_name",
    "joined_on",
)


def _rows(students: QuerySet[Student], now: datetime) -> QuerySet[Student, Any]:
    own = [f"studio__thresholds__{name}" for name in COLUMNS]
    found: QuerySet[Student, Any] = students.annotate(
        known=latest(now), usual=studio_days.latest(now)
    ).values_list(*PERSON, *own, "known", "usual", "numbers_now__figures", "gate_now__words")
    return found


_rows_of = Prepared(
    lambda students, now: _rows(Student.objects.filter(pk__in=[students]), now),
    students=UUIDField,
    now=DateTimeField,
)


def people(students: QuerySet[Student], now: datetime) -> list[BoardPerson]:
    """Students, each with the practice day on their own clock. One query."""
    return _people(_rows(students, now), now)


def people_of(students: Collection[UUID], now: datetime) -> list[BoardPerson]:
    """The same of these. One query."""
    return people_asked(students, now).answer


def people_asked(students: Collection[UUID], now: datetime) -> Question[list[BoardPerson]]:
    """The same, to be asked with others."""
    return Question(
        lambda rows: _people(rows, now), Rows(_rows_of, students=list(students), now=now)
    )


def _people(rows: Iterable[Sequence[Any]], now: datetime) -> list[BoardPerson]:
    days: dict[str, tuple[date, float]] = {}
    borders: dict[UUID, Thresholds] = {}
    found = []
    for *row, known, usual, figures, gate in rows:
        zone, studio = row[PERSON.index("time_zone")], row[PERSON.index("studio")]
        if zone not in days:
            day = practice_day(now, zone)
            days[zone] = day, hour_of(now, day, zone)
        if studio not in borders:
            borders[studio] = from_values(dict(zip(COLUMNS, row[len(PERSON) :], strict=True)))
        made = (known_from(known), studio_days.known_from(usual), from_json(figures), gate or "")
        found.append(BoardPerson._make((*row[: len(PERSON)], borders[studio], *made, *days[zone])))
    return found


def hour_of(now: datetime, day: date, zone: str) -> float:
    """Hours since the midnight that this practice day began with: 3 to 27."""
    return TURNOVER.total_seconds() / 3600 + (now - day_starts_at(day, zone)).total_seconds() / 3600


@dataclass(frozen=True, slots=True)
class ReadDays:
    """The days by which rows are read, of one student or of several who live a day apart."""

    first_opens: date
    last_opens: date
    today: date
    now: datetime


def days_of_one(student: Student, now: datetime) -> ReadDays:
    today = practice_day(now, student.time_zone)
    opens = week_start(today, student.studio.first_weekday)
    return ReadDays(opens, opens, today, now)


def days_of(persons: Collection[BoardPerson], now: datetime) -> ReadDays:
    opens = [person.opens for person in persons]
    return ReadDays(min(opens), max(opens), min(person.today for person in persons), now)


class BoardRead(NamedTuple):
    """The rows of some students, as they were asked for in one query."""

    tallies: list[Any]
    spans: list[Any]
    pains: list[Any]
    done: list[Any]
    lessons: list[Any]
    counted: list[Any]
    asking: list[Any]
    words: list[Any]


def read_asked(students: Collection[UUID], days: ReadDays, *, words: bool) -> Question[BoardRead]:
    """What the rules judge; with `words` what is shown beside it too."""
    of, first = {"students": list(students)}, days.first_opens - timedelta(weeks=WEEKS_BACK)
    pained, counted = days.first_opens - PAINS_BACK, days.today - COUNTED_BACK
    said = days.now - WORDS_BACK
    return Question(
        BoardRead,
        Rows(
            _tallies,
            **of,
            first=first,
            last=days.last_opens + WEEK_AHEAD,
            long=days.first_opens - DAYS_BACK,
            parts=days.first_opens - PARTS_BACK,
        ),
        Rows(_spans, **of, first=first, measured=days.today - CHECKED_BACK),
        Rows(_pains, **of, first=pained),
        Rows(_done, **of, first=pained),
        Rows(_lessons, **of, now=days.now, since=_held_since(days.now)),
        Rows(_counted, **of, since=counted),
        # A day more than counts on any clock: add_question leaves it out again.
        Rows(_asking, **of, since=days.now - OPEN_FOR - timedelta(days=2)),
        # By day, which has an index: nobody writes of a day longer ago than the phone lets them.
        Rows(_words, **of, at=said, day=said.date() - timedelta(days=DAYS_WRITTEN_BACK + 1))
        if words
        else Question(list),
    )


def raw_of(persons: Collection[BoardPerson], now: datetime) -> dict[UUID, Raw]:
    """Read everything of these students. One query."""
    return _raw_of(persons, now, words=True)


def judged_from(persons: Collection[BoardPerson], now: datetime) -> dict[UUID, Raw]:
    """What the rules judge, without the words shown beside it. One query."""
    return _raw_of(persons, now, words=False)


def _raw_of(persons: Collection[BoardPerson], now: datetime, *, words: bool) -> dict[UUID, Raw]:
    if not persons:
        return {}
    asked = read_asked([person.id for person in persons], days_of(persons, now), words=words)
    return raw_from(asked.answer, persons)


def raw_from(read: BoardRead, persons: Collection[BoardPerson]) -> dict[UUID, Raw]:
    """What was read, by student.

    Nobody's depends on who else is read: what is read for the sake of others, who live a
    day or a week apart, is left out again.
    """
    raw, of = {person.id: Raw() for person in persons}, {person.id: person for person in persons}
    for *row, parts in read.tallies:
        tally = Tally._make(row)
        add_tally(raw[tally.student], of[tally.student], tally, parts)
    for student, *span in read.spans:
        _add_span(raw[student], of[student], *span)
    for student, day, *row in read.pains:
        if day >= of[student].opens - PAINS_BACK:
            raw[student].pains.append(pain_of(day, *row))
    for student, opens, day, drill in read.done:
        if raw[student].pains and opens >= of[student].opens - PAINS_BACK:
            raw[student].days_of_drill.setdefault(str(drill), set()).add(day)
    for student, at in read.lessons:
        add_lesson(raw[student], of[student], at)
    for student, *row in read.counted:
        add_counted(raw[student], row, of[student].today)
    _add_said(read, raw, of)
    return raw


def _add_said(read: BoardRead, raw: dict[UUID, Raw], of: dict[UUID, BoardPerson]) -> None:
    for student, at in read.asking:
        add_question(raw[student], of[student], at)
    for student, *said in read.words:
        _add_words(raw[student], *said)


_asking = Prepared(
    lambda students, since: questions_since(
        Student.objects.filter(pk__in=[students]), since
    ).values_list("student", "received_at"),
    students=UUIDField,
    since=DateTimeField,
)


def add_question(raw: Raw, person: BoardPerson, at: datetime) -> None:
    """By practice days, so that it ends with the turn of one. The oldest comes first."""
    day = practice_day(at, person.zone)
    if day > person.today - OPEN_FOR:
        raw.asks_since = raw.asks_since or day


def _tallies_of(
    students: UUID, first: date, last: date, long: date, parts: date
) -> QuerySet[WeekTally, Any]:
    """Weeks oldest first. The long columns come with the last few weeks only."""
    weeks = WeekTally.objects.filter(student__in=[students], opens__range=(first, last))
    columns = [_since(name, long) if name in LONG else name for name in Tally._fields]
    return weeks.order_by("opens").values_list(*columns, _since("parts", parts))


_tallies = Prepared(
    _tallies_of,
    students=UUIDField,
    first=DateField,
    last=DateField,
    long=DateField,
    parts=DateField,
)


def add_tally(
    raw: Raw, person: BoardPerson, tally: Tally, parts: list[dict[str, Any]] | None
) -> None:
    """Of the weeks that the rules look back on; of older ones of these without long columns.

    Of the week ahead only whether it is sent.
    """
    ago = person.opens - tally.opens
    raw.is_sent_ahead |= ago == -WEEK_AHEAD and tally.has_plan
    if not timedelta() <= ago <= timedelta(weeks=WEEKS_BACK):
        return
    without = tally._replace(minutes_by_day=None, planned_by_day=None)
    raw.tallies.append(tally if ago <= DAYS_BACK else without)
    raw.parts[tally.opens] = standing_parts(parts if ago <= PARTS_BACK else None)


def _since(column: str, first: date) -> Case:
    """A column of the weeks from this one on; null before, which costs nothing to read."""
    return Case(When(opens__gte=first, then=F(column)), output_field=JSONField())


def standing_parts(parts: list[dict[str, Any]] | None) -> list[dict[str, Any]]:
    """The parts that were not taken off the plan, in priority order."""
    standing = [part for part in parts or [] if not part["removed"]]
    return sorted(standing, key=lambda part: part["priority"])


def _spans_of(students: UUID, first: date, measured: date) -> QuerySet[Excusal, Any]:
    """Excused days, open stops, remembered practice and the last day of measured shots, which
    are all days of a student."""
    mine = {"student__in": [students]}
    excused = Excusal.objects.filter(**mine, withdrawn_at=None, last__gte=first)
    stops = Stop.objects.filter(**mine, cleared_at=None)
    return (
        excused.annotate(until=F("last"), part=Value("", CharField()), kept=Value("excused"))
        .values_list("student", "first", "until", "part", "kept")
        .union(
            stops.annotate(
                until=F("since"), part=F("drill__current__name"), kept=Value("stop")
            ).values_list("student", "since", "until", "part", "kept"),
            Remembered.objects.filter(**mine, day__gte=first)
            .annotate(until=F("day"), part=Cast("minutes", CharField()), kept=Value("memory"))
            .values_list("student", "day", "until", "part", "kept"),
            Sitting.objects.filter(
                **mine,
                day__gte=measured,
                counts=True,
                evidence=Sitting.Evidence.MEASURED,
            )
            .order_by()
            .values("student")
            .annotate(first=Max("day"), until=Max("day"))
            .annotate(part=Value("", CharField()), kept=Value("measured"))
            .values_list("student", "first", "until", "part", "kept"),
            all=True,
        )
        .order_by("first")
    )


_spans = Prepared(_spans_of, students=UUIDField, first=DateField, measured=DateField)


def _add_span(raw: Raw, person: BoardPerson, begins: date, *rest: Any) -> None:
    ends, part, kept = rest
    match kept:
        case "stop":
            raw.stops.append(OpenStop(begins, part or ""))
        case "measured":
            raw.is_checked |= begins >= person.today - CHECKED_BACK
        case "memory":
            add_remembered(raw, person, begins, float(part))
        case _:
            raw.excused |= excused_days(person, begins, ends)


def add_remembered(raw: Raw, person: BoardPerson, day: date, minutes: float) -> None:
    if day >= person.opens - timedelta(weeks=WEEKS_BACK):
        raw.remembered[day] = raw.remembered.get(day, 0.0) + minutes


def excused_days(person: BoardPerson, first: date, last: date) -> set[date]:
    """Of days excused, those that the rules look at."""
    begins = person.opens - timedelta(weeks=WEEKS_BACK)
    return days_between(max(first, begins), min(last, person.opens + EXCUSED_AHEAD))


def days_between(first: date, last: date) -> set[date]:
    """Both ends included; empty if they are the wrong way round."""
    return {first + timedelta(days=n) for n in range((last - first).days + 1)}


PAIN_ORDER = ("day", "told_at", "pk")
PAIN = ("day", "level", "where", "signs", "drill__current__name")


def _hurt(students: UUID, first: date) -> QuerySet[PainNote]:
    return PainNote.objects.filter(student__in=[students], day__gte=first, level__gt=0)


_pains = Prepared(
    lambda students, first: (
        told_last(_hurt(students, first)).order_by(*PAIN_ORDER).values_list("student", *PAIN)
    ),
    students=UUIDField,
    first=DateField,
)
# What those who told any did on which day.
_done = Prepared(
    lambda students, first: Result.objects.filter(
        student__in=_hurt(students, first).order_by().values("student"),
        opens__gte=first,
        entry__counts=True,
        part__isnull=False,
    ).values_list("student", "opens", "entry__day", "part__drill"),
    students=UUIDField,
    first=DateField,
)


def pain_of(day: date, level: int, where: str, signs: list[str], part: str | None) -> PainFacts:
    return PainFacts(
        day, level, where, tuple(sign_words(signs)), part or "", is_serious(level, signs)
    )


def _words_of(students: UUID, at: datetime, day: date) -> QuerySet[Line, Any]:
    """Lines to each, notes by each, looks, and what was tried, the last first."""
    mine = {"student__in": [students]}
    notes = Entry.objects.filter(**mine, day__gte=day, counts=True, at__gte=at).exclude(note="")
    looks = LogKey.objects.filter(**mine, revoked_at=None, last_used_at__gte=at)
    tried = Tried.objects.filter(**mine, at__gte=at)
    words = (
        Line.objects.filter(**mine, at__gte=at)
        .values_list("student", "text", "at", Value("line"))
        .union(
            notes.values_list("student", "note", "at", Value("note")),
            looks.annotate(text=Value("", CharField())).values_list(
                "student", "text", "last_used_at", Value("seen")
            ),
            tried.values_list("student", "what", "at", Value("tried")),
            all=True,
        )
    )
    return words.order_by("-at")[:MOST_WORDS]


def _add_words(raw: Raw, text: str, at: datetime, kind: str) -> None:
    if getattr(raw, kind) is None:
        setattr(raw, kind, at if kind == "seen" else (text, at))


_words = Prepared(_words_of, students=UUIDField, at=DateTimeField, day=DateField)


def held(now: datetime) -> QuerySet[Lesson]:
    """Lessons held by then, newest first; of a day more than is looked back on."""
    return _held_between(_held_since(now), now)


def _held_since(now: datetime) -> datetime:
    return now - LESSONS_BACK - timedelta(days=1)


def _held_between(since: datetime, now: datetime) -> QuerySet[Lesson]:
    return Lesson.objects.filter(opened_at__lte=now, at__gte=since, at__lte=now).order_by("-at")


_lessons = Prepared(
    lambda students, now, since: (
        _held_between(since, now).filter(student__in=[students]).values_list("student", "at")
    ),
    students=UUIDField,
    now=DateTimeField,
    since=DateTimeField,
)


def add_lesson(raw: Raw, person: BoardPerson, at: datetime) -> None:
    day = practice_day(at, person.zone)
    if day >= person.today - LESSONS_BACK:
        raw.lessons.append(day)


def summed_counts(rows: QuerySet[CheckedCount], *first: str) -> QuerySet[CheckedCount, Any]:
    """Drill, day, effort, clean, reps and the drill's own test, `first` before them."""
    sums = {"clean": Sum("clean_reps"), "made": Sum("reps"), "test": F("drill__tested_by")}
    by = ("drill", "day", "effort")
    found = rows.values(*first, *by).annotate(**sums).order_by(*first, *by)
    summed: QuerySet[CheckedCount, Any] = found.values_list(*first, *by, "clean", "made", "test")
    return summed


_counted = Prepared(
    lambda students, since: summed_counts(
        CheckedCount.objects.filter(student__in=[students], day__gte=since, counts=True), "student"
    ),
    students=UUIDField,
    since=DateField,
)


def add_counted(raw: Raw, row: Sequence[Any], today: date) -> None:
    """A count by a coach is evidence too, for four weeks, that the student's own can be trusted.

    A drill that has a test of its own is judged by that, and not by these counts.
    """
    drill, day, effort, clean, reps, test = row
    if day < today - COUNTED_BACK:
        return
    if test is None and reps:
        raw.counted.setdefault(str(drill), []).append(CheckedStep(day, effort, clean, reps))
    raw.is_checked |= day >= today - TRUSTED_BACK


def grouped_by_day(tallies: Iterable[Tally], column: str) -> dict[date, float]:
    """A column of seven numbers a week as one number a day."""
    days: dict[date, float] = defaultdict(float)
    for tally in tallies:
        for offset, amount in enumerate(getattr(tally, column) or ()):
            days[tally.opens + timedelta(days=offset)] += amount
    return days
