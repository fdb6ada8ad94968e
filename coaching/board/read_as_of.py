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
    PAIN,
    PAIN_ORDER,
    PAINS_BACK,
    WEEK_AHEAD,
    WEEKS_BACK,
    BoardPerson,
    Raw,
    Tally,
    add_counted,
    add_lesson,
    add_question,
    add_remembered,
    add_tally,
    excused_days,
    held,
    hour_of,
    pain_of,
    people,
    summed_counts,
)
from coaching.board.rules.facts import OpenStop
from coaching.bring.models import Remembered
from coaching.forecast.own_thresholds import thresholds_of
from coaching.forecast.thresholds import Thresholds
from coaching.messages.queries import OPEN_FOR, questions_known_at
from practice.care.models import PainNote, Stop
from practice.care.queries import told_last
from practice.coach_counts.models import CheckedCount
from practice.compliance.facts import counting_at
from practice.compliance.rebuild import weeks_known_at
from practice.compliance.tally import compute
from practice.log.models import Result
from practice.numbers.now.reckoning import numbers_known_at
from practice.numbers.now.values import NO_NUMBERS
from practice.shots.models import Sitting
from practice.weeks.models import Excusal
from shared.kit.weeks import practice_day
from shared.people.history import as_known_at
from shared.people.models import Student, StudentWas


def people_as_of(students: QuerySet[Student], at: datetime) -> list[BoardPerson]:
    """Students by name, each as the row stood at that moment, who had joined by then.

    They joined on a day of the studio's clock. Without what tests say: see with_numbers().
    """
    zones = dict(students.values_list("studio", "studio__time_zone"))
    days = {studio: practice_day(at, zone) for studio, zone in zones.items()}
    known = _all_as_of(students, at)
    return [person for person in known if person.joined_on <= days[person.studio]]


def person_as_of(student: UUID, at: datetime) -> BoardPerson:
    """One student as the row stood, whatever day it says that the student joined."""
    return _all_as_of(Student.objects.filter(pk=student), at)[0]


def _all_as_of(students: QuerySet[Student], at: datetime) -> list[BoardPerson]:
    studios = set(students.values_list("studio", flat=True))
    borders = {studio: thresholds_of(studio, at) for studio in studios}
    known = as_known_at(students.values_list("pk", flat=True), at)
    return [
        _as_known(person, known.get(person.id), borders[person.studio], at)
        for person in people(students, at)
    ]


def _as_known(
    person: BoardPerson, was: StudentWas | None, borders: Thresholds, at: datetime
) -> BoardPerson:
    person = person._replace(borders=borders, numbers=NO_NUMBERS)
    if was is None:
        return person
    today = practice_day(at, was.time_zone)
    return person._replace(
        zone=was.time_zone,
        next_lesson=was.next_lesson,
        next_event=was.next_event,
        next_event_name=was.next_event_name,
        today=today,
        hour=hour_of(at, today, was.time_zone),
    )


def with_numbers(persons: Iterable[BoardPerson], at: datetime) -> list[BoardPerson]:
    """Each with what the tests that had arrived by then say; up to nine queries a student."""
    return [
        person._replace(numbers=numbers_known_at(person.id, person.studio, at, person.today))
        for person in persons
    ]


def raw_as_of(persons: Collection[BoardPerson], at: datetime) -> dict[UUID, Raw]:
    """What judged_from() would have read then. Queries grow with students and weeks."""
    rows = Student.objects.select_related("studio").in_bulk([person.id for person in persons])
    return {person.id: _raw(rows[person.id], person, at) for person in persons}


def _raw(student: Student, person: BoardPerson, at: datetime) -> Raw:
    raw = Raw()
    _tallies(raw, student, person, at)
    _spans(raw, student, person, at)
    _pains(raw, student, at, person.opens - PAINS_BACK)
    for moment in held(at).filter(student=student).values_list("at", flat=True):
        add_lesson(raw, person, moment)
    raw.is_checked = _is_measured(student, at, person.today - CHECKED_BACK)
    # A count that was taken back later cannot be told from one taken back by then.
    counted = CheckedCount.objects.filter(
        student=student, at__lte=at, day__gte=person.today - COUNTED_BACK, counts=True
    )
    for row in summed_counts(counted):
        add_counted(raw, row, person.today)
    for asked_at in questions_known_at(student, at, at - OPEN_FOR - timedelta(days=2)):
        add_question(raw, person, asked_at)
    return raw


def _tallies(raw: Raw, student: Student, person: BoardPerson, at: datetime) -> None:
    span = person.opens - timedelta(weeks=WEEKS_BACK), person.opens + WEEK_AHEAD
    for opens in weeks_known_at(student, at, span):
        tally = compute(student, opens, as_of=at)
        values = {name: getattr(tally, name) for name in Tally._fields if name != "student"}
        add_tally(raw, person, Tally(student=student.pk, **values), tally.parts)


def _spans(raw: Raw, student: Student, person: BoardPerson, at: datetime) -> None:
    excused = Excusal.objects.filter(
        Q(withdrawn_at=None) | Q(withdrawn_at__gt=at),
        student=student,
        told_at__lte=at,
        last__gte=person.opens - timedelta(weeks=WEEKS_BACK),
    )
    for begins, ends in excused.values_list("first", "last"):
        raw.excused |= excused_days(person, begins, ends)
    kept = Remembered.objects.filter(student=student, made_at__lte=at)
    for day, minutes in kept.order_by("day").values_list("day", "minutes"):
        add_remembered(raw, person, day, minutes)
    stops = Stop.objects.filter(
        Q(cleared_at=None) | Q(cleared_at__gt=at),
        Q(pain=None) | Q(pain__told_at__lte=at),
        student=student,
    )
    for since, part in stops.order_by("since").values_list("since", "drill__current__name"):
        raw.stops.append(OpenStop(since, part or ""))


def _pains(raw: Raw, student: Student, at: datetime, first: date) -> None:
    told = PainNote.objects.filter(student=student, told_at__lte=at, day__gte=first, level__gt=0)
    told = told_last(told, by=at)
    raw.pains = [pain_of(*row) for row in told.order_by(*PAIN_ORDER).values_list(*PAIN)]
    if not raw.pains:
        return
    counting = counting_at(student, Q(day__gte=first - timedelta(weeks=1)), at)
    done = Result.objects.filter(entry__in=counting, opens__gte=first, part__isnull=False)
    for day, drill in done.values_list("entry__day", "part__drill"):
        raw.days_of_drill.setdefault(str(drill), set()).add(day)


def _is_measured(student: Student, at: datetime, since: date) -> bool:
    sittings = Sitting.objects.filter(
        student=student, day__gte=since, evidence=Sitting.Evidence.MEASURED
    )
    by_hand = sittings.filter(entry=None, counts=True, at__lte=at)
    counting = counting_at(student, Q(day__gte=since), at)
    return by_hand.exists() or sittings.filter(entry__in=counting).exists()
