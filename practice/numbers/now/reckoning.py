"""Keep what the newest tests say: the tables tell for whom it is due."""

from dataclasses import asdict, replace
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Count, Exists, F, Max, OuterRef, Q, QuerySet
from django.utils import timezone

from practice.care.models import PainNote
from practice.compliance.facts import counting_at
from practice.log.models import Entry
from practice.numbers.moved.answer import moved_parts
from practice.numbers.moved.queries import read_moved
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.numbers_of import numbers_of
from practice.numbers.now.told import told
from practice.numbers.now.values import NO_NUMBERS, MovedNow, Numbers, to_json
from practice.numbers.speed.book import SpeedBook, speed_book
from practice.numbers.speed.queries import read_speeds
from practice.numbers.wedges.card import WedgeCard, wedge_card
from practice.numbers.wedges.queries import read_wedges
from practice.shots.models import Club, Sitting, StudioDays
from shared.jobs.in_turn import those_next
from shared.jobs.sweep import sweep as run
from shared.kit.weeks import practice_day
from shared.people.access import Recordable, recordable_students
from shared.people.models import Student

AT_ONCE = 50  # Students whose figures a sweep makes; the rest wait for the next one.
AT_ONE_LOOK = 4000  # Students it looks at: a larger house is gone through in several sweeps.
LOOKED_UP_TO = "figures-of-tests-looked-up-to"
AT_LEAST_EVERY = timedelta(days=1)


def sweep(now: datetime | None = None) -> int:
    """Make the figures that are due. Returns for how many students."""
    now = now or timezone.now()
    done = run(
        "figures of tests",
        lambda: due(now).filter(_those_next()),
        lambda student: reckon(student, now),
        most=AT_ONCE,
    )
    return len(done)


def _those_next() -> Q:
    return those_next(LOOKED_UP_TO, Student.objects.all(), AT_ONE_LOOK)


def due(now: datetime) -> QuerySet[Recordable]:
    """Students whose sittings, clubs, aims of speed, pain or studio's days are not those that
    the figures were made from, and everybody once a day; who waits longest first."""
    arrived = Max("sittings__at", filter=Q(sittings__at__lte=now))
    received = Max("sittings__entry__received_at", filter=Q(sittings__entry__received_at__lte=now))
    made = F("numbers_now__reckoned_at")
    learnt = StudioDays.objects.filter(
        studio=OuterRef("studio"),
        made_at__lte=now,
        made_at__gt=OuterRef("numbers_now__reckoned_at"),
    )
    hurt = PainNote.objects.filter(
        student=OuterRef("pk"), told_at__lte=now, told_at__gt=OuterRef("numbers_now__reckoned_at")
    )
    named = Club.objects.filter(
        student=OuterRef("pk"),
        touched_at__lte=now,
        touched_at__gt=OuterRef("numbers_now__reckoned_at"),
    )
    outdated: QuerySet[Recordable] = (
        recordable_students()
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
            | Exists(learnt)
            | Exists(hurt)
            | Exists(named)
        )
        .order_by(made.asc(nulls_first=True), "pk")
    )
    return outdated


def reckon(student: Recordable, now: datetime) -> None:
    """Make one student's figures from what counts now. The queries do not grow with the tests."""
    counting = Sitting.objects.filter(student=student, counts=True)
    sittings = counting.count()
    today = practice_day(now, student.time_zone)
    book, card = _read(student, today, counting)
    numbers = replace(numbers_of(book, card), moved=_moved(student, today))
    figures = to_json(numbers) | {"told": asdict(told(student, book, card))}
    values = {"figures": figures, "sittings": sittings, "reckoned_at": now}
    NumbersNow.objects.update_or_create(student=student, defaults=values)


def _moved(student: Student, today: date) -> tuple[MovedNow, ...]:
    """What moved, where something can be said of it."""
    parts = moved_parts(read_moved(student, today), is_minor=student.is_minor)
    told = [part for part in parts if part.verdict != "Too soon to say"]
    return tuple(MovedNow(str(part.drill_id), str(part.verdict)) for part in told)


def numbers_known_at(student: UUID, studio: UUID, at: datetime, today: date) -> Numbers:
    """The same figures from the sittings that had arrived by then.

    What cannot be told from before: a sitting by hand that was taken back later, the
    clubs as they were, and a block of speed practice that was changed later, which is
    left out.
    """
    who = Student(pk=student, studio_id=studio)
    # The whole chain of each: an entry that takes shots back has none of its own.
    chains = Entry.objects.filter(student=student, sittings__isnull=False).values("root")
    known = Sitting.objects.filter(
        Q(entry=None, counts=True, at__lte=at)
        | Q(entry__in=counting_at(who, Q(root__in=chains), at)),
        student=who,
    )
    return numbers_of(*_read(who, today, known, at)) if known.exists() else NO_NUMBERS


def _read(
    student: Student, today: date, among: QuerySet[Sitting], at: datetime | None = None
) -> tuple[SpeedBook, WedgeCard]:
    book = speed_book(read_speeds(student, today, among=among, at=at))
    return book, wedge_card(read_wedges(student, among=among, at=at), today)
