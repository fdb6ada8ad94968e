"""From a rule to a notice: once, whatever happens to clocks, zones and tickers."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
import time_machine
from django.db import IntegrityError, transaction

from coaching.reminders import plan, services
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import EveningRule, Notice, ReminderRule, SummaryRule
from practice.flows.stop import note_pain
from practice.log.models import Entry
from practice.log.services import write_line
from practice.weeks.models import Excusal
from shared.jobs.models import Retry
from shared.jobs.sweep import last_ended
from shared.people.models import Studio, User
from shared.people.services import end_membership, move_zone, student_left, student_returned
from tests import factories
from tests.messages.test_words import note
from tests.reminders.conftest import DUE, due_student, give_week

pytestmark = pytest.mark.django_db


def kinds():
    return sorted(Notice.objects.values_list("kind", "state", "local_day"))


CALL = ("practice_call", "due", date(2031, 2, 26))


def test_a_due_rule_becomes_one_notice_and_moves_on(due, at_five):
    assert plan.tick() == 1
    assert kinds() == [CALL]
    rule = ReminderRule.objects.get(student=due)
    assert rule.next_due_utc == datetime(2031, 2, 27, 17, tzinfo=UTC)
    assert plan.tick() == 0
    assert last_ended(plan.RULES)


def test_a_second_ticker_with_the_same_rule_in_hand_adds_nothing(due, at_five):
    seen_by_both = ReminderRule.objects.select_related("student__studio", "student__user").get(
        student=due
    )
    assert plan.plan_rule(seen_by_both, DUE) == 1
    assert plan.plan_rule(seen_by_both, DUE) == 0
    assert kinds() == [CALL]


def test_the_database_refuses_a_second_reminder_of_a_day(due, at_five):
    plan.tick()
    other = plan.make(due.user, ReminderKind.NEW_WEEK, date(2031, 2, 26), DUE, student=due)
    with pytest.raises(IntegrityError), transaction.atomic():
        other.save(force_insert=True)


def test_the_database_refuses_a_second_summary_of_a_day(coach):
    """By its key alone: a coach's own is about no student."""
    of_a_day = (coach, ReminderKind.COACH_MONDAY, date(2031, 2, 24), DUE)
    plan.make(*of_a_day).save(force_insert=True)
    with pytest.raises(IntegrityError), transaction.atomic():
        plan.make(*of_a_day).save(force_insert=True)


def test_a_rule_looked_at_before_it_is_due_stays_and_adds_nothing(due, at_five):
    rule = ReminderRule.objects.select_related("student__studio", "student__user").get(student=due)
    then = rule.next_due_utc
    assert plan.plan_rule(rule, then - timedelta(minutes=1)) == 0
    rule.refresh_from_db()
    assert rule.next_due_utc == then
    assert kinds() == []


def test_not_before_its_time(due, at_five):
    at_five.move_to(DUE - timedelta(minutes=1))
    assert plan.tick() == 0


@pytest.mark.parametrize("back", [timedelta(seconds=90), timedelta(hours=1), timedelta(days=1)])
def test_a_clock_set_back_sends_nothing_twice(due, at_five, back):
    plan.tick()
    Notice.objects.update(state=Notice.State.SENT)
    at_five.move_to(DUE - back)
    planned = 1
    # Often in the hours about the one it goes at, of either day.
    for minutes in (*range(0, 120, 10), *range(120, 60 * 23, 60), *range(60 * 23, 60 * 26, 10)):
        at_five.move_to(DUE - back + timedelta(minutes=minutes))
        planned += plan.tick()
    # None was left to the database to refuse.
    assert planned == Notice.objects.count()
    days = [day for kind, _, day in kinds() if kind == "practice_call"]
    assert len(days) == len(set(days))
    assert date(2031, 2, 26) in days


@pytest.mark.parametrize("ahead", [timedelta(hours=1), timedelta(days=1), timedelta(days=365)])
def test_a_clock_set_forward_sends_at_most_that_days(due, at_five, ahead):
    at_five.move_to(DUE + ahead)
    plan.tick()
    assert len([1 for _, state, _ in kinds() if state == "due"]) <= 1


@pytest.mark.parametrize("ahead", [timedelta(hours=5), timedelta(days=1), timedelta(days=365)])
def test_a_clock_that_ran_ahead_and_was_put_right_loses_no_day_and_doubles_none(
    due, at_five, ahead
):
    at_five.move_to(DUE + ahead)
    plan.tick()
    Notice.objects.filter(state=Notice.State.DUE).update(state=Notice.State.SENT)
    for hours in (0, 24, 48):
        at_five.move_to(DUE + timedelta(hours=hours, minutes=1))
        plan.tick()
        Notice.objects.filter(state=Notice.State.DUE).update(state=Notice.State.SENT)
    sent = [day for kind, state, day in kinds() if (kind, state) == ("practice_call", "sent")]
    assert len(sent) == len(set(sent))
    assert {date(2031, 2, 26), date(2031, 2, 27)} <= set(sent)


def test_a_clock_put_right_after_a_year_ahead_goes_on_at_once(due, at_five):
    at_five.move_to(DUE + timedelta(days=365))
    plan.tick()
    at_five.move_to(DUE + timedelta(minutes=1))
    plan.tick()
    at_five.move_to(DUE + timedelta(days=1))
    plan.tick()
    assert ("practice_call", "due", date(2031, 2, 27)) in kinds()


def test_after_26_hours_down_todays_is_planned_and_yesterdays_written_off(due, at_five):
    at_five.move_to(DUE + timedelta(hours=26))
    plan.tick()
    assert kinds() == [
        ("practice_call", "due", date(2031, 2, 27)),
        ("practice_call", "expired", date(2031, 2, 26)),
    ]


def test_at_nine_the_day_is_over_and_written_off(due, at_five):
    at_five.move_to(DUE.replace(hour=21, second=0))
    plan.tick()
    assert kinds() == [("practice_call", "expired", date(2031, 2, 26))]


@pytest.mark.parametrize(("behind", "stays"), [(60, True), (61, False)])
def test_clocks_of_two_machines_may_differ_by_a_minute(due, at_five, behind, stays):
    """More is a clock that ran ahead, and what it took for missed was not."""
    at_five.move_to(DUE + timedelta(hours=26))
    plan.tick()
    at_five.move_to(DUE + timedelta(hours=26, seconds=-behind))
    plan.tick()
    assert (("practice_call", "expired", date(2031, 2, 26)) in kinds()) is stays


def test_a_zone_changed_after_the_call_gives_no_second_one_that_day(due, at_five):
    plan.tick()
    Notice.objects.update(state=Notice.State.SENT)
    move_zone(user=due.user, time_zone="America/New_York")
    plan.tick()
    due.reminder_rule.refresh_from_db()
    assert due.reminder_rule.next_due_utc == datetime(2031, 2, 26, 22, tzinfo=UTC)
    at_five.move_to(datetime(2031, 2, 26, 22, 1, tzinfo=UTC))
    plan.tick()
    assert [day for _, _, day in kinds()] == [date(2031, 2, 26)]


def test_a_zone_changed_to_the_east_past_the_hour_sends_that_day(due, at_five):
    """18:00 in Tokyo: the hour of that day is over, the day is not."""
    at_five.move_to(datetime(2031, 2, 26, 9, tzinfo=UTC))
    move_zone(user=due.user, time_zone="Asia/Tokyo")
    assert plan.tick() == 1
    assert kinds() == [CALL]
    due.reminder_rule.refresh_from_db()
    assert due.reminder_rule.next_due_utc == datetime(2031, 2, 27, 8, tzinfo=UTC)


def test_a_zone_changed_to_the_east_in_quiet_hours_waits_for_tomorrow(due, at_five):
    at_five.move_to(datetime(2031, 2, 26, 12, 30, tzinfo=UTC))
    move_zone(user=due.user, time_zone="Asia/Tokyo")
    assert plan.tick() == 0


def test_who_left_and_came_back_is_reminded_again(due, at_five):
    student_left(student=due)
    assert plan.tick() == 0
    assert ReminderRule.objects.get(student=due).next_due_utc is None
    student_returned(student=due)
    assert plan.tick() == 1


def test_a_save_while_the_call_waits_for_the_tick_does_not_lose_it(due, at_five):
    due.save()
    services.change_rule(
        student=due, at=time(17), weekdays=range(7), kinds=[ReminderKind.PRACTICE_CALL]
    )
    assert plan.tick() == 1


def test_three_a_week_and_no_more(due, at_five):
    for days in range(7):
        at_five.move_to(DUE + timedelta(days=days))
        give_week(due, opens=date(2031, 3, 3)) if days == 5 else None
        plan.tick()
        Notice.objects.filter(state="due").update(state=Notice.State.SENT)
    assert Notice.objects.filter(student=due).count() == 3


def test_what_stops_a_call_stops_it(due, at_five):
    Excusal.objects.create(student=due, first=date(2031, 2, 25), last=date(2031, 2, 27))
    assert plan.tick() == 0


def test_one_that_cannot_be_planned_stops_no_other(coach, due, at_five, monkeypatch):
    second = due_student(coach, "Alex Other")
    usual = plan.facts.readers_of

    def readers_of(student):
        if student.pk == due.pk:
            raise RuntimeError("poison")
        return usual(student)

    monkeypatch.setattr(plan.facts, "readers_of", readers_of)
    plan.tick()
    assert [notice.student_id for notice in Notice.objects.all()] == [second.pk]
    retry = Retry.objects.get(sweep=plan.RULES)
    assert (retry.row, retry.why) == (str(due.reminder_rule.pk), "RuntimeError: poison")
    monkeypatch.setattr(plan.facts, "readers_of", usual)
    assert plan.tick() == 0
    at_five.move_to(DUE + timedelta(minutes=3))
    assert plan.tick() == 1
    assert not Retry.objects.exists()


def test_nothing_goes_out_while_one_guardian_has_not_agreed(coach, at_five):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid", with_user=False)
    silent = factories.make_user("Other guardian")
    factories.Guardianship.objects.create(
        student=child,
        user=silent,
        consent_text_version=1,
        consents_to_record=True,
        consented_at=DUE,
    )
    give_week(child)
    plan.tick()
    assert not Notice.objects.exists()  # One of two has not agreed.


def test_a_minors_reminder_goes_to_every_guardian(coach, at_five):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid", with_user=False)
    give_week(child)
    plan.tick()
    assert [notice.recipient for notice in Notice.objects.all()] == [guardian]


def test_a_new_week_is_told_of_at_once_and_once(coach, at_five):
    at_five.move_to(datetime(2031, 2, 26, 10, tzinfo=UTC))
    student = factories.make_student(coach, "Sam")
    week = factories.make_week(student, sent_at=datetime(2031, 2, 26, 10, tzinfo=UTC))
    factories.make_part(week, factories.make_drill(student.studio))
    plan.tick()
    assert kinds() == [("new_week", "due", date(2031, 2, 26))]
    Notice.objects.update(state=Notice.State.SENT)
    at_five.move_to(datetime(2031, 2, 27, 17, 1, tzinfo=UTC))
    plan.tick()
    assert ("new_week", "due", date(2031, 2, 27)) not in kinds()


def test_a_week_sent_at_night_waits_for_the_students_hour(coach, at_five):
    at_five.move_to(datetime(2031, 2, 25, 22, tzinfo=UTC))
    student = factories.make_student(coach, "Sam")
    week = factories.make_week(student, sent_at=datetime(2031, 2, 25, 22, tzinfo=UTC))
    factories.make_part(week, factories.make_drill(student.studio))
    assert plan.tick() == 0
    at_five.move_to(DUE)
    plan.tick()
    assert kinds() == [("new_week", "due", date(2031, 2, 26))]


def pain(student, *, level=6, writer=None, signs=()):
    entry = Entry.objects.create(
        student=student,
        writer=writer or student.user,
        root=factories.make_user().pk,
        day=date(2031, 2, 26),
        at=DUE,
        document={},
        fingerprint="",
    )
    return note_pain(entry=entry, level=level, signs=signs)


def test_serious_pain_is_told_to_the_coach_at_once(coach, due, at_five):
    at_five.move_to(datetime(2031, 2, 26, 23, tzinfo=UTC))
    pain(due, level=3)
    assert kinds() == []
    pain(due, level=4)
    assert [notice.recipient for notice in Notice.objects.all()] == [coach]


def test_of_a_minor_the_guardians_are_told_too_but_not_the_one_who_wrote(coach, at_five):
    wrote, other = factories.make_user("One"), factories.make_user("Two")
    child = factories.make_child(coach, wrote, name="Kim Kid", with_user=False)
    factories.Guardianship.objects.create(
        student=child, user=other, consent_text_version=1, consents_to_record=True, consented_at=DUE
    )
    pain(child, writer=wrote, level=1, signs=["numb"])
    assert {notice.recipient for notice in Notice.objects.all()} == {coach, other}


def test_the_coach_gets_the_summary_on_the_first_morning_of_the_week(coach, at_five):
    at_five.move_to(datetime(2031, 3, 2, 12, tzinfo=UTC))
    plan.tick()
    assert not Notice.objects.filter(kind="coach_monday").exists()
    at_five.move_to(datetime(2031, 3, 3, 7, 1, tzinfo=UTC))
    plan.tick()
    plan.tick()
    assert kinds() == [("coach_monday", "due", date(2031, 3, 3))]


def test_no_summary_for_who_does_not_want_it(coach, at_five):
    services.change_summary(user=coach, on=False)
    at_five.move_to(datetime(2031, 3, 3, 7, 1, tzinfo=UTC))
    plan.tick()
    assert kinds() == []


def looked_at(due, *, ahead: timedelta) -> bool:
    """Whether the tick looked at a rule that is due so far ahead: then it is due on another day."""
    then = DUE + ahead
    ReminderRule.objects.update(next_due_utc=then)
    plan.tick()
    return ReminderRule.objects.get(student=due).next_due_utc != then


def test_what_is_due_further_ahead_than_any_day_is_looked_at(due, at_five):
    """A clock was set back since; by three days nothing of ours is ever ahead."""
    plan.tick()
    assert not looked_at(due, ahead=timedelta(days=3))
    assert looked_at(due, ahead=timedelta(days=3, seconds=1))


@pytest.mark.parametrize(("days", "stays"), [(400, True), (401, False)])
def test_what_was_sent_is_kept_for_400_days(due, at_five, days, stays):
    old = plan.make(due.user, ReminderKind.NEW_WEEK, DUE.date(), DUE, student=due)
    old.state, old.planned_at = "sent", DUE - timedelta(days=days)
    old.save()
    plan.tick()
    assert Notice.objects.filter(pk=old.pk).exists() is stays


def test_whoever_has_no_rule_is_found_within_an_hour(due, at_five):
    plan.tick()
    ReminderRule.objects.all().delete()
    at_five.shift(timedelta(minutes=59))
    plan.tick()
    assert not ReminderRule.objects.exists()
    at_five.shift(timedelta(minutes=1))
    plan.tick()
    assert ReminderRule.objects.exists()


def test_one_kind_of_each_day_and_reader_has_a_key_and_a_message_of_its_own(due, coach):
    one = plan.make(due.user, ReminderKind.ANSWER, DUE.date(), DUE, student=due, about="a")
    two = plan.make(due.user, ReminderKind.ANSWER, DUE.date(), DUE, student=due, about="b")
    assert one.key != two.key
    assert one.message_id != two.message_id
    week = [
        plan.make(due.user, ReminderKind.NEW_WEEK, DUE.date(), DUE, student=due, about=about)
        for about in "ab"
    ]
    assert week[0].key == week[1].key


def test_an_answer_and_a_new_week_are_about_what_they_tell_of(coach, at_five):
    student = factories.make_student(coach, "Sam")
    week = factories.make_week(student, sent_at=DUE)
    factories.make_part(week, factories.make_drill(student.studio))
    plan.tick()
    assert Notice.objects.get(kind="new_week").about == str(week.pk)
    Notice.objects.update(state="sent")
    about = note(student, "Which foot?")
    write_line(student=student, author=coach, text="Well.")
    answer = write_line(student=student, author=coach, text="The left.", about=about)
    plan.tick()
    assert Notice.objects.get(kind="answer").about == str(answer.pk)


def test_a_notice_ends_with_the_students_day(due, at_five):
    move_zone(user=due.user, time_zone="Europe/Berlin")
    plan.tick()
    notice = Notice.objects.get()
    assert notice.expires_at == datetime(2031, 2, 26, 20, tzinfo=UTC)


def test_pain_is_told_for_two_days_and_only_while_one_reads_of_it(coach, due, at_five, settings):
    pain(due, level=8)
    notice = Notice.objects.get()
    assert notice.expires_at == DUE + timedelta(days=2)
    assert plan.objection(notice, DUE) == ""
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    assert plan.objection(notice, DUE) == ""
    notice.student.studio.is_demo = True
    assert plan.objection(notice, DUE) == "no access any more"
    notice.student.studio.is_demo = False
    notice.recipient = factories.make_coach(name="Elsewhere")
    assert plan.objection(notice, DUE) == "no access any more"
    student_left(student=due)
    notice.student.refresh_from_db()
    assert plan.objection(notice, DUE) == "the student has left"


def test_of_pain_the_coach_who_wrote_it_is_told_nothing(coach, due, at_five):
    pain(due, level=8, writer=coach)
    assert not Notice.objects.exists()


def test_no_mail_goes_at_night_whatever_it_is(due, at_five):
    plan.tick()
    notice = Notice.objects.get()
    assert plan.objection(notice, DUE) == ""
    assert plan.objection(notice, DUE.replace(hour=21)) == "quiet hours"


def test_a_mail_to_somebody_who_is_no_reader_any_more_is_not_sent(due, coach, at_five):
    plan.tick()
    notice = Notice.objects.get()
    notice.recipient = coach
    assert plan.objection(notice, DUE) == "no access any more"


def test_what_the_coach_wrote_goes_to_a_guardian_beside_the_child_and_no_call_does(coach, at_five):
    guardian = factories.make_user("Guardian")
    child = due_student(coach, "Kim Kid", born_year=2018)
    factories.make_guardian_of(child, guardian)
    for kind, said in (("written", "read already, or told of"), ("practice_call", "no access")):
        notice = plan.make(guardian, ReminderKind(kind), DUE.date(), DUE, student=child)
        assert plan.objection(notice, DUE).startswith(said)


def test_a_summary_that_is_off_or_of_who_teaches_no_more_is_not_sent(coach, at_five):
    monday = plan.make(coach, ReminderKind.COACH_MONDAY, DUE.date(), DUE)
    evening = plan.make(coach, ReminderKind.COACH_EVENING, DUE.date(), DUE)
    services.ensure_summary(coach)
    services.change_evening(user=coach, on=True)
    assert [plan.objection(each, DUE) for each in (monday, evening)] == ["", ""]
    services.change_summary(user=coach, on=False)
    assert plan.objection(monday, DUE) == "summary is off"
    services.change_summary(user=coach, on=True)
    end_membership(membership=coach.memberships.get())
    monday.recipient = evening.recipient = User.objects.get(pk=coach.pk)
    assert plan.objection(monday, DUE) == "summary is off"
    assert plan.objection(evening, DUE) == "it is off"


def test_an_evening_rule_of_who_teaches_no_more_rests(coach, at_five):
    services.change_evening(user=coach, on=True)
    end_membership(membership=coach.memberships.get())
    at_five.move_to(DUE.replace(hour=19, minute=1))
    plan.tick()
    assert EveningRule.objects.get().next_due_utc is None


def test_the_summary_follows_the_studios_week_and_is_planned_for_that_morning(coach, at_five):
    Studio.objects.update(first_weekday=3)
    plan.tick()
    at_five.move_to(datetime(2031, 2, 27, 7, 1, tzinfo=UTC))
    plan.tick()
    notice = Notice.objects.get()
    assert (notice.kind, notice.local_day) == ("coach_monday", date(2031, 2, 27))
    assert notice.expires_at == datetime(2031, 2, 27, 21, tzinfo=UTC)
    assert SummaryRule.objects.get().next_due_utc == datetime(2031, 2, 28, 7, tzinfo=UTC)


def test_what_is_due_and_waits_stays_due_when_another_hour_is_chosen(due, at_five):
    rule = services.change_rule(student=due, at=time(18), weekdays=range(7), kinds=[])
    assert not rule.follows_practice
    assert not rule.by_chance
    assert ReminderRule.objects.get().next_due_utc == DUE.replace(second=0)
    plan.tick()
    services.change_rule(student=due, at=time(9), weekdays=range(7), kinds=[])
    assert ReminderRule.objects.get().next_due_utc == datetime(2031, 2, 27, 9, tzinfo=UTC)


def test_a_late_day_is_written_off_without_a_throw_of_the_dice(due, at_five, monkeypatch):
    ReminderRule.objects.update(by_chance=True)
    monkeypatch.setattr(plan.chance._dice, "random", lambda: 0.9)
    at_five.move_to(DUE + timedelta(hours=14))  # The next morning.
    plan.tick()
    late = Notice.objects.get()
    assert (late.state, late.drawn, late.why) == ("expired", None, plan.TOO_LATE)
    assert late.ended_at == DUE + timedelta(hours=14)


def test_whoever_was_written_in_bulk_is_adopted(coach, due, at_five):
    ReminderRule.objects.all().delete()
    SummaryRule.objects.all().delete()
    plan.tick()
    assert ReminderRule.objects.filter(student=due).exists()
    assert SummaryRule.objects.filter(user=coach).exists()


@pytest.mark.parametrize("others", [1, 20])
def test_a_tick_with_nothing_due_costs_the_same_however_many_students(
    coach, others, django_assert_num_queries
):
    with time_machine.travel(DUE - timedelta(hours=2), tick=False):
        for _ in range(others):
            factories.make_student(coach)
        plan.tick()
        # The clock; what was heard; hourly; then of each kind of rule: the sweep, who waits after
        # an error, what is due (two questions, each by its index), and that it came to its end.
        with django_assert_num_queries(3 + 3 * 5):
            plan.tick()
