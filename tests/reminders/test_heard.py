"""Whatever is written that may be told, by whom and however: the next tick looks."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection, models

from coaching.records import erase
from coaching.reminders import plan, watch
from coaching.reminders.models import EveningRule, Heard, Notice, ReminderRule, SummaryRule
from coaching.reminders.services import take_heard
from coaching.reports.models import Report
from practice.clips.models import Clip
from practice.log.models import Line
from practice.weeks.models import Week
from shared.people.management.commands import migrate
from shared.people.models import Guardianship, Membership, Student, User
from shared.site import triggers
from tests import factories
from tests.reminders.conftest import DUE

pytestmark = pytest.mark.django_db
MORNING = datetime(2031, 2, 26, 9, tzinfo=UTC)
NIGHT = datetime(2031, 2, 26, 23, tzinfo=UTC)


def heard() -> set:
    """Of whom something was written since this was asked last."""
    who = set(Heard.objects.values_list("who", flat=True))
    Heard.objects.all().delete()
    return who


@pytest.fixture
def student(coach):
    found = factories.make_student(coach, "Sam")
    Heard.objects.all().delete()
    return found


def test_every_trigger_is_there(db):
    """`migrate` put them up; without one of them somebody would not be told in time."""
    assert watch.TRIGGERS.is_up(connection)


@pytest.mark.parametrize(
    "write",
    [
        lambda s, coach: Line.objects.bulk_create([Line(student=s, author=coach, text="Well.")]),
        lambda s, coach: Clip.objects.bulk_create(
            [Clip(student=s, author=coach, kind="video/mp4", size=1, expires_on=DUE)]
        ),
        lambda s, coach: Report.objects.bulk_create(
            [Report(student=s, by=coach, first=DUE, last=DUE, words="Well.", sent_at=DUE)]
        ),
        lambda s, coach: Student.objects.filter(pk=s.pk).update(time_zone="Asia/Tokyo"),
        lambda s, coach: Student.objects.filter(pk=s.pk).update(left_on=DUE),
        lambda s, coach: Student.objects.filter(pk=s.pk).update(awaits_second_adult=True),
    ],
)  # fmt: skip
def test_rows_written_in_bulk_are_heard(coach, student, write):
    write(student, coach)
    assert heard() == {student.pk}


def test_a_sent_report_is_heard_and_a_draft_is_not(coach, student):
    report = Report.objects.create(student=student, by=coach, first=DUE, last=DUE, words="Well.")
    assert heard() == set()
    Report.objects.filter(pk=report.pk).update(words="Better.")
    assert heard() == set()
    Report.objects.filter(pk=report.pk).update(sent_at=DUE)
    assert heard() == {student.pk}


def test_a_week_is_heard_when_it_is_sent_and_when_it_is_changed(student):
    week = factories.make_week(student, sent=False)
    assert heard() == set()
    weeks = Week.objects.filter(pk=week.pk)
    weeks.update(state=Week.State.SENT, sent_at=DUE, published_on=DUE)
    assert heard() == {student.pk}
    weeks.update(amended_at=DUE)
    assert heard() == {student.pk}
    # That a phone has it is no reason to look.
    weeks.update(given_revision=1)
    assert heard() == set()


def test_a_new_student_and_a_guardian_s_answer_are_heard(coach):
    child = factories.make_child(coach)
    assert child.pk in heard()
    ties = Guardianship.objects.filter(student=child)
    for field in ("withdrawn_at", "consented_at", "ended_at"):
        ties.update(**{field: DUE})
        assert heard() == {child.pk}


def test_of_somebody_who_teaches_the_clock_and_the_place_are_heard(coach):
    heard()
    User.objects.filter(pk=coach.pk).update(time_zone="Asia/Tokyo")
    assert heard() == {coach.pk}
    places = Membership.objects.filter(user=coach)
    places.update(ended_at=DUE)
    assert heard() == {coach.pk}
    places.update(role=Membership.Role.OWNER)
    assert heard() == {coach.pk}
    User.objects.get(pk=coach.pk).save()
    places.update(role=Membership.Role.OWNER, ended_at=DUE)
    assert heard() == set()
    factories.make_coach(factories.studio_of(coach))
    assert heard() - {coach.pk}


def test_put_up_again_everybody_is_looked_at(coach, student):
    triggers.put_up(connection)
    assert heard() == set()
    with connection.cursor() as cursor:
        name = "heard_log_line" + ("" if connection.vendor == "postgresql" else "_insert")
        on = " ON log_line" if connection.vendor == "postgresql" else ""
        cursor.execute(f"DROP TRIGGER {name}{on}")
    assert not watch.TRIGGERS.is_up(connection)
    triggers.put_up(connection)
    assert watch.TRIGGERS.is_up(connection)
    assert {student.pk, coach.pk} <= heard()


def test_one_of_a_release_before_on_another_table_goes(coach, student):
    """Nobody dropped it: at every start all seemed new, and what it wrote went on being written."""
    said = {"INSERT": "INSERT INTO reminders_heard (who) SELECT NEW.id"}
    with connection.cursor() as cursor:
        for statement in triggers.MAKE[connection.vendor](
            "heard_people_studio", "people_studio", said
        ):
            cursor.execute(statement)
    assert not watch.TRIGGERS.is_up(connection)
    triggers.put_up(connection)
    assert watch.TRIGGERS.is_up(connection)
    heard()
    triggers.put_up(connection)
    factories.make_studio()
    assert heard() == set()


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite makes the table anew")
def test_the_type_of_a_column_that_is_watched_can_change(db):
    """PostgreSQL lets no type change of a column that a trigger is of: an upgrade stood still."""
    wide = models.CharField(max_length=100)
    wide.set_attributes_from_name("time_zone")
    with connection.schema_editor() as editor:
        editor.alter_field(User, User._meta.get_field("time_zone"), wide)
    assert watch.TRIGGERS.is_up(connection)


def test_only_what_changes_tables_takes_them_down(db, monkeypatch):
    """At every start all would be looked at, else, and judged anew."""
    taken = []
    monkeypatch.setattr(triggers, "take_down", taken.append)
    monkeypatch.setattr(migrate.Command.__base__, "handle", lambda *_args, **_options: None)
    given = {"database": "default", "plan": False, "check_unapplied": False}
    migrate.Command().handle(**given, app_label=None)
    assert taken == []
    migrate.Command().handle(**given, app_label="reminders")
    assert taken == [connection]
    monkeypatch.setattr(triggers, "is_behind", lambda _connection: True)
    migrate.Command().handle(**given, app_label=None)
    assert taken == [connection] * 2


def test_what_was_heard_is_looked_at_once(coach, student, at_five):
    ReminderRule.objects.all().delete()
    Line.objects.create(student=student, author=coach, text="Well.")
    plan.tick()
    assert not Heard.objects.exists()
    assert [notice.kind for notice in Notice.objects.all()] == ["written"]


def test_more_than_one_tick_reads_at_once_is_all_heard(coach, student, at_five, monkeypatch):
    monkeypatch.setattr("coaching.reminders.services.MOST_HEARD", 2)
    for words in "abcde":
        Line.objects.create(student=student, author=coach, text=words)
    plan.tick()
    assert not Heard.objects.exists()


def test_what_waits_for_the_tick_stays_due(due, at_five):
    """Of an hour that passed while nothing ran it is still written down that it did."""
    at_five.move_to(DUE + timedelta(hours=26))
    Student.objects.filter(pk=due.pk).update(left_on=None)
    plan.tick()
    assert Notice.objects.filter(state="expired").count() == 1


def test_a_look_at_night_takes_no_hour_for_missed(due, at_five):
    at_five.move_to(NIGHT)
    ReminderRule.objects.update(next_due_utc=DUE + timedelta(days=1))
    Line.objects.create(student=due, author=due.lead_coach, text="Well.")
    plan.tick()
    assert not Notice.objects.exists()
    assert ReminderRule.objects.get().next_due_utc == DUE.replace(day=27, second=0)


def test_a_coach_who_comes_back_gets_the_summary_again(coach, at_five):
    at_five.move_to(MORNING)
    plan.tick()
    places = Membership.objects.filter(user=coach)
    places.update(ended_at=DUE)
    plan.tick()
    assert SummaryRule.objects.get(user=coach).next_due_utc is None
    places.update(ended_at=None)
    plan.tick()
    assert SummaryRule.objects.get(user=coach).next_due_utc == datetime(2031, 2, 27, 7, tzinfo=UTC)


def test_on_another_clock_the_coach_s_mails_follow_and_what_is_off_stays_off(coach, at_five):
    at_five.move_to(MORNING)
    plan.tick()
    rule = EveningRule.objects.create(
        user=coach, next_due_utc=datetime(2031, 2, 26, 19, tzinfo=UTC)
    )
    User.objects.filter(pk=coach.pk).update(time_zone="America/New_York")
    plan.tick()
    rule.refresh_from_db()
    assert rule.next_due_utc == datetime(2031, 2, 27, 0, tzinfo=UTC)
    assert SummaryRule.objects.get(user=coach).next_due_utc == datetime(2031, 2, 26, 12, tzinfo=UTC)
    EveningRule.objects.update(next_due_utc=None)
    User.objects.filter(pk=coach.pk).update(time_zone="Asia/Tokyo")
    plan.tick()
    rule.refresh_from_db()
    assert rule.next_due_utc is None


def test_whoever_comes_to_teach_gets_no_summary_of_a_week_that_has_begun(coach, at_five):
    at_five.move_to(datetime(2031, 2, 24, 10, tzinfo=UTC))
    plan.tick()
    assert not Notice.objects.exists()
    assert SummaryRule.objects.get(user=coach).next_due_utc == datetime(2031, 2, 25, 7, tzinfo=UTC)


def test_nor_who_changes_a_password_or_a_role_on_that_day(coach, at_five):
    at_five.move_to(datetime(2031, 2, 24, 10, tzinfo=UTC))
    new = factories.make_coach(factories.studio_of(coach))
    plan.tick()
    new.set_password("x")
    new.save()
    Membership.objects.filter(user=new).update(role=Membership.Role.OWNER)
    plan.tick()
    assert SummaryRule.objects.filter(user=new).exists()
    assert not Notice.objects.exists()


def test_what_is_written_while_another_tick_plans_is_told(due, at_five, monkeypatch):
    """It had read what there was before, and then moved the rule on to the next day."""
    plan.tick()
    Notice.objects.all().delete()
    heard()
    ReminderRule.objects.update(next_due_utc=DUE, practice_call=False, midweek_offer=False)
    looks = plan._next_look

    def between(rule, now):
        Line.objects.create(student=due, author=due.lead_coach, text="Well.", at=now)
        take_heard(now)  # Of another worker.
        return looks(rule, now)

    with monkeypatch.context() as patched:
        patched.setattr(plan, "_next_look", between)
        plan.tick()
    assert not Notice.objects.exists()
    plan.tick()
    assert [notice.kind for notice in Notice.objects.all()] == ["written"]


def test_of_whom_is_erased_no_news_is_left(coach, student):
    Line.objects.create(student=student, author=coach, text="Well.")
    erase.erase_student(student)
    assert student.pk not in heard()


def test_one_whose_clock_cannot_be_read_keeps_nobody_else_from_a_rule(coach, at_five):
    """A row that cannot be looked at waits by itself."""
    odd, other = factories.make_coach(name="Odd"), factories.make_coach(name="Other")
    User.objects.filter(pk=odd.pk).update(time_zone="Nowhere/Odd")
    odd_one = factories.make_student(other, "Odd One")
    Student.objects.filter(pk=odd_one.pk).update(time_zone="Nowhere/Odd")
    sam = factories.make_student(other, "Sam")
    plan.tick()
    assert not Heard.objects.exists()
    assert SummaryRule.objects.filter(user=other).exists()
    assert ReminderRule.objects.filter(student=sam).exists()
