"""Keep what the newest tests say: the tables tell for whom it is due."""

from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Count, F, Max, Q, QuerySet
from django.utils import timezone

from practice.compliance.facts import counting_at
from practice.log.models import Entry
from practice.progress.models import NumbersNow
from practice.progress.numbers_now import NO_NUMBERS, Numbers, to_json
from practice.progress.numbers_of import numbers_of
from practice.progress.speed_book import speed_book
from practice.progress.speed_read import read_speeds
from practice.progress.wedge_card import wedge_card
from practice.progress.wedge_read import read_wedges
from practice.shots.models import Sitting
from shared.people.models import Student
from shared.weeks import practice_day

AT_ONCE = 50  # Students a sweep looks at; the rest wait for the next one.
AT_LEAST_EVERY = timedelta(days=1)


def sweep(now: datetime | None = None) -> int:
    """Make the figures that are due. Returns how many students were looked at.

    One whose figures cannot be made keeps nobody else waiting; it is raised at the end.
    """
    now = now or timezone.now()
    faults = []
    students = list(due(now)[:AT_ONCE])
    for student in students:
        try:
            reckon(student, now)
        except Exception as fault:
            fault.add_note(f"Figures of student {student.pk}")
            faults.append(fault)
    if faults:
        raise ExceptionGroup("Figures could not be made", faults)
    return len(students)


def due(now: datetime) -> QuerySet[Student]:
    """Students whose sittings, or aims of speed, are not those the figures were made from,
    and everybody once a day; who waits longest first."""
    arrived = Max("sittings__at", filter=Q(sittings__at__lte=now))
    received = Max("sittings__entry__received_at", filter=Q(sittings__entry__received_at__lte=now))
    made = F("numbers_now__reckoned_at")
    return (
        Student.objects.filter(left_on=None)
        .annotate(
            counting=Count("sittings", filter=Q(sittings__counts=True)),
            arrived=arrived,
            received=received,
        )
        .filter(
            Q(numbers_now=None, counting__gt=0)
            | Q(numbers_now__isnull=False) & ~Q(numbers_now__sittings=F("counting"))
            | Q(arrived__gt=made)
            | Q(received__gt=made)
            | Q(speed_block__set_at__gt=made, speed_block__set_at__lte=now)
            | Q(numbers_now__reckoned_at__lte=now - AT_LEAST_EVERY)
        )
        .order_by(made.asc(nulls_first=True), "pk")
    )


def reckon(student: Student, now: datetime) -> None:
    """Make one student's figures from what counts now. Fourteen queries, however many tests."""
    counting = Sitting.objects.filter(student=student, counts=True)
    sittings = counting.count()
    numbers = _numbers(student, practice_day(now, student.time_zone), counting)
    values = {"figures": to_json(numbers), "sittings": sittings, "reckoned_at": now}
    NumbersNow.objects.update_or_create(student=student, defaults=values)


def numbers_known_at(student: UUID, at: datetime, today: date) -> Numbers:
    """The same figures from the sittings that had arrived by then.

    What cannot be told from before: a sitting by hand that was taken back later, the
    clubs as they were, and a block of speed practice that was changed later, which is
    left out.
    """
    who = Student(pk=student)
    # The whole chain of each: an entry that takes shots back has none of its own.
    chains = Entry.objects.filter(student=student, sittings__isnull=False).values("root")
    known = Sitting.objects.filter(
        Q(entry=None, counts=True, at__lte=at)
        | Q(entry__in=counting_at(who, Q(root__in=chains), at)),
        student=who,
    )
    return _numbers(who, today, known, at) if known.exists() else NO_NUMBERS


def _numbers(
    student: Student, today: date, among: QuerySet[Sitting], at: datetime | None = None
) -> Numbers:
    book = speed_book(read_speeds(student, today, among=among, at=at))
    return numbers_of(book, wedge_card(read_wedges(student, among=among), today))
