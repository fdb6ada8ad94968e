"""What a coach writes reaches its readers: once, at a decent hour, one mail a day."""

from datetime import UTC, datetime, timedelta
from email.utils import parseaddr
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.core import mail
from django.urls import reverse

from coaching.reminders import plan
from coaching.reminders.models import Notice, ReminderRule, Told
from coaching.reminders.services import ensure_rule
from coaching.reminders.written import tell, untold
from coaching.reports import services as reports
from practice.clips.models import Clip
from practice.flows.stop import note_pain
from practice.log.models import Line
from practice.log.services import write_line
from shared.outbox.send import send_due
from shared.people import access
from shared.people.today import today_of
from tests import factories
from tests.conftest import signed_in
from tests.log.entries import Phone
from tests.messages.test_words import note
from tests.reminders.conftest import DUE

pytestmark = pytest.mark.django_db
MORNING = datetime(2031, 2, 26, 9, tzinfo=UTC)
NIGHT = datetime(2031, 2, 26, 22, 30, tzinfo=UTC)


def run():
    plan.tick()
    send_due()


def line(student, coach, text="Both feet.", about=None):
    return write_line(student=access.recordable(student), author=coach, text=text, about=about)


def test_a_line_goes_at_the_students_hour_with_the_days_call(due, coach, at_five):
    at_five.move_to(MORNING)
    line(due, coach)
    run()
    assert mail.outbox == []
    at_five.move_to(DUE)
    run()
    (sent,) = mail.outbox
    assert sent.subject.startswith("Practice today")
    assert "Both feet." in sent.body
    assert "Both feet." in sent.alternatives[0][0]
    assert Told.objects.get().notice.kind == "practice_call"
    at_five.move_to(DUE + timedelta(days=1))
    run()
    assert sum("Both feet." in each.body for each in mail.outbox) == 1


def test_after_the_hour_it_goes_at_once_unless_one_went_today(due, coach, at_five):
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    run()
    at_five.move_to(DUE + timedelta(hours=1))
    line(due, coach, "First.")
    run()
    assert [each.subject for each in mail.outbox] == ["A few words from your coach"]
    at_five.move_to(DUE + timedelta(hours=2))
    line(due, coach, "Second.")
    run()
    assert len(mail.outbox) == 1
    at_five.move_to(DUE + timedelta(days=1))
    run()
    assert len(mail.outbox) == 2
    assert "Second." in mail.outbox[1].body
    assert "First." not in mail.outbox[1].body


def test_it_goes_in_the_coachs_and_the_studios_name(due, coach, at_five):
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    line(due, coach)
    run()
    name, address = parseaddr(mail.outbox[0].from_email)
    assert name == f"{coach.name}, {due.studio.name}"
    assert "@" in address


def test_several_things_are_one_mail(due, coach, at_five):
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    line(due, coach)
    day = today_of(due)
    report = reports.draft(
        student=access.recordable(due), by=coach, first=day - timedelta(days=7), last=day
    )
    reports.keep_words(report=report, words="Steady.")
    reports.send(report=report, by=coach, has_read=True)
    run()
    (sent,) = mail.outbox
    assert "Both feet." in sent.body
    assert "has sent a report" in sent.body
    assert "Steady." not in sent.body


def question(student):
    return note(student, "Which foot first?")


def test_an_answer_that_is_waited_for_goes_at_once(due, coach, at_five):
    at_five.move_to(MORNING)
    line(due, coach, "The left.", about=question(due))
    run()
    (sent,) = mail.outbox
    assert sent.subject == "An answer from your coach"
    assert "The left." in sent.body


def test_an_answer_of_the_night_waits_for_the_morning(due, coach, at_five):
    at_five.move_to(NIGHT)
    line(due, coach, "Well done.")
    line(due, coach, "The left.", about=question(due))
    run()
    assert mail.outbox == []
    at_five.move_to(datetime(2031, 2, 27, 6, 59, tzinfo=UTC))
    run()
    assert mail.outbox == []
    at_five.move_to(datetime(2031, 2, 27, 7, 0, 30, tzinfo=UTC))
    run()
    assert len(mail.outbox) == 1


def test_what_was_read_on_the_phone_is_not_mailed(due, coach, at_five):
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    line(due, coach)
    Line.objects.update(seen_at=DUE)
    run()
    assert mail.outbox == []


def test_whoever_stopped_it_gets_none_and_the_page_says_so(due, coach, at_five):
    ReminderRule.objects.update(practice_call=False, midweek_offer=False, written=False)
    line(due, coach)
    run()
    assert mail.outbox == []
    page = signed_in(coach).get(reverse("reminders:sent", args=[due.pk])).content.decode()
    assert "mails from the coach are off" in page


def test_the_guardian_of_a_minor_with_an_address_is_told_too(coach, at_five):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid")
    assert child.user is not None
    ensure_rule(access.recordable(child))
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    line(child, coach)
    run()
    assert {each.to[0] for each in mail.outbox} == {child.user.email, guardian.email}
    assert all("Kim" not in each.subject for each in mail.outbox)


def test_a_clip_of_a_child_is_told_of_only_while_every_guardian_agrees_to_clips(coach, at_five):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian)
    Clip.objects.create(
        student=child, author=coach, kind="image/jpeg", words="Hands at the top", file="a.jpg",
        size=1, digest="0" * 64, expires_on=DUE.date() + timedelta(days=9),
    )  # fmt: skip
    assert untold(child, guardian) == []
    child.guardianships.update(consents_to_clips=True)
    assert [each.text for each in untold(child, guardian)] == ["Hands at the top"]


def clip_of(student, author, words: str) -> Clip:
    return Clip.objects.create(
        student=student, author=author, kind="image/jpeg", words=words, file="a.jpg",
        size=1, digest="0" * 64, expires_on=DUE.date() + timedelta(days=9),
    )  # fmt: skip


def test_clips_of_a_day_are_told_of_in_one_mail(due, coach, at_five):
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    at_five.move_to(MORNING)
    clip_of(due, coach, "Hands at the top")
    clip_of(due, coach, "Feet together")
    run()
    assert mail.outbox == []
    at_five.move_to(DUE)
    run()
    (sent,) = mail.outbox
    assert "Hands at the top" in sent.body
    assert "Feet together" in sent.body
    clip_of(due, coach, "A third")
    run()
    assert len(mail.outbox) == 1
    at_five.move_to(DUE + timedelta(days=1))
    run()
    assert ["A third" in each.body for each in mail.outbox] == [False, True]


@pytest.mark.parametrize("page", ["clips:of_student", "clips:watch"])
def test_a_clip_that_was_looked_at_is_not_told_of(due, coach, at_five, page):
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    at_five.move_to(MORNING)
    clip = clip_of(due, coach, "Hands at the top")
    at = reverse(page, args=[clip.pk if page == "clips:watch" else due.pk])
    signed_in(coach).get(at)
    assert [each.text for each in untold(due, due.user)] == ["Hands at the top"]
    signed_in(due.user).get(at)
    assert untold(due, due.user) == []
    at_five.move_to(DUE)
    run()
    assert mail.outbox == []


def test_the_page_says_what_went_when_and_that_it_was_opened(due, coach, coach_client, at_five):
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    at_five.move_to(MORNING)
    line(due, coach)
    at = reverse("reminders:sent", args=[due.pk])
    assert "Goes today at 17:00" in signed_in(coach).get(at).content.decode()
    at_five.move_to(DUE)
    run()
    page = signed_in(coach).get(at).content.decode()
    assert "A message" in page
    assert "Sent " in page
    assert "Opened 2" not in page
    signed_in(due.user).get(reverse("words:own", args=[due.pk]))
    assert Notice.objects.get().opened_at == DUE
    assert ". Opened " in signed_in(coach).get(at).content.decode()
    # The one mail of a day is gone: what is written now is told of on the next.
    at_five.move_to(MORNING + timedelta(hours=9))
    line(due, coach, "Second.")
    assert "Goes tomorrow at 17:00" in signed_in(coach).get(at).content.decode()


def test_what_is_read_on_the_phone_is_opened(due, coach, at_five):
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    written = line(due, coach)
    run()
    told = {"lines": [str(written.pk)]}
    answer = Phone(due).client.post("/api/read", told, content_type="application/json")
    assert answer.status_code == 204
    assert Notice.objects.get().opened_at == DUE


def test_a_week_of_lines_at_any_hour_each_told_once_never_at_night(coach):
    """The oracle: local clock by the zone's own offset, no code of ours."""
    zones = ("Pacific/Kiritimati", "Asia/Kolkata", "America/St_Johns")
    start = datetime(2031, 3, 3, tzinfo=UTC)
    with time_machine.travel(start, tick=False) as clock:
        students = {zone: factories.make_student(coach, zone, time_zone=zone) for zone in zones}
        written, arrived = [], []
        for hour in range(24 * 7):
            now = start + timedelta(hours=hour)
            clock.move_to(now)
            if hour % 7 == 0 and hour < 24 * 5:
                written.append(f"word {hour} end")
                for student in students.values():
                    line(student, coach, written[-1])
            before = len(mail.outbox)
            run()
            arrived += [(now, each) for each in mail.outbox[before:]]
    for zone, student in students.items():
        own = [(now, each) for now, each in arrived if student.user.email in each.to]
        clocks = [now.astimezone(ZoneInfo(zone)) for now, _ in own]
        assert all(7 <= at.hour < 21 for at in clocks), zone
        assert len({at.date() for at in clocks}) == len(clocks), zone
        for text in written:
            assert sum(text in each.body for _, each in own) == 1, zone


def test_what_was_written_to_a_student_is_three_questions_for_all_readers(
    due, coach, at_five, django_assert_max_num_queries
):
    line(due, coach)
    clip_of(due, coach, "Hands")
    with django_assert_max_num_queries(3):
        assert len(untold(due, due.user)) == 2


def test_with_nothing_written_nobody_asks_who_was_told(due, at_five, django_assert_num_queries):
    with django_assert_num_queries(1):
        assert untold(due, due.user) == []


def texts(student, reader=None) -> list[str]:
    return [each.text for each in untold(student, reader or student.user)]


@pytest.mark.parametrize(("days", "told"), [(14, True), (15, False)])
def test_what_is_two_weeks_old_is_found_on_the_page_alone(due, coach, at_five, days, told):
    written = line(due, coach, "Both feet.")
    clip = clip_of(due, coach, "Hands")
    Line.objects.filter(pk=written.pk).update(at=DUE - timedelta(days=days))
    Clip.objects.filter(pk=clip.pk).update(made_at=DUE - timedelta(days=days))
    assert texts(due) == (["Both feet.", "Hands"] if told else [])


def test_of_each_kind_sixty_are_told_of_at_most(due, coach, at_five):
    Line.objects.bulk_create(
        Line(student=due, author=coach, text=f"Line {n}.", at=DUE) for n in range(61)
    )
    assert len(texts(due)) == 60


def test_it_is_told_of_in_the_order_it_was_written(due, coach, at_five):
    clip = clip_of(due, coach, "First")
    Clip.objects.filter(pk=clip.pk).update(made_at=DUE - timedelta(hours=2))
    line(due, coach, "Second")
    assert texts(due) == ["First", "Second"]


def test_nobody_is_told_of_what_they_wrote_and_a_clip_of_the_family_is_told_to_none(
    due, coach, at_five
):
    Line.objects.create(student=due, author=due.user, text="My own.")
    clip_of(due, due.user, "My swing")
    assert texts(due) == []
    assert texts(due, coach) == ["My own."]
    line(due, coach, "Well.")
    assert texts(due) == ["Well."]


def test_a_clip_that_was_taken_off_is_not_told_of(due, coach, at_five):
    clip = clip_of(due, coach, "Hands")
    assert texts(due) == ["Hands"]
    Clip.objects.filter(pk=clip.pk).update(removed_at=DUE)
    assert texts(due) == []


def test_words_about_what_hurt_are_for_the_page_alone(due, coach, at_five):
    about = note(due, "My wrist?")
    line(due, coach, "Rest it.", about=about)
    assert texts(due) == ["Rest it."]
    note_pain(entry=about, level=3, where="wrist")
    assert texts(due) == [""]
    assert [(each.what, each.answers) for each in untold(due, due.user)] == [("answer", True)]


@pytest.mark.parametrize(
    ("state", "is_told"),
    [("due", True), ("sent", True), ("unknown", True), ("failed", True), ("cancelled", False),
     ("expired", False)],
)  # fmt: skip
def test_what_a_mail_tells_of_is_told_unless_it_was_not_sent(due, coach, at_five, state, is_told):
    ReminderRule.objects.update(practice_call=False, midweek_offer=False)
    line(due, coach)
    plan.tick()
    notice = Notice.objects.get()
    assert [each.text for each in tell(notice)] == ["Both feet."]
    # Told twice it is written down once.
    assert [each.text for each in tell(notice)] == ["Both feet."]
    assert Told.objects.count() == 1
    Notice.objects.update(state=state)
    assert texts(due) == ([] if is_told else ["Both feet."])
    assert texts(due, factories.make_user("Other")) == ["Both feet."]


def test_a_mail_about_no_student_tells_of_nothing(coach, at_five):
    assert tell(plan.make(coach, plan.ReminderKind.COACH_MONDAY, DUE.date(), DUE)) == []
