"""Secret links by which a calendar reads lessons: made, ended, and what each may read."""

import secrets
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from coaching.lessons.models import Lesson
from coaching.timetable import recurrence
from coaching.timetable.calendar_file import Single, Weekly, calendar_file
from coaching.timetable.models import Feed, Holiday, Series
from shared.people import access, ends
from shared.people.access import Recordable
from shared.people.ends import What
from shared.people.models import User

BEFORE, AHEAD = timedelta(days=60), timedelta(days=366)
MOST = 600
MINUTES = 60  # Of a lesson whose length nobody wrote.


def _digest(token: str) -> str:
    return sha256(token.encode()).hexdigest()


@transaction.atomic
def make(*, user: User, student: Recordable | None = None) -> str:
    """A new link: the coach's own lessons, or those of one student. The earlier one ends."""
    end(user=user, student=student)
    token = secrets.token_urlsafe(24)
    Feed.objects.create(user=user, student=student, digest=_digest(token))
    return settings.SITE_URL + reverse("timetable:feed", args=[token])


@transaction.atomic
def end(*, user: User, student: Recordable | None = None) -> None:
    _end(open_ones(user, student))


def _end(feeds: QuerySet[Feed]) -> None:
    still = list(feeds.values_list("pk", flat=True))
    ends.note_all(ends.What.CALENDAR, still)
    Feed.objects.filter(pk__in=still).update(ended_at=timezone.now())


def end_with(what: str, row: UUID, whose: UUID | None) -> None:
    """A link ends with what it rests on: whoever may read again makes another."""
    student, user = {
        What.RECORD: (whose, None),
        What.PLACE: (row, None),
        What.GROWN: (row, None),
        What.PASSKEY: (None, row),
        What.WORK: (None, whose),
    }.get(What(what), (None, None))
    if student is not None:
        _end(Feed.objects.filter(student=student, ended_at=None))
    elif user is not None:
        _end(Feed.objects.filter(user=user, student=None, ended_at=None))


def open_ones(user: User, student: Recordable | None) -> QuerySet[Feed]:
    return Feed.objects.filter(user=user, student=student, ended_at=None)


def read(token: str, now: datetime) -> bytes | None:
    """The calendar behind a link; None if it opens nothing (any more). Six queries at most."""
    feed = Feed.objects.filter(digest=_digest(token), ended_at=None).select_related("user").first()
    if feed is None or not feed.user.is_active:
        return None
    if feed.student_id is not None:
        students = access.students_logged_by(feed.user).filter(pk=feed.student_id)
        name = next(iter(students.values_list("name", flat=True)), None)
        if name is None:
            return None
        is_own = students.filter(user=feed.user).exists()
        who = "" if is_own else f"{name}: "
        found = _calendar(
            Q(student__in=students), now, lambda each: f"{who}lesson with {each.coach}"
        )
        return calendar_file(f"{who}lessons", *found, now)
    if not access.teaches(feed.user):
        return None
    taught = access.students_taught_by(feed.user)
    found = _calendar(Q(student__in=taught, coach=feed.user), now, lambda each: str(each.student))
    return calendar_file("Lessons", *found, now)


def _calendar(
    whose: Q, now: datetime, title: Callable[[Any], str]
) -> tuple[list[Weekly], list[Single]]:
    """The lessons that come back, and those that stand alone."""
    series = Series.objects.filter(whose).filter(Q(last=None) | Q(last__gte=now - BEFORE))
    rows = series.select_related("student__studio", "coach").prefetch_related("occurrences__lesson")
    kept = list(rows.order_by("pk")[:MOST])
    studios = {each.student.studio_id for each in kept}
    holidays = list(Holiday.objects.filter(studio__in=studios))
    alone = Lesson.objects.filter(whose, occurrence=None, at__range=(now - BEFORE, now + AHEAD))
    single = [
        Single(str(each.pk), _capital(title(each)), each.at, each.student.studio.time_zone,
               MINUTES, each.place, each.moved_at or each.made_at)
        for each in alone.select_related("student__studio", "coach").order_by("at")[:MOST]
    ]  # fmt: skip
    return [_weekly(each, holidays, title(each)) for each in kept], single


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _weekly(series: Series, holidays: Iterable[Holiday], title: str) -> Weekly:
    studio = series.student.studio_id
    there = list(series.occurrences.all())
    off = {each.day for each in there if each.lesson is None}
    known = {each.day for each in there}
    for holiday in holidays:
        if holiday.studio_id == studio:
            inside = recurrence.days(series.rule, series.first, holiday.first, holiday.last)
            off |= {day for day in inside if day not in known}
    moved = [
        (each.day, each.lesson.at)
        for each in there
        if each.lesson is not None
        and each.lesson.at != recurrence.instant(each.day, series.at, series.time_zone)
    ]
    changes = [each.lesson.moved_at for each in there if each.lesson and each.lesson.moved_at]
    return Weekly(
        uid=str(series.pk), title=_capital(title), first=series.first, at=series.at,
        zone=series.time_zone, minutes=series.minutes, rule=series.rule, last=series.last,
        place=series.place, off=tuple(sorted(off)), moved=tuple(sorted(moved)),
        changed_at=max([series.changed_at, *changes]),
    )  # fmt: skip
