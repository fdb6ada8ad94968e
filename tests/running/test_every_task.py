"""No task stops at one broken row: each is tried with a student whose clock nobody knows.

A zone may leave the list of zones between two releases of it. The broken student comes first
wherever rows go by their id.
"""

from datetime import UTC, datetime, time, timedelta
from uuid import UUID

import pytest
import time_machine
from django.core.cache import cache

from coaching.board.models import KeptLine
from coaching.lessons.models import Lesson
from coaching.reminders.models import EveningRule, ReminderRule, SummaryRule
from coaching.season.models import Event, GateNow, Priority, SeasonPlan, Stage
from coaching.timetable import recurrence
from coaching.timetable.models import Series
from coaching.track_record.models import WordKept
from practice.numbers.now.models import NumbersNow
from practice.shots.models import Sitting, StudioDays
from shared.celery import app
from shared.people.models import Student
from tests import factories

THURSDAY = datetime(2031, 2, 27, 20, tzinfo=UTC)
WEEK = timedelta(weeks=1)
# A backup has one row, and waits for whoever writes: here that is the test.
TASKS = sorted(
    entry["task"]
    for entry in app.conf.beat_schedule.values()
    if entry["task"] != "shared.backups.make"
)


@pytest.fixture
def people(db):
    """A studio in Sydney; a student nowhere, and one in Los Angeles."""
    cache.clear()
    with time_machine.travel(THURSDAY, tick=False):
        studio = factories.make_studio(time_zone="Australia/Sydney")
        coach = factories.make_coach(studio, time_zone="Australia/Sydney")
        drill = factories.make_drill(studio)
        made = [
            lived(coach, drill, UUID(int=n, version=4), name)
            for n, name in enumerate(("Nowhere", "Los Angeles"), 1)
        ]
        for rule in (SummaryRule, EveningRule):
            rule.objects.update_or_create(user=coach, defaults={"next_due_utc": THURSDAY})
        Student.objects.filter(name="Nowhere").update(time_zone="Mars/Olympus")
        Series.objects.filter(student__name="Nowhere").update(time_zone="Mars/Olympus")
        yield made


def lived(coach, drill, pk, name):
    student = factories.make_student(
        coach, name, pk=pk, time_zone="America/Los_Angeles", next_event=THURSDAY.date() - WEEK
    )
    for ago in range(4):
        week = factories.make_week(student, factories.MONDAY - ago * WEEK)
        factories.make_part(week, drill)
    WordKept.objects.create(
        student=student, opens=factories.MONDAY - WEEK, at=THURSDAY - WEEK, said="fine"
    )
    ReminderRule.objects.update_or_create(student=student, defaults={"next_due_utc": THURSDAY})
    KeptLine.objects.update_or_create(student=student, defaults={"until": THURSDAY})
    Series.objects.create(
        student=student, coach=coach, first=THURSDAY.date(), at=time(9),
        rule=recurrence.weekly(1), time_zone="America/Los_Angeles",
    )  # fmt: skip
    Sitting.objects.create(student=student, day=factories.MONDAY, at=THURSDAY)
    plan = SeasonPlan.objects.create(
        student=student, first=factories.MONDAY, last=factories.MONDAY + 20 * WEEK, made_by=coach
    )
    Priority.objects.create(plan=plan, place=1, name="Tail", stage=Stage.SHAPE, drill=drill)
    Event.objects.create(
        student=student, kind=Event.Kind.COMPETITION, name="Open", first=THURSDAY.date() + WEEK,
        last=THURSDAY.date() + WEEK,
    )  # fmt: skip
    return student


def noted(student: Student) -> bool:
    words = WordKept.objects.filter(student=student)
    return (
        words.filter(opens=factories.MONDAY).exists()
        and not words.filter(opens__lt=factories.MONDAY, closed_at=None).exists()
    )


DONE = {
    "coaching.kept.tick": noted,
    "coaching.reminders.plan": lambda who: (
        ReminderRule.objects.get(student=who).next_due_utc > THURSDAY
        and all(
            rule.next_due_utc > THURSDAY
            for kind in (SummaryRule, EveningRule)
            for rule in kind.objects.all()
        )
    ),
    "coaching.season.follow": lambda who: (
        Student.objects.get(pk=who.pk).next_event == THURSDAY.date() + WEEK
    ),
    "coaching.season.gates": lambda who: GateNow.objects.filter(student=who).exists(),
    "coaching.timetable.fill": lambda who: Lesson.objects.filter(student=who).exists(),
    "practice.progress.reckon": lambda who: (
        NumbersNow.objects.filter(student=who).exists()
        and StudioDays.objects.filter(studio=who.studio_id).exists()
    ),
}


@pytest.mark.parametrize("name", TASKS)
def test_a_student_that_cannot_be_reckoned_stops_no_task_for_another(people, name):
    _, there = people
    is_done = DONE.get(name, lambda who: True)
    assert name not in DONE or not is_done(there)
    app.loader.import_default_modules()
    app.tasks[name].apply(throw=True)
    assert is_done(there)
