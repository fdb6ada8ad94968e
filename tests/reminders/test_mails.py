"""Each kind of mail, built from real rows: its subject, its words, its link."""

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from coaching.reminders import mail, plan
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice, ReminderRule
from coaching.reminders.text import Letter
from coaching.reminders.written import Item
from practice.compliance.models import WeekTally
from shared.people import undelivered
from shared.people.models import WITHOUT_MAIL
from tests import factories
from tests.reminders.conftest import DUE, due_student
from tests.reminders.test_plan import pain

pytestmark = pytest.mark.django_db
SITE = "http://localhost:8000"


def text_of(message) -> str:
    assert len(message.alternatives) == 1
    return message.body


def build(student, kind, **changes):
    type(student).objects.filter(pk=student.pk).update(**changes)
    day = date(2031, 2, 26)
    return mail.build(plan.make(student.user, kind, day, DUE, student=student))


def test_the_midweek_offer_names_what_is_left_and_the_first_part(due, at_five):
    message = build(due, ReminderKind.MIDWEEK_OFFER)
    assert message.subject == "Would a shorter week suit?"
    assert "3 visits are left this week" in text_of(message)
    assert "Part 1 alone takes 12 minutes." in text_of(message)


def test_the_new_week_lists_its_parts(coach, at_five):
    student = factories.make_student(coach, "Sam")
    week = factories.make_week(student, sent_at=DUE - timedelta(hours=1), note="Slowly.")
    factories.make_part(week, factories.make_drill(student.studio, "Gate putting"), minutes=10)
    message = build(student, ReminderKind.NEW_WEEK)
    assert "starts on Monday 24 February" in text_of(message)
    assert "- 1. Gate putting, 10 minutes each time" in text_of(message)
    assert "“Slowly.”" in text_of(message)


def test_lesson_and_test_of_tomorrow(due, at_five):
    week = due.weeks.get()
    nine = factories.make_drill(due.studio, "Nine balls", is_test=True)
    factories.make_part(week, nine, sessions=1, days=[3])
    assert "Any question?" in text_of(build(due, ReminderKind.LESSON_TOMORROW))
    assert "the test: Nine balls." in text_of(build(due, ReminderKind.TEST_TOMORROW))


def test_pain_goes_to_coach_and_guardian_with_a_link_and_no_detail(coach, at_five):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Kid")
    note = pain(child, level=8, signs=["numb"])
    note.where = "lead wrist"
    note.save(update_fields=["where"])
    mails = {n.recipient_id: mail.build(n) for n in Notice.objects.all()}
    assert f"{SITE}/students/{child.pk}/care/" in text_of(mails[coach.pk])
    assert f"{SITE}/child/{child.pk}/" in text_of(mails[guardian.pk])
    for message in mails.values():
        assert "Kim" not in message.subject
        assert not {"wrist", "numb", "8"} & set(text_of(message).replace(".", " ").split())
        assert "List-Unsubscribe" not in message.extra_headers


def test_the_summary_is_in_the_boards_order_with_no_word_of_health(coach, at_five):
    at_five.move_to(datetime(2031, 2, 26, 7, 1, tzinfo=UTC))
    hurting = due_student(coach, "Aby Hurt")
    due_student(coach, "Ben Fine")
    pain(hurting, level=8)
    message = mail.build(plan.make(coach, ReminderKind.COACH_MONDAY, date(2031, 2, 26), DUE))
    lines = [line for line in text_of(message).splitlines() if line.startswith("- ")]
    assert lines[0] == "- Aby Hurt: something hurts, see the page"
    assert lines[1].startswith("- Ben Fine: ")
    assert f"{SITE}/who/" in text_of(message)


def test_nothing_left_to_say_is_said_so(due, at_five):
    due.weeks.update(state="draft")
    with pytest.raises(mail.NothingToSay):
        build(due, ReminderKind.PRACTICE_CALL)


def letter_to(student, kind, to=None):
    return mail.letter_of(plan.make(to or student.user, kind, DUE.date(), DUE, student=student))


def test_a_subject_is_one_line_of_at_most_120_letters():
    letter = Letter("Test:\n" + "long " * 40, (), "Open")
    assert mail.subject_of(letter) == ("Test: " + "long " * 40)[:120]


def test_without_an_address_or_to_one_that_sends_back_nothing_is_made(due, at_five):
    type(due.user).objects.filter(pk=due.user_id).update(email=f"x@{WITHOUT_MAIL}")
    due.user.refresh_from_db()
    with pytest.raises(mail.NothingToSay, match="no mail address"):
        build(due, ReminderKind.PRACTICE_CALL)
    type(due.user).objects.filter(pk=due.user_id).update(email="sam@example.org")
    due.user.refresh_from_db()
    build(due, ReminderKind.PRACTICE_CALL)
    undelivered.refused("sam@example.org", "550 5.1.1 no such mailbox")
    with pytest.raises(mail.NothingToSay, match="did not arrive"):
        build(due, ReminderKind.PRACTICE_CALL)


def test_the_call_is_about_a_part_that_is_for_this_day(due, at_five):
    week = due.weeks.get()
    week.parts.update(days=[4], sessions=1)
    gate = factories.make_drill(due.studio, "Gate")
    factories.make_part(week, gate, minutes=8, days=[2], places={"2": "garage"})
    letter, _ = letter_to(due, ReminderKind.PRACTICE_CALL)
    assert letter.subject == "Practice today: part 2, 8 minutes"
    offer, _ = letter_to(due, ReminderKind.MIDWEEK_OFFER)
    assert "Part 2 alone takes 8 minutes." in " ".join(offer.paragraphs)
    week.parts.filter(priority=2).delete()
    # Of none that is for today the first that is left.
    letter, _ = letter_to(due, ReminderKind.PRACTICE_CALL)
    assert letter.subject == "Practice today: part 1, 12 minutes"


def test_a_guardian_reads_for_whom_it_is_by_the_first_name(coach, at_five):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian, name="Kim Anne Kid")
    letter, _ = letter_to(child, ReminderKind.LESSON_TOMORROW, guardian)
    assert letter.paragraphs[0] == "For Kim:"
    letter, _ = letter_to(child, ReminderKind.LESSON_TOMORROW)
    assert letter.paragraphs[0].startswith("There is a lesson tomorrow.")


@pytest.mark.parametrize(
    ("whats", "page"),
    [
        (["report"], "reports:show"),
        (["report", "report"], "words:own"),
        (["clip", "clip"], "clips:of_student"),
        (["clip", "report"], "words:own"),
        (["line"], "words:own"),
    ],
)
def test_a_mail_leads_to_where_all_of_it_is_read(due, whats, page):
    items = [Item(what, uuid4(), "Ann", DUE) for what in whats]
    of = items[0].id if page == "reports:show" else due.pk
    assert mail.page_of(items, due) == reverse(page, args=[of])


def test_the_stop_of_calls_leads_to_the_choice(due, at_five):
    letter, link = letter_to(due, ReminderKind.CALLS_STOP)
    assert link == SITE + reverse("reminders:of", args=[due.pk])
    assert "The last 10 reminders were followed by no practice" in letter.paragraphs[0]


def test_what_was_done_meanwhile_has_nothing_to_say(due, at_five):
    due.weeks.update(sent_at=DUE - timedelta(days=5))
    for kind in (ReminderKind.TEST_TOMORROW, ReminderKind.WRITTEN, ReminderKind.NEW_WEEK):
        with pytest.raises(mail.NothingToSay):
            letter_to(due, kind)


def test_the_test_is_named_by_its_day(due, at_five):
    week = due.weeks.get()
    for name, day in (("Of Friday", 4), ("Of Thursday", 3), ("Later", 3)):
        drill = factories.make_drill(due.studio, name, is_test=True)
        factories.make_part(week, drill, sessions=1, days=[day])
    letter, _ = letter_to(due, ReminderKind.TEST_TOMORROW)
    assert "for the test: Of Thursday." in letter.paragraphs[0]


def test_the_plan_stands_only_where_practice_is_asked_for(due, at_five):
    ReminderRule.objects.update(moment="after school")
    said = {
        kind: "The plan: After school" in " ".join(letter_to(due, kind)[0].paragraphs)
        for kind in (
            ReminderKind.PRACTICE_CALL,
            ReminderKind.MIDWEEK_OFFER,
            ReminderKind.LESSON_TOMORROW,
            ReminderKind.CALLS_STOP,
        )
    }
    assert list(said.values()) == [True, True, False, False]


def test_about_nobody_there_is_nothing_to_say(coach, at_five):
    with pytest.raises(mail.NothingToSay):
        mail.letter_of(plan.make(coach, ReminderKind.PRACTICE_CALL, DUE.date(), DUE))


def test_a_changed_week_alone_leads_to_the_week(due, coach, at_five, monkeypatch):
    def link(*whats: str) -> str:
        items = [Item(what, uuid4(), "Ann", DUE, "Said.") for what in whats]
        monkeypatch.setattr(mail, "tell", lambda _: items)
        return letter_to(due, ReminderKind.WRITTEN)[1]

    page = SITE + reverse("words:own", args=[due.pk])
    assert link("line", "change") == page
    assert link("change").startswith(SITE)
    assert link("change") != page


def summary(coach) -> Letter:
    return mail.letter_of(plan.make(coach, ReminderKind.COACH_MONDAY, DUE.date(), DUE))[0]


@pytest.mark.parametrize(("many", "last"), [(12, "S11: "), (13, "and 1 more")])
def test_twelve_students_stand_in_the_summary(coach, at_five, many, last):
    for n in range(many):
        factories.make_student(coach, f"S{n:02}", with_user=False)
    lines = summary(coach).lines
    assert len(lines) == min(many, 13)
    assert lines[-1].startswith(last)


def test_the_summary_counts_the_week_before(coach, at_five):
    assert "Last week" not in summary(coach).paragraphs[0]
    before = date(2031, 2, 17)
    rows = [(before, True, True), (before, True, False), (before, False, False)]
    rows += [(before - timedelta(days=7), True, True), (before + timedelta(days=7), True, True)]
    for opens, has_plan, finished in rows:
        student = factories.make_student(coach, "Sam", with_user=False)
        WeekTally.objects.create(student=student, opens=opens, has_plan=has_plan, finished=finished)
    said = summary(coach).paragraphs[0]
    assert said == "Last week 2 students had a week, and 1 finished it."


def test_every_copy_bears_the_same_name_and_says_that_a_machine_wrote_it(due, at_five):
    notice = plan.make(due.user, ReminderKind.PRACTICE_CALL, DUE.date(), DUE, student=due)
    headers = mail.build(notice).extra_headers
    assert headers["Message-ID"] == notice.message_id
    assert headers["Auto-Submitted"] == "auto-generated"
    # RFC 8058, 3.1: both headers, or one click stops nothing.
    assert headers["List-Unsubscribe"] == f"<{mail.stop_link(notice)}>"
    assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"


def test_a_stop_link_of_somebody_who_is_gone_is_none_of_ours(due, at_five):
    notice = plan.make(due.user, ReminderKind.PRACTICE_CALL, DUE.date(), DUE, student=due)
    token = mail.stop_link(notice).rstrip("/").rpartition("/")[2]
    assert mail.read_stop_link(token) == (due.user, due)
    notice.student_id = uuid4()
    of_nobody = mail.stop_link(notice).rstrip("/").rpartition("/")[2]
    assert mail.read_stop_link(of_nobody) is None
    notice.student, notice.recipient_id = None, uuid4()
    assert mail.read_stop_link(mail.stop_link(notice).rstrip("/").rpartition("/")[2]) is None
