"""What speed and wedges say in a line each: kept by the tick, read where it stands."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import (
    Count,
    DateField,
    DateTimeField,
    Exists,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    UUIDField,
)
from django.db.models.functions import Coalesce
from django.utils import timezone

from practice.numbers.now.models import NumbersNow
from practice.numbers.now.values import NumbersTold, told_from
from practice.numbers.speed.book import SpeedBook
from practice.numbers.speed.pages import first_answers, own_speed_page
from practice.numbers.speed.text import SpeedReader
from practice.numbers.wedges.card import WedgeCard
from practice.numbers.wedges.pages import Reader, answer
from practice.shots.models import Club, Sitting, SpeedBlock, StudioDays
from shared.kit.units import DISTANCE, SPEED
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

FIRST_LINES = 2
NOTHING = NumbersTold({}, {}, {}, {})
STANDS_FOR = timedelta(days=1)


def told(student: Student, book: SpeedBook, card: WedgeCard) -> NumbersTold:
    """In every unit that a reader may have chosen."""
    readers = [SpeedReader(unit, student.name, student.is_minor) for unit in SPEED]
    return NumbersTold(
        speed={each.unit: tuple(speed_said(book, each, to_student=False)) for each in readers},
        wedges={unit: wedges_said(card, unit, to_student=False) for unit in DISTANCE},
        own_speed={each.unit: tuple(speed_said(book, each, to_student=True)) for each in readers},
        own_wedges={unit: wedges_said(card, unit, to_student=True) for unit in DISTANCE},
    )


def speed_said(book: SpeedBook, reader: SpeedReader, *, to_student: bool) -> list[tuple[str, str]]:
    """Title and answer of the first lines; to a student, as *your*, only what has held."""
    if not to_student:
        return first_answers(book, reader, FIRST_LINES)
    lines = own_speed_page(book, replace(reader, name="")).lines[:FIRST_LINES]
    return [(line.title, line.answer) for line in lines]


def wedges_said(card: WedgeCard, unit: str, *, to_student: bool) -> str:
    """The answer of the card, empty without one."""
    return answer(card, Reader(unit, is_own=to_student)) if card.cells else ""


def lines_of(told: NumbersTold, reader: User, *, to_student: bool) -> list[tuple[str, str]]:
    """(page, its answer) in this reader's units."""
    speed, wedges = (told.own_speed, told.own_wedges) if to_student else (told.speed, told.wedges)
    card = wedges.get(reader.distance_unit)
    return [*speed.get(reader.speed_unit, ()), *([("Wedge card", card)] if card else [])]


def standing(student: Student) -> NumbersTold | None:
    """What is kept, while it is what would be said now; nothing is said of who has neither balls
    nor clubs. One query.

    None where sittings, aims or the studio's days came or went since, and within two days of a
    change of a club. A club's new name alone is told a day later at most.
    """
    return standing_asked(student).answer


def standing_asked(student: Student) -> Question[NumbersTold | None]:
    """The same, to be asked with others."""
    now = timezone.now()
    days = {"since": now - STANDS_FOR, "changed": now.date() - 2 * STANDS_FOR}
    return Question(_kept_from, Rows(_standing, student=student.pk, **days))


def _kept_from(rows: Sequence[tuple[Any, ...]]) -> NumbersTold | None:
    has_balls, has_clubs, stands, figures = rows[0]
    if not (has_balls or has_clubs):
        return NOTHING
    return told_from(figures) if stands else None


def _stands(since: datetime, changed: date) -> QuerySet[NumbersNow]:
    mine, later = {"student": OuterRef("student")}, OuterRef("reckoned_at")
    news: tuple[QuerySet[Any], ...] = (
        Sitting.objects.filter(Q(at__gt=later) | Q(entry__received_at__gt=later), **mine),
        SpeedBlock.objects.filter(**mine, set_at__gt=later),
        StudioDays.objects.filter(studio=OuterRef("student__studio"), made_at__gt=later),
        Club.objects.filter(Q(changed_on__gte=changed) | Q(retired_on__gte=changed), **mine),
    )
    counting = Sitting.objects.filter(**mine, counts=True).order_by().values("student")
    many = Coalesce(Subquery(counting.annotate(n=Count("pk")).values("n")), 0)
    none = [~Exists(each) for each in news]
    return NumbersNow.objects.filter(
        *none, student=OuterRef("pk"), reckoned_at__gt=since, sittings=many
    )


_standing = Prepared(
    lambda student, since, changed: (
        Student.objects.filter(pk=student)
        .annotate(
            has_balls=Exists(Sitting.objects.filter(student=OuterRef("pk"), counts=True)),
            has_clubs=Exists(Club.objects.filter(student=OuterRef("pk"))),
            stands=Exists(_stands(since, changed)),
        )
        .values_list("has_balls", "has_clubs", "stands", "numbers_now__figures")
    ),
    student=UUIDField,
    since=DateTimeField,
    changed=DateField,
)
