"""A calendar at an address that is read again and again: added, read, taken, stopped."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from coaching.lessons.models import OF_LESSON
from coaching.timetable import reading_in, recurrence, services
from coaching.timetable.calendar_at import CalendarAnswer, checked_address, read_address
from coaching.timetable.calendar_change import (
    CalendarChange,
    change_of,
    change_words,
    event_of,
    plain,
)
from coaching.timetable.calendar_in import CalendarEvent, read
from coaching.timetable.models import Followed, FollowedEvent, ReadIn, Series
from shared.jobs.backoff import wait_after
from shared.jobs.sweep import sweep
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import Student, Studio, User
from shared.people.today import today_of

EVERY = timedelta(hours=6)
FIRST_WAIT = timedelta(minutes=15)
MOST_FOLLOWED = 3
KEPT_STOPPED = timedelta(days=1)  # So that a tap can be undone.
LEASE = timedelta(minutes=3)
BUDGET = 30.0  # Seconds of one sweep: others wait for the same worker.


@dataclass(frozen=True, slots=True)
class FollowedRow:
    """One event of the calendar and what would become of it. `takes`: a tap takes it."""

    id: int
    title: str
    words: str
    student: Student | None
    takes: bool
    asks: bool
    event: FollowedEvent


# --- added, and stopped ----------------------------------------------------------------


def followed_by(user: User, studio: Studio) -> QuerySet[Followed]:
    return Followed.objects.filter(by=user, studio=studio, stopped_at=None).order_by("made_at")


@transaction.atomic
def add(*, studio: Studio, by: User, address: str) -> Followed:
    """Follow it; the tick reads it in a moment. The same again changes nothing. Raises Refused."""
    address = checked_address(address)
    there = followed_by(by, studio)
    found = there.filter(address=address).first()
    if found is None and there.count() >= MOST_FOLLOWED:
        raise Refused("Three calendars are followed already. Stop one of them.", "address")
    return found or Followed.objects.create(studio=studio, by=by, address=address)


def read_soon(*, followed: Followed) -> None:
    Followed.objects.filter(pk=followed.pk).update(next_at=timezone.now())


def stop(*, followed: Followed) -> None:
    """It is read no more. What was taken of it stays on the timetable."""
    Followed.objects.filter(pk=followed.pk, stopped_at=None).update(stopped_at=timezone.now())


def go_on(*, followed: Followed) -> None:
    """As if it had not been stopped."""
    Followed.objects.filter(pk=followed.pk).update(stopped_at=None, next_at=timezone.now())


# --- read ------------------------------------------------------------------------------


def tick() -> int:
    """Read what is due; how many were."""
    now = timezone.now()
    Followed.objects.filter(stopped_at__lt=now - KEPT_STOPPED).delete()
    open_ones = Followed.objects.filter(stopped_at=None).filter(
        Q(next_at__lte=now) | Q(next_at__gt=now + 2 * EVERY)  # The clock was set back since.
    )
    due = open_ones.select_related("studio", "by").order_by("next_at")
    return len(sweep("calendars to read", lambda: due, read_one, budget=BUDGET, lease=LEASE))


def read_one(followed: Followed) -> None:
    """Ask for it, and keep what it says and when it was read, or why it was not."""
    if not _may(followed):
        stop(followed=followed)
        return
    try:
        answer = read_address(followed.address, followed.etag, followed.modified)
        events = (
            None if answer.text is None
            else read(answer.text, followed.studio.time_zone, is_whole=False)
        )  # fmt: skip
    except Refused as error:
        _note_failed(followed, str(error))
        return
    _note_read(followed, answer, events)


def _may(followed: Followed) -> bool:
    return followed.by.is_active and (
        access.studios_of(followed.by, access.PLANNING).filter(pk=followed.studio_id).exists()
    )


def _note_failed(followed: Followed, why: str) -> None:
    now, failed = timezone.now(), followed.failed + 1
    wait = wait_after(failed, first=FIRST_WAIT, longest=EVERY)
    Followed.objects.filter(pk=followed.pk).update(
        tried_at=now, next_at=now + wait, failed=failed, fault=why[:200]
    )


@transaction.atomic
def _note_read(
    followed: Followed, answer: CalendarAnswer, events: list[CalendarEvent] | None
) -> None:
    now = timezone.now()
    values: dict[str, Any] = {}
    if events is not None:
        _keep_events(followed, events)
        values = {"etag": answer.etag, "modified": answer.modified}
    Followed.objects.filter(pk=followed.pk).update(
        read_at=now, tried_at=now, next_at=now + EVERY, failed=0, fault="", **values
    )
    count_waiting(followed)


def _keep_events(followed: Followed, events: Sequence[CalendarEvent]) -> None:
    """Each event's row says what the calendar says now; what was never taken goes with it."""
    known = {each.uid: each for each in followed.events.all()}
    students = reading_in.students_of(followed.by, followed.studio)
    there: set[str] = set()
    for event in events:
        uid = _own_uid(event, there)
        there.add(uid)
        row = known.get(uid) or FollowedEvent(followed=followed, uid=uid)
        row.said = plain(event)
        if row.series_id is None:
            row.student = reading_in.named_in(event.title, students)
        row.save()
    gone = followed.events.exclude(uid__in=there)
    gone.filter(series=None).delete()
    gone.update(said=None)


def _own_uid(event: CalendarEvent, there: set[str]) -> str:
    """Its UID; where calendars give none, or one twice, the first free one by its words."""
    uid = event.uid or f"{event.title} {event.rule} {event.at}"[:240]
    return next(each for each in (uid, *(f"{uid[:240]} {n}" for n in range(2, 999)))
                if each not in there)  # fmt: skip


# --- looked at, and taken --------------------------------------------------------------


def rows_of(
    followed: Followed, students: Sequence[Student], chosen: Mapping[int, str]
) -> list[FollowedRow]:
    """Every event that is not as it was taken, and those left out. Two queries."""
    by_id = {str(each.pk): each for each in students}
    present = {each.pk for each in students}
    known = Series.objects.filter(student__in=students)
    follows = {
        (student, rule, at): event is not None
        for student, rule, at, event in known.values_list("student", "rule", "at", "followed_event")
    }
    today, now = today_of(followed.studio), timezone.now()
    rows = []
    for each in followed.events.select_related("series__student", "student").order_by("pk"):
        said = chosen.get(each.pk)
        if said == reading_in.OUT or (each.is_out and not said):
            each.is_out, student = True, None
        else:
            each.is_out, student = False, by_id.get(said or "", each.student)
        row = (
            _new_row(each, student, follows, today) if each.series is None
            else _known_row(each, each.series, today, now) if each.student_id in present
            else None
        )  # fmt: skip
        if row is not None:
            rows.append(row)
    return rows


def _known_row(
    each: FollowedEvent, series: Series, today: date, now: datetime
) -> FollowedRow | None:
    if each.said is None:
        words, takes = "Is no longer in the calendar. Its lessons end.", True
        if series.last is not None and series.last < today:
            return None
    else:
        taken, said = event_of(each.taken or each.said), event_of(each.said)
        change = change_of(taken, said, today, now)
        if not change and not said.fault:
            return None
        words = said.fault or " ".join(change_words(taken, said, change, today))
        takes = not said.fault
    return FollowedRow(each.pk, series.student.name, words, series.student, takes, False, each)


def _new_row(
    each: FollowedEvent,
    student: Student | None,
    follows: dict[tuple[UUID, str, Any], bool],
    today: date,
) -> FollowedRow | None:
    event = event_of(each.said) if each.said is not None else None
    if event is None or event.fault or not reading_in.comes(event, today):
        return None
    if each.is_out:
        return FollowedRow(each.pk, event.title, "Left out.", None, False, True, each)
    if student is None:
        words = "No student is named in it. Choose one."
        return FollowedRow(each.pk, event.title, words, None, False, True, each)
    words = reading_in.event_words(event, today)
    there = follows.get((student.pk, event.rule, event.at))
    if there:
        words = "Is on the timetable already."
        return FollowedRow(each.pk, event.title, words, student, False, True, each)
    follows[student.pk, event.rule, event.at] = True
    if there is not None:
        words = "Is on the timetable already. It follows the calendar from now on."
    return FollowedRow(each.pk, event.title, words, student, True, True, each)


def seen_of(followed: Followed) -> str:
    """A digest of what the page shows, so that nothing is taken that nobody saw."""
    values = followed.events.order_by("pk").values_list("pk", "said", "taken", "series")
    return sha256(repr(list(values)).encode()).hexdigest()[:32]


@transaction.atomic
def take(*, followed: Followed, rows: Sequence[FollowedRow]) -> tuple[int, list[str]]:
    """Bring the timetable to what the rows say: how many were, and what was refused."""
    made = ReadIn.objects.create(studio=followed.studio, by=followed.by)
    count, refused = 0, []
    for row in rows:
        FollowedEvent.objects.filter(pk=row.id).update(is_out=row.event.is_out)
        if not row.takes:
            continue
        try:
            with transaction.atomic():
                _take_one(made, followed.by, row)
        except Refused as error:
            refused.append(f"{row.title}: {error}")
        else:
            count += 1
    if not made.series.exists():
        made.delete()
    count_waiting(followed)
    return count, refused


def _take_one(made: ReadIn, by: User, row: FollowedRow) -> None:
    each, series = row.event, row.event.series
    if each.said is None:
        if series is not None:
            _end(series)
        each.delete()
        return
    said = event_of(each.said)
    if series is not None:
        now, today = timezone.now(), today_of(series.student.studio)
        _apply(series, said, change_of(event_of(each.taken or each.said), said, today, now))
    elif row.student is not None:
        series = _begun(made, by, said, row.student)
    each.series, each.taken, each.student = series, each.said, row.student
    each.save()


def _begun(made: ReadIn, by: User, said: CalendarEvent, whose: Student) -> Series:
    """The lesson that comes back: one that is kept here already follows from now on."""
    known = Series.objects.filter(
        student=whose, rule=said.rule, at=said.at, followed_event=None
    ).select_related("student__studio", "coach")
    series = known.first()
    if series is None:
        return reading_in.keep_one(made, by, said, whose)
    today = today_of(series.student.studio)
    days = tuple(day for day in said.off if day >= today)
    moved = tuple((day, at) for day, at in said.moved if day >= today and at > timezone.now())
    _apply(series, said, CalendarChange(False, days, (), moved, ()))
    return series


def _end(series: Series) -> None:
    """Over since yesterday; one that had not begun goes."""
    last = today_of(series.student.studio) - timedelta(days=1)
    services.end_series(series=series, last=last)
    if last < series.first and not series.occurrences.exists():
        series.delete()


def _apply(series: Series, said: CalendarEvent, change: CalendarChange) -> None:
    """Bring the series to what the event says. A lesson that was begun stays as it is."""
    if change.is_new:
        services.change_series(
            series=series, first=said.first, at=said.at, rule=said.rule, minutes=said.minutes,
            last=said.last, place=said.place[: OF_LESSON["place"]], zone=said.zone,
        )  # fmt: skip
    begun = set(series.occurrences.filter(lesson__opened_at__isnull=False).values_list(
        "day", flat=True))  # fmt: skip
    for day in set(change.off) - begun:
        services.take_off(series=series, day=day)
    for day in change.on_again:
        services.put_back(series=series, day=day)
    for day, at in change.moved:
        if day not in begun:
            services.move(series=series, day=day, at=at)
    for day in set(change.back) - begun:
        at = recurrence.instant(day, series.at, series.time_zone)
        if at > timezone.now():
            services.move(series=series, day=day, at=at)


def count_waiting(followed: Followed) -> None:
    students = reading_in.students_of(followed.by, followed.studio)
    waits = sum(row.takes for row in rows_of(followed, students, {}))
    Followed.objects.filter(pk=followed.pk).update(waits=waits)
