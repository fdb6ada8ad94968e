"""What a report says, from one student's own record alone: plain lists for page and print."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from coaching.board.student_text import share_of
from coaching.lesson_day.note_pages import notes_of
from coaching.lessons.models import Lesson
from coaching.lessons.numbers import numbers_said
from coaching.season.limits_pages import limits_passed_on
from practice.compliance.models import WeekTally
from shared.kit.text import date_words, in_minutes
from shared.kit.weeks import day_starts_at
from shared.people.models import Student, User

MOST_WEEKS = 54
MOST_LESSONS = 30
LAST_DAY = timedelta(days=6)


def body_of(student: Student, reader: User, first: date, last: date) -> dict[str, Any]:
    """Weeks, sums, lessons and numbers between two days, both included. Bounded by a year.

    A week belongs to the report if it begins in it, so that none stands in two reports.

    In the units of whoever it is for.
    """
    tallies = list(
        WeekTally.objects.filter(student=student, opens__gte=first, opens__lte=last).order_by(
            "opens"
        )[:MOST_WEEKS]
    )
    return {
        # A share that was done is praise of what should rest, where nothing says that it should.
        "limits": list(limits_passed_on(student).said),
        "sums": _sums(tallies, last),
        "weeks": [[date_words(each.opens), *_week(each)] for each in tallies],
        "lessons": _lessons(student, first, last),
        "numbers": [list(said) for said in numbers_said(student, reader, to_student=True)],
        "ahead": _ahead(student, last),
    }


def _sums(tallies: Sequence[WeekTally], last: date) -> list[list[str]]:
    """Side by side, never one score. Weeks excused whole are left out of what was asked.

    Only weeks that are over by `last` can be finished or not.
    """
    asked = [each for each in tallies if each.credit is not None]
    sums = [["Weeks with a plan", str(sum(each.has_plan for each in tallies))]]
    excused = sum(each.has_plan and each.credit is None for each in tallies)
    if excused:
        sums.append(["Of them excused", str(excused)])
    if asked:
        done = sum(each.credited_minutes for each in asked)
        total = sum(each.asked_minutes for each in asked)
        sums.append(["Done of what was asked", share_of(done, total, "min")])
        over = [each for each in asked if each.opens + LAST_DAY <= last]
        finished = f"{sum(each.finished for each in over)} of {len(over)}"
        still = len(asked) - len(over)
        sums.append(["Weeks finished", f"{finished}, {still} still open" if still else finished])
    sums.append(["Practice days", str(sum(each.days_done for each in tallies))])
    sums.append(["Minutes in all", f"{in_minutes(sum(each.minutes for each in tallies))}"])
    return sums


def _week(tally: WeekTally) -> list[str]:
    if not tally.has_plan:
        return ["no plan", f"{in_minutes(tally.minutes)} min"]
    if tally.credit is None:
        return ["excused", f"{in_minutes(tally.minutes)} min"]
    return [
        share_of(tally.credited_minutes, tally.asked_minutes, "asked min"),
        f"{in_minutes(tally.minutes)} min",
    ]


def _lessons(student: Student, first: date, last: date) -> list[dict[str, Any]]:
    zone = student.time_zone
    begins, ends = day_starts_at(first, zone), day_starts_at(last + timedelta(days=1), zone)
    lessons = Lesson.objects.filter(student=student, at__gte=begins, at__lt=ends)
    written = lessons.filter(state=Lesson.State.CLOSED).prefetch_related(
        "findings__drills__current"
    )
    return [
        {"day": _day(lesson.at, zone), "found": [_found(note) for note in notes]}
        for lesson in written.order_by("at")[:MOST_LESSONS]
        if (notes := notes_of(lesson))
    ]


def _found(note: Any) -> dict[str, Any]:
    return {"title": note.title, "lines": [list(line) for line in note.lines]}


def _day(at: datetime, zone: str) -> str:
    return date_words(at.astimezone(ZoneInfo(zone)).date())


def _ahead(student: Student, last: date) -> str:
    event = student.next_event
    if event is None or event <= last:
        return ""
    return f"{student.next_event_name or 'The next event'}: {date_words(event)}"
