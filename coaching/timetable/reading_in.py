"""A calendar read in: whose lesson each event is, what becomes of it, kept, and taken back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from coaching.lessons.models import OF_LESSON
from coaching.lessons.services import cancel_lesson
from coaching.timetable import recurrence, services
from coaching.timetable.calendar_in import CalendarEvent
from coaching.timetable.models import Occurrence, ReadIn, Series
from shared.kit.text import date_words, many, plain
from shared.people import access
from shared.people.models import Student, Studio, User
from shared.people.today import today_of

YEAR = timedelta(days=366)
OUT = "out"


@dataclass(frozen=True, slots=True)
class CalendarRow:
    """One event, whose it is taken for, and what becomes of it in a sentence."""

    number: int
    event: CalendarEvent
    student: Student | None
    words: str
    brings: bool
    asks: bool


def students_of(user: User, studio: Studio) -> list[Student]:
    """Whose lessons may be put on the timetable. One query."""
    may = access.students_planned_by(user) & access.recordable_students()
    found = may.filter(studio=studio, left_on=None).select_related("studio")
    return list(found.order_by("name"))


def named_in(title: str, students: Sequence[Student]) -> Student | None:
    """The one student whom a title names: by the whole name, else by a first name only one has."""
    said = set(plain(title).split())
    whole = [each for each in students if set(plain(each.name).split()) <= said]
    longest = max((len(plain(each.name).split()) for each in whole), default=0)
    found = [each for each in whole if len(plain(each.name).split()) == longest]
    if not whole:
        found = [each for each in students if {*plain(each.name).split()[:1]} & said]
    return found[0] if len(found) == 1 else None


def rows_of(
    events: Sequence[CalendarEvent],
    students: Sequence[Student],
    chosen: Mapping[int, str],
    studio: Studio,
) -> list[CalendarRow]:
    """What would become of every event now; `chosen` are ids of students by its number."""
    by_id = {str(each.pk): each for each in students}
    kept = Series.objects.filter(student__in=students).values_list("student", "rule", "at")
    there = {(str(student), rule, at) for student, rule, at in kept}
    today = today_of(studio)
    rows = []
    for number, event in enumerate(events):
        said = chosen.get(number)
        student = by_id.get(said) if said else named_in(event.title, students)
        row = _row(number, event, student, today, is_out=said == OUT)
        if row.brings and student and (str(student.pk), event.rule, event.at) in there:
            row = CalendarRow(number, event, student, "Is on the timetable already.", False, True)
        if row.brings and student:
            there.add((str(student.pk), event.rule, event.at))
        rows.append(row)
    return rows


def _row(
    number: int, event: CalendarEvent, student: Student | None, today: date, *, is_out: bool
) -> CalendarRow:
    if event.fault:
        return CalendarRow(number, event, None, event.fault, False, False)
    if not comes(event, today):
        return CalendarRow(number, event, None, "Is over, or not within a year.", False, False)
    if is_out:
        return CalendarRow(number, event, None, "Left out.", False, True)
    if student is None:
        return CalendarRow(
            number, event, None, "No student is named in it. Choose one.", False, True
        )
    return CalendarRow(number, event, student, event_words(event, today), True, True)


def comes(event: CalendarEvent, today: date) -> bool:
    """Whether it takes place within a year."""
    return bool(recurrence.days(event.rule, event.first, today, _end(event, today)))


def _end(event: CalendarEvent, today: date) -> date:
    return min(filter(None, (today + YEAR, event.last)))


def event_words(event: CalendarEvent, today: date) -> str:
    """'Every Tuesday at 16:30, from Tue 4 Mar. Off on 1 day, moved on 1 day.'"""
    days = recurrence.days(event.rule, event.first, today, _end(event, today))
    words = recurrence.words(event.rule, event.at)
    words = f"{words[:1].upper()}{words[1:]} ({event.zone}), from {date_words(days[0])}."
    off = sum(day >= today for day in event.off)
    moved = sum(day >= today for day, _ in event.moved)
    if off:
        words += f" Off on {many(off, 'day')}."
    if moved:
        words += f" Moved on {many(moved, 'day')}."
    return f"{words} {event.remark}".strip()


@transaction.atomic
def keep(*, studio: Studio, by: User, rows: Sequence[CalendarRow]) -> ReadIn:
    """Put what can be kept on the timetable, with its days off and moved."""
    made = ReadIn.objects.create(studio=studio, by=by)
    for row in rows:
        if row.brings and row.student is not None:
            keep_one(made, by, row.event, row.student)
    return made


@transaction.atomic
def keep_one(made: ReadIn, by: User, event: CalendarEvent, whose: Student) -> Series:
    """Put one event on the timetable. Raises Refused."""
    student = access.recordable(whose)
    today = today_of(student.studio)
    series = services.add_series(
        student=student, coach=by, first=event.first, at=event.at, rule=event.rule,
        minutes=event.minutes, last=event.last, place=event.place[: OF_LESSON["place"]],
        zone=event.zone, off=[day for day in event.off if day >= today],
    )  # fmt: skip
    Series.objects.filter(pk=series.pk).update(read_in=made)
    for day, at in event.moved:
        if day >= today and at > timezone.now():
            services.move(series=series, day=day, at=at)
    return series


@transaction.atomic
def take_back(*, read_in: ReadIn) -> int:
    """As if it had never been read: lessons that were begun stay, by themselves. How many went."""
    found = list(read_in.series.all())
    days = Occurrence.objects.filter(series__in=found, lesson__isnull=False)
    for each in days.select_related("lesson__student"):
        if each.lesson is not None:
            cancel_lesson(lesson=each.lesson)
    Series.objects.filter(pk__in=[each.pk for each in found]).delete()
    read_in.delete()
    return len(found)
