"""The same values as read.py, as they were known at a moment: nothing that came later.

Every tally is made anew from what had arrived by then. Left out are what is read and
never judged: lines, notes, and when a phone last looked.
"""

from collections.abc import Collection, Iterable
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Q, QuerySet

from coaching.board.read import (
    CHECKED_BACK,
    COUNTED_BACK,
    DAYS_BACK,
    EXCUSED_AHEAD,
    LESSONS_BACK,
    PAIN,
    PAINS_BACK,
    PARTS_BACK,
    WEEKS_BACK,
    Person,
    Raw,
    Tally,
    add_counted,
    days_between,
    hour_of,
    pain_of,
    people,
    standing_parts,
    summed_counts,
)
from coaching.lessons.models import Lesson
from coaching.standing.borders import thresholds_of
from coaching.standing.facts import OpenStop
from practice.care.models import PainNote, Stop
from practice.checked.models import CheckedCount
from practice.compliance.facts import counting_at
from practice.compliance.rebuild import weeks_known_at
from practice.compliance.tally import compute
from practice.log.models import Result
from practice.progress.numbers_now import NO_NUMBERS
from practice.progress.reckoning import numbers_known_at
from practice.shots.models import Sitting
from practice.weeks.models import Excusal
from shared.people.history import as_known_at
from shared.people.models import Student
from shared.weeks import practice_day

LONG = ("minutes_by_day", "planned_by_day")


def people_as_of(students: QuerySet[Student], at: datetime) -> list[Person]:
    """Students by name, each as the row stood at that moment, who had joined by then.

    Without what tests say: see with_numbers().
    """
    known = as_known_at(students.values_list("pk", flat=True), at)
    borders = {studio: thresholds_of(studio, at) for studio in set(_studios(students))}
    found = []
    for person in people(students, at):
        person = person._replace(  # noqa: PLW2901 (the same person)
            borders=borders[person.studio], numbers=NO_NUMBERS
        )
        if was := known.get(person.id):
            today = practice_day(at, was.time_zone)
            person = person._replace(  # noqa: PLW2901 (the same person)
                zone=was.time_zone,
                next_lesson=was.next_lesson,
                next_event=was.next_event,
                next_event_name=was.next_event_name,
                today=today,
                hour=hour_of(at, today, was.time_zone),
            )
        if person.joined_on <= person.today:
            found.append(person)
    return found


def with_numbers(persons: Iterable[Person], at: datetime) -> list[Person]:
    """Each with what the tests that had arrived by then say; up to nine queries a student."""
    return [
        person._replace(numbers=numbers_known_at(person.id, at, person.today)) for person in persons
    ]


def _studios(students: QuerySet[Student]) -> QuerySet[Student, UUID]:
    return students.values_list("studio", flat=True)


def raw_as_of(persons: Collection[Person], at: datetime) -> dict[UUID, Raw]:
    """What raw_of() would have read at that moment. Queries grow with students and weeks."""
    if not persons:
        return {}
    opens = [person.opens for person in persons]
    span = (min(opens) - timedelta(weeks=WEEKS_BACK), max(opens))
    rows = Student.objects.select_related("studio").in_bulk([person.id for person in persons])
    return {
        person.id: _raw(rows[person.id], person, at, span=span, this_week=min(opens))
        for person in persons
    }


def _raw(
    student: Student, person: Person, at: datetime, *, span: tuple[date, date], this_week: date
) -> Raw:
    raw = Raw()
    _tallies(raw, student, at, span=span, this_week=this_week)
    _spans(raw, student, at, span)
    _pains(raw, student, at, this_week - PAINS_BACK)
    held = Lesson.objects.filter(
        student=student, opened_at__lte=at, at__gte=at - LESSONS_BACK, at__lte=at
    )
    raw.lessons = [
        practice_day(moment, person.zone)
        for moment in held.order_by("-at").values_list("at", flat=True)
    ]
    raw.is_checked = _is_measured(student, at)
    # A count that was taken back later cannot be told from one taken back by then.
    counted = CheckedCount.objects.filter(
        student=student, at__lte=at, day__gte=at.date() - COUNTED_BACK, counts=True
    )
    for row in summed_counts(counted):
        add_counted(raw, row)
    return raw


def _tallies(
    raw: Raw, student: Student, at: datetime, *, span: tuple[date, date], this_week: date
) -> None:
    for opens in weeks_known_at(student, at, span):
        tally = compute(student, opens, as_of=at)
        values = {name: getattr(tally, name) for name in Tally._fields if name != "student"}
        if opens < this_week - DAYS_BACK:
            values |= dict.fromkeys(LONG)
        raw.tallies.append(Tally(student=student.pk, **values))
        parts = tally.parts if opens >= this_week - PARTS_BACK else None
        raw.parts[opens] = standing_parts(parts)


def _spans(raw: Raw, student: Student, at: datetime, span: tuple[date, date]) -> None:
    first, last = span
    excused = Excusal.objects.filter(
        Q(withdrawn_at=None) | Q(withdrawn_at__gt=at),
        student=student,
        told_at__lte=at,
        last__gte=first,
    )
    for begins, ends in excused.values_list("first", "last"):
        raw.excused |= days_between(max(begins, first), min(ends, last + EXCUSED_AHEAD))
    stops = Stop.objects.filter(
        Q(cleared_at=None) | Q(cleared_at__gt=at),
        Q(pain=None) | Q(pain__told_at__lte=at),
        student=student,
    )
    for since, part in stops.order_by("since").values_list("since", "drill__current__name"):
        raw.stops.append(OpenStop(since, part or ""))


def _pains(raw: Raw, student: Student, at: datetime, first: date) -> None:
    told = PainNote.objects.filter(student=student, told_at__lte=at, day__gte=first, level__gt=0)
    raw.pains = [pain_of(*row) for row in told.order_by("day").values_list(*PAIN)]
    if not raw.pains:
        return
    counting = counting_at(student, Q(day__gte=first - timedelta(weeks=1)), at)
    done = Result.objects.filter(entry__in=counting, opens__gte=first, part__isnull=False)
    for day, drill in done.values_list("entry__day", "part__drill"):
        raw.days_of_drill.setdefault(str(drill), set()).add(day)


def _is_measured(student: Student, at: datetime) -> bool:
    since = at.date() - CHECKED_BACK
    sittings = Sitting.objects.filter(
        student=student, day__gte=since, evidence=Sitting.Evidence.MEASURED
    )
    by_hand = sittings.filter(entry=None, counts=True, at__lte=at)
    counting = counting_at(student, Q(day__gte=since), at)
    return by_hand.exists() or sittings.filter(entry__in=counting).exists()
