"""A week that is changed after its student knew of it: told once, with what is different."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from django.core import mail
from django.urls import reverse

from coaching.reminders import plan
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice, ReminderRule, Silence
from coaching.reminders.written import _change_words, _known_since, untold
from practice.care.models import Stop
from practice.flows.set_week import amend_week
from practice.flows.take_back_week import as_it_is, take_back_change
from practice.weeks.models import Part, Week
from practice.weeks.queries import specs_of
from shared.outbox.send import send_due
from tests import factories
from tests.conftest import signed_in
from tests.log.entries import Phone
from tests.reminders.conftest import DUE

pytestmark = pytest.mark.django_db
MORNING = datetime(2031, 2, 26, 9, tzinfo=UTC)
DAY = timedelta(days=1)


@pytest.fixture
def week(due, at_five):
    """Sent and opened on the phone; no other mail goes."""
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    Phone(due).week()
    at_five.move_to(MORNING)
    week = Week.objects.get(student=due)
    Part.objects.update(added_at=week.sent_at)
    return week


def run():
    plan.tick()
    send_due()


def changed(week, coach, **fields):
    """The first part is asked otherwise, as a coach does on the page."""
    week.refresh_from_db()
    first, *rest = specs_of(week)
    return amend_week(week=week, specs=[replace(first, **fields), *rest], by=coach)


def test_it_goes_once_at_the_students_hour_and_says_what_changed(week, coach, at_five):
    changed(week, coach, sessions=1)
    run()
    assert mail.outbox == []
    at_five.move_to(DUE)
    run()
    (sent,) = mail.outbox
    assert sent.subject == "A changed week from your coach"
    assert "The week of Mon 24 Feb was changed. Wall-back turns: one visit, not three" in sent.body
    assert "/open/" in sent.body
    at_five.move_to(DUE + DAY)
    run()
    assert len(mail.outbox) == 1


def test_several_changes_of_a_day_are_one_mail(week, coach, at_five):
    changed(week, coach, sessions=2)
    at_five.shift(timedelta(minutes=5))
    new = factories.make_drill(week.student.studio, "Slow ladder")
    (spec,) = specs_of(week)
    amend_week(week=week, specs=[spec, replace(spec, id=None, drill=new.pk)], by=coach)
    at_five.move_to(DUE)
    run()
    (sent,) = mail.outbox
    assert "Wall-back turns: two visits, not three." in sent.body
    assert "Slow ladder is new: 12 minutes each time, two visits." in sent.body


def test_a_second_change_is_told_by_what_is_new_since_the_first(week, coach, at_five):
    changed(week, coach, sessions=2)
    at_five.move_to(DUE)
    run()
    at_five.move_to(MORNING + DAY)
    changed(week, coach, minutes=20)
    at_five.move_to(DUE + DAY)
    run()
    first, second = mail.outbox
    assert "two visits" in first.body
    assert "takes 20 minutes each time now." in second.body
    assert "visits" not in second.body


def test_what_the_student_has_opened_is_not_mailed(week, coach, due, at_five):
    changed(week, coach, sessions=1)
    Phone(due).week()
    at_five.move_to(DUE)
    run()
    assert mail.outbox == []


def test_changed_and_changed_back_is_nothing_to_tell(week, coach, due):
    was = [part.sessions for part in Part.objects.filter(week=week)]
    changed(week, coach, sessions=1)
    assert [item.what for item in untold(due, due.user)] == ["change"]
    changed(week, coach, sessions=was[0])
    assert untold(due, due.user) == []


def test_a_change_that_is_taken_back_is_not_told(week, coach, due, at_five):
    before = as_it_is(week)
    changed(week, coach, sessions=1)
    take_back_change(week_id=week.pk, was=before)
    at_five.move_to(DUE)
    run()
    assert mail.outbox == []
    changed(week, coach, sessions=2)
    at_five.move_to(DUE + timedelta(hours=1))
    run()
    assert len(mail.outbox) == 1


def test_who_was_told_by_mail_is_named_when_it_is_taken_back(week, coach, due, at_five):
    before = as_it_is(week)
    changed(week, coach, sessions=1)
    at_five.move_to(DUE)
    run()
    _, told = take_back_change(week_id=week.pk, was=before)
    assert told == [str(due.user)]


def test_a_week_nobody_knows_of_yet_is_told_as_new_alone(coach, at_five):
    at_five.move_to(MORNING)
    student = factories.make_student(coach, "Nell New")
    week = factories.make_week(student, sent_at=MORNING)
    factories.make_part(week, factories.make_drill(student.studio, "Wall-back turns"))
    changed(week, coach, sessions=1)
    assert untold(student, student.user) == []
    ReminderRule.objects.update(next_due_utc=MORNING)
    run()
    (sent,) = mail.outbox
    assert sent.subject == "Your new week is here"
    assert "was changed" not in sent.body
    at_five.move_to(DUE + DAY)
    run()
    assert len([each for each in mail.outbox if "was changed" in each.body]) == 0


def test_neither_pain_nor_days_away_hold_it_back(week, coach, due, at_five):
    """A coach who takes work out because it hurts wants the student to know."""
    Stop.objects.create(student=due, drill=None, since=DUE.date())
    changed(week, coach, sessions=1)
    at_five.move_to(DUE)
    run()
    assert len(mail.outbox) == 1


def test_in_the_night_it_waits_and_one_mail_a_day_is_all(week, coach, at_five):
    at_five.move_to(DUE)
    changed(week, coach, sessions=2)
    run()
    assert len(mail.outbox) == 1
    at_five.move_to(DUE + timedelta(hours=2))
    changed(week, coach, sessions=1)
    run()
    at_five.move_to(DUE + timedelta(hours=6))
    run()
    assert len(mail.outbox) == 1
    at_five.move_to(DUE + DAY)
    run()
    assert len(mail.outbox) == 2


def test_the_coach_reads_that_it_waits_and_what_became_of_it(week, coach, due, at_five):
    changed(week, coach, sessions=1)
    at = reverse("reminders:sent", args=[due.pk])
    assert "A changed week" in signed_in(coach).get(at).content.decode()
    assert "Goes today at 17:00" in signed_in(coach).get(at).content.decode()
    at_five.move_to(DUE)
    run()
    assert "Sent " in signed_in(coach).get(at).content.decode()
    assert Notice.objects.get().told.get().what == "change"
    page = signed_in(coach).get(reverse("plans:set_week", args=[due.pk, week.opens]))
    assert at in page.content.decode()


def test_who_stopped_the_mails_is_told_nothing_and_the_coach_reads_why(week, coach, due, at_five):
    changed(week, coach, sessions=1)
    other = factories.make_student(coach, "Other")
    Silence.objects.create(student=other, user=due.user)
    at = reverse("reminders:sent", args=[due.pk])
    assert "Goes today at 17:00" in signed_in(coach).get(at).content.decode()
    Silence.objects.create(student=due, user=due.user)
    page = signed_in(coach).get(at).content.decode()
    assert "Not sent: stopped by the reader" in page
    assert "Goes today at 17:00" not in page


def test_each_pain_and_each_answer_has_a_mail_of_its_own_and_all_else_one_a_day(coach, due):
    def keys(kind):
        made = (plan.make(coach, kind, DUE.date(), DUE, student=due, about=it) for it in "ab")
        return {notice.key for notice in made}

    own = {kind for kind in ReminderKind if len(keys(kind)) == 2}
    assert own == {ReminderKind.PAIN_TOLD, ReminderKind.ANSWER}


def test_five_changes_are_said_and_that_there_are_more():
    five = [f"Part {n}." for n in range(5)]
    said = _change_words(date(2031, 2, 24), five)
    assert said == f"The week of Mon 24 Feb was changed. {' '.join(five)}"
    more = _change_words(date(2031, 2, 24), [*five, "Part 5."])
    assert more == f"{said} The week says the rest."


@pytest.mark.parametrize("state", ["sent", "unknown"])
def test_whom_a_mail_told_of_the_week_knows_it_from_then_on(week, due, state, at_five):
    week.refresh_from_db()
    Week.objects.update(given_revision=None)
    week.given_revision = None
    assert _known_since(week, due.user, None) is None
    notice = plan.make(
        due.user, ReminderKind.NEW_WEEK, DUE.date(), DUE, student=due, about=str(week.pk)
    )
    notice.state, notice.ended_at = state, week.sent_at + DAY
    notice.save()
    assert _known_since(week, due.user, None) == week.sent_at + DAY
    assert _known_since(week, due.user, notice.pk) is None
    week.given_revision = 1
    assert _known_since(week, due.user, notice.pk) == week.sent_at
