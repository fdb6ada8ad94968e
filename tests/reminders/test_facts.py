"""What the database says of one reader's day: what is left, what went, what is near."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coaching.reminders import facts, mail, plan
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice, ReminderRule
from practice.care.models import Stop
from practice.compliance.models import WeekTally
from practice.log.models import Entry, Result
from practice.weeks.models import Excusal, Part
from shared.people.models import Student
from tests import factories
from tests.reminders.conftest import DUE, due_student

pytestmark = pytest.mark.django_db
DAY = DUE.date()  # A Wednesday; its week opened on Monday the 24th.
OPENS = date(2031, 2, 24)


def of(student, day=DAY, **more):
    rule = ReminderRule.objects.select_related(*plan._STUDENT).get(student=student)
    return facts.facts_for(rule, day, rule.student.user, **more)


def went(student, days_ago: int, *, kind="practice_call", state="sent", to=None, about=""):
    day = DAY - timedelta(days=days_ago)
    kind = ReminderKind(kind)
    notice = plan.make(to or student.user, kind, day, DUE, student=student, about=about)
    notice.state, notice.ended_at = state, DUE - timedelta(days=days_ago)
    notice.save()
    return notice


def test_a_week_of_mails_is_seven_days_with_the_day_itself(due, at_five):
    went(due, 7)
    assert of(due).sent_lately == 0
    went(due, 6)
    today = went(due, 0)
    found = of(due)
    assert (found.sent_lately, found.sent_today) == (2, 1)
    # The mail that is about to go does not stand in its own way.
    assert of(due, but=today.pk).sent_today == 0


@pytest.mark.parametrize("state", ["cancelled", "expired"])
def test_what_was_not_sent_takes_no_place(due, at_five, state):
    went(due, 0, state=state)
    found = of(due)
    assert (found.sent_lately, found.sent_today) == (0, 0)


def test_what_the_coach_wrote_takes_the_day_and_none_of_the_three(due, coach, at_five):
    went(due, 0, kind="written")
    found = of(due)
    assert (found.sent_lately, found.sent_today) == (0, 1)
    went(due, 1, to=coach)
    went(due, 2, kind="pain_told")
    assert of(due).sent_lately == 0


@pytest.mark.parametrize(
    ("days", "tomorrow", "ahead"),
    [(0, False, False), (1, True, True), (7, False, True), (8, False, False), (-1, False, False)],
)
def test_a_lesson_of_the_next_seven_days_is_ahead(due, at_five, days, tomorrow, ahead):
    Student.objects.filter(pk=due.pk).update(next_lesson=DAY + timedelta(days=days))
    found = of(due)
    assert (found.lesson_tomorrow, found.lesson_ahead) == (tomorrow, ahead)


@pytest.mark.parametrize(
    ("day", "is_in"),
    [
        (OPENS - timedelta(days=1), False),
        (OPENS, True),
        (OPENS + timedelta(days=6), True),
        (OPENS + timedelta(days=7), False),
        (None, False),
    ],
)
def test_the_week_of_an_event_is_the_one_it_is_in(due, at_five, day, is_in):
    Student.objects.filter(pk=due.pk).update(next_event=day)
    assert of(due).event_week is is_in


@pytest.mark.parametrize(
    ("days", "sessions", "planned"),
    [([], 1, True), ([2], 1, True), ([3], 1, False), ([3], 2, True), ([1, 3], 2, False)],
)
def test_a_part_is_for_the_days_it_is_fixed_to_or_for_any(due, at_five, days, sessions, planned):
    Part.objects.update(days=days, sessions=sessions)
    assert of(due).planned is planned


def test_one_part_for_today_is_enough(due, at_five):
    drill = factories.make_drill(due.studio, "Of Sunday")
    factories.make_part(due.weeks.get(), drill, sessions=1, days=[6])
    assert of(due).planned


def asked(due, day, **rule) -> int:
    ReminderRule.objects.update(**rule)
    with CaptureQueriesContext(connection) as queries:
        of(due, day)
    return len(queries)


def test_the_outlook_is_asked_on_a_wednesday_and_where_it_is_wanted(due, at_five):
    """About fifteen questions, nine more for the outlook."""
    thursday = DAY + timedelta(days=1)
    usual = asked(due, thursday, midweek_offer=False)
    assert asked(due, thursday, midweek_offer=True) == usual
    assert asked(due, DAY, midweek_offer=False) == usual
    assert asked(due, DAY, midweek_offer=True) > usual
    assert of(due).pace is not None
    Part.objects.all().delete()
    assert of(due).pace is None


def keep(student, **part):
    ReminderRule.objects.update(midweek_offer=False)  # The outlook wants whole tallies.
    kept = {"part": str(Part.objects.get().pk), "sessions_left": 2, "stopped": False}
    WeekTally.objects.update_or_create(
        student=student, opens=OPENS, defaults={"parts": [{**kept, "removed": False, **part}]}
    )


@pytest.mark.parametrize(
    ("part", "left"),
    [({}, True), ({"sessions_left": 0}, False), ({"stopped": True}, False),
     ({"removed": True}, False)],
)  # fmt: skip
def test_what_is_done_or_stopped_is_not_left(due, at_five, part, left):
    keep(due, **part)
    found = of(due)
    assert (found.left, found.planned) == (left, left)


def test_the_offer_says_how_many_visits_are_left_of_the_part_with_most(due, at_five):
    keep(due, sessions_left=1)
    body = mail.build(plan.make(due.user, ReminderKind.MIDWEEK_OFFER, DAY, DUE, student=due)).body
    assert "1 visit is left this week" in body
    factories.make_part(due.weeks.get(), factories.make_drill(due.studio, "More"), sessions=5)
    body = mail.build(plan.make(due.user, ReminderKind.MIDWEEK_OFFER, DAY, DUE, student=due)).body
    assert "5 visits are left this week" in body


def test_a_draft_asks_nothing(due, at_five):
    due.weeks.update(state="draft")
    assert not of(due).left


def test_days_away_and_a_stop_are_known_while_they_last(due, at_five):
    assert not of(due).excused
    Excusal.objects.create(student=due, first=DAY, last=DAY)
    assert of(due).excused
    assert not of(due, DAY + timedelta(days=1)).excused
    stop = Stop.objects.create(student=due, since=DAY)
    assert of(due).hurting
    Stop.objects.filter(pk=stop.pk).update(cleared_at=DUE)
    assert not of(due).hurting


@pytest.mark.parametrize(
    ("kind", "counts", "days", "is_logged"),
    [("log", True, 0, True), ("change", True, 0, True), ("back", True, 0, False),
     ("log", False, 0, False), ("log", True, 1, False)],
)  # fmt: skip
def test_a_log_of_the_day_that_counts_is_enough(due, at_five, kind, counts, days, is_logged):
    Entry.objects.create(
        student=due, root=due.pk, day=DAY - timedelta(days=days), at=DUE, kind=kind, counts=counts,
        document={}, fingerprint="",
    )  # fmt: skip
    assert of(due).logged is is_logged


@pytest.mark.parametrize(("offset", "tomorrow"), [(2, False), (3, True), (4, False)])
def test_the_test_of_tomorrow_is_the_one_fixed_to_it(due, at_five, offset, tomorrow):
    nine = factories.make_drill(due.studio, "Nine balls", is_test=True)
    factories.make_part(due.weeks.get(), nine, sessions=1, days=[offset])
    other = factories.make_drill(due.studio, "Of Sunday", is_test=True)
    factories.make_part(due.weeks.get(), other, sessions=1, days=[6])
    assert of(due).test_tomorrow is tomorrow


def test_a_drill_of_tomorrow_is_no_test(due, at_five):
    Part.objects.update(days=[3])
    assert not of(due).test_tomorrow


def is_new(student) -> bool:
    return of(student).new_week


def test_a_week_is_new_for_three_days_after_it_was_sent(due, at_five):
    due.weeks.update(sent_at=DUE - timedelta(days=3))
    assert is_new(due)
    due.weeks.update(sent_at=DUE - timedelta(days=3, seconds=1))
    assert not is_new(due)


def test_a_week_that_is_over_is_not_new(due, at_five):
    due.weeks.update(sent_at=DUE, opens=DAY - timedelta(days=6))
    assert is_new(due)
    due.weeks.update(opens=DAY - timedelta(days=7))
    assert not is_new(due)


def test_a_draft_or_a_week_that_was_begun_is_not_new(due, at_five):
    due.weeks.update(sent_at=DUE)
    entry = Entry.objects.create(
        student=due, root=due.pk, day=OPENS, at=DUE, document={}, fingerprint=""
    )
    part = Part.objects.get()
    result = Result.objects.create(
        entry=entry, student=due, opens=OPENS, drill=part.drill, part=part
    )
    assert not is_new(due)
    result.delete()
    assert is_new(due)
    due.weeks.update(state="draft")
    assert not is_new(due)


@pytest.mark.parametrize(
    ("state", "still_new"),
    [("sent", False), ("unknown", False), ("failed", False), ("cancelled", True),
     ("expired", True)],
)  # fmt: skip
def test_whom_a_mail_told_of_it_the_week_is_new_no_more(due, coach, at_five, state, still_new):
    week = due.weeks.get()
    due.weeks.update(sent_at=DUE)
    went(due, 1, kind="new_week", to=coach, about=str(week.pk))
    went(due, 2, kind="new_week", about="another")
    assert is_new(due)
    went(due, 1, kind="new_week", state=state, about=str(week.pk))
    assert is_new(due) is still_new


def test_that_calls_stop_is_said_once_since_the_last_choice(due, at_five):
    rule = ReminderRule.objects.select_related("student__user").get(student=due)
    told = went(due, 3, kind="calls_stop")
    Notice.objects.update(planned_at=DUE - timedelta(days=3))
    assert facts._stop_told(rule, rule.student.user, None)
    assert not facts._stop_told(rule, rule.student.user, told.pk)
    rule.calls_since = DUE - timedelta(days=3)
    assert facts._stop_told(rule, rule.student.user, None)
    rule.calls_since = DUE - timedelta(days=2)
    assert not facts._stop_told(rule, rule.student.user, None)


def test_pain_is_told_to_those_who_care_for_the_student_alone(coach, at_five):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid")
    stranger = factories.make_coach(name="Elsewhere")
    reads = {who: facts.reads_pain_of(who, child, DUE) for who in (coach, guardian, stranger)}
    assert reads == {coach: True, guardian: True, stranger: False}


def test_who_has_no_way_in_any_more_is_told_nothing(coach, at_five):
    student = due_student(coach, "Ann Gone")
    assert facts.readers_of(student) == [student.user]
    student.user.is_active = False
    assert facts.readers_of(student) == []
    assert facts.readers_of(factories.make_student(coach, "Bo", with_user=False)) == []


def test_guardians_are_told_beside_a_child_and_not_beside_an_adult(coach, at_five):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid")
    assert facts.readers_of(child) == [child.user]
    assert facts.also_told(child) == [guardian]
    assert facts.told_of(child) == [child.user, guardian]
    without = factories.make_child(coach, guardian, name="Kit Kid", with_user=False)
    assert facts.readers_of(without) == [guardian]
    assert facts.also_told(without) == []
    without.guardianships.update(consents_to_messages=False)
    assert facts.readers_of(without) == []
    assert facts.also_told(factories.make_student(coach, "Ann")) == []


def test_no_mail_of_the_demo_leaves_by_a_real_server(due, settings):
    assert facts.may_write(due)
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    assert facts.may_write(due)
    due.studio.is_demo = True
    assert not facts.may_write(due)
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    assert facts.may_write(due)
