"""The student's plan, the hour that follows practice, calls left out by chance, calls that stop."""

from collections import Counter
from datetime import datetime, time, timedelta

import pytest
from django.urls import reverse

from coaching.reminders import chance, plan, services, starts
from coaching.reminders.due import ReminderKind
from coaching.reminders.forms import RuleForm
from coaching.reminders.if_then import IfThen, sentence, tidy
from coaching.reminders.models import Notice, ReminderRule
from coaching.reminders.usual_hour import hour_before, usual_start
from practice.log.models import Entry, Line
from shared.outbox import send
from shared.people.models import Student
from tests import factories
from tests.conftest import signed_in
from tests.reminders.conftest import DUE

pytestmark = pytest.mark.django_db

# --- pure ---------------------------------------------------------------------------------


def test_a_plan_is_one_sentence_in_the_students_words():
    mine = IfThen("after school", "in the garage", "it rains", "the short form")
    said = "After school, in the garage, part 1; if it rains, the short form."
    assert sentence(mine) == said
    assert sentence(IfThen("after school", "", "it rains", "")) == "After school, part 1."
    assert sentence(IfThen("", "", "it rains", "the short form")) == ""
    assert tidy("  If it  rains. ", "if ") == "it rains"
    assert tidy("if it rains") == "if it rains"
    assert tidy("it rains;", "if ") == "it rains"
    assert sentence(IfThen("", "at home", "", "the short form"), 2) == "At home, part 2."


def test_the_usual_start_is_the_middle_one_and_says_nothing_from_four():
    late = [time(23, 30), time(23, 50), time(0, 10), time(0, 30), time(0, 40)]
    assert usual_start(late) == time(0, 10)
    assert usual_start(late[:4]) is None
    assert usual_start([time(17), time(17, 10), time(17, 20), time(9), time(21)]) == time(17, 10)
    # The practice day turns over at 03:00.
    assert usual_start([time(2, 59), time(2, 59), time(3), time(4), time(22)]) == time(22)


@pytest.mark.parametrize(
    ("start", "hour"),
    [
        (time(17, 20), time(16, 45)),
        (time(17, 29), time(16, 45)),
        (time(17, 30), time(17)),
        (time(6), time(7)),
        (time(7, 20), time(7)),
        (time(22), time(20, 45)),
        (time(0, 10), time(20, 45)),
        (time(2, 59), time(20, 45)),
        (time(3), time(7)),
        (time(7, 44), time(7)),
        (time(7, 45), time(7, 15)),
        (time(21, 14), time(20, 30)),
        (time(21, 15), time(20, 45)),
        (time(23, 59), time(20, 45)),
    ],
)
def test_the_hour_lies_half_an_hour_before_and_never_in_the_quiet_hours(start, hour):
    assert hour_before(start) == hour


def test_what_a_coach_is_told_of_calls_left_out():
    few = chance.sentences(chance.ChanceCounts(19, 10, 30, 10))
    assert few[-1] == "From 20 days of each kind on it says more."
    helped = chance.sentences(chance.ChanceCounts(70, 56, 80, 48))
    assert (
        helped[2] == "That is 20 in 100 more; anything from 5 in 100 more to 33 in 100 more fits."
    )
    assert helped[-1] == "Reminders help here."
    assert chance.sentences(chance.ChanceCounts(40, 20, 40, 18))[-1].endswith("cannot be told yet.")
    assert chance.sentences(chance.ChanceCounts(20, 10, 20, 10))[2].startswith("That is no differ")
    assert "10 in 100 fewer;" in chance.sentences(chance.ChanceCounts(40, 16, 40, 20))[2]
    assert chance.sentences(chance.ChanceCounts(3, 1, 0, 0)) == [
        "With a reminder, 1 of 3 days were logged within a day.",
        "Without, 0 of 0.",
        "From 20 days of each kind on it says more.",
    ]
    assert "No adult has agreed" in chance.sentences(chance.ChanceCounts(0, 0, 0, 0))[0]
    assert "do not help" in chance.sentences(chance.ChanceCounts(400, 100, 400, 160))[-1]


# --- with the database --------------------------------------------------------------------


def logged(student: Student, at: datetime, minutes: float = 20, **more) -> None:
    Entry.objects.create(
        student=student, root=factories.make_user().pk, day=at.date(), at=at, minutes=minutes,
        document={}, fingerprint="", **more,
    )  # fmt: skip


def test_the_plan_stands_in_the_reminder(due, sink, at_five):
    ReminderRule.objects.update(moment="after school", place="in the garage")
    plan.tick()
    send.send_due()
    text, _ = [part.get_payload(decode=True).decode() for part in sink.taken[0].get_payload()]
    assert "The plan: After school, in the garage, part 1." in text


def test_the_hour_follows_when_practice_really_starts(due, at_five):
    for n in range(1, 7):
        logged(due, DUE.replace(hour=15, minute=50) - timedelta(days=n))
    ReminderRule.objects.update(follows_practice=True)
    plan.tick()
    rule = ReminderRule.objects.get()
    assert rule.at == time(15)  # Started at 15:30.
    assert rule.next_due_utc == (DUE + timedelta(days=1)).replace(hour=15, minute=0, second=0)
    assert Notice.objects.count() == 1


def test_an_hour_that_nobody_lets_follow_stays(due, at_five):
    for n in range(1, 7):
        logged(due, DUE.replace(hour=15, minute=50) - timedelta(days=n))
    plan.tick()
    assert ReminderRule.objects.get().at == time(17)


@pytest.fixture
def fair(monkeypatch):
    """The dice show what they are told to."""
    shown = []
    monkeypatch.setattr(chance._dice, "random", lambda: shown.pop(0))
    return shown


def test_a_call_left_out_by_chance_is_written_down_and_not_sent(due, sink, fair, at_five):
    ReminderRule.objects.update(by_chance=True)
    fair[:] = [0.7]  # About 3 of 10 are left out, as the page says.
    plan.tick()
    assert send.send_due() == {}
    notice = Notice.objects.get()
    assert (notice.state, notice.drawn, notice.kind) == ("cancelled", False, "practice_call")
    # Looked at again that day it is not thrown anew.
    ReminderRule.objects.update(next_due_utc=DUE)
    plan.tick()
    assert Notice.objects.count() == 1


def test_a_call_that_chance_sends_is_sent_and_kept_as_drawn(due, sink, fair, at_five):
    ReminderRule.objects.update(by_chance=True)
    fair[:] = [0.69]
    plan.tick()
    assert send.send_due() == {"sent": 1}
    assert Notice.objects.get().drawn is True


def test_what_the_coach_wrote_goes_although_the_call_is_left_out(coach, due, sink, fair, at_five):
    ReminderRule.objects.update(by_chance=True)
    Line.objects.create(student=due, author=coach, text="Both feet")
    fair[:] = [0.99]
    plan.tick()
    assert send.send_due() == {"sent": 1}
    kinds = Counter(Notice.objects.values_list("kind", "state"))
    assert kinds == {("practice_call", "cancelled"): 1, ("written", "sent"): 1}


def test_chance_has_no_say_over_a_child_nor_over_who_did_not_agree(coach, due, at_five):
    rule = ReminderRule.objects.select_related("student").get()
    assert chance.draws(rule, due.user) is None
    rule.by_chance, rule.student.born_year = True, 2018
    assert chance.draws(rule, due.user) is None
    rule.student.born_year = None
    assert chance.draws(rule, coach) is None
    assert chance.draws(rule, due.user) in {True, False}
    child = factories.make_child(coach, name="Kim Kid")
    page = signed_in(child.user).get(reverse("reminders:of", args=[child.pk]))
    assert "by_chance" not in page.text


def test_days_are_counted_as_drawn_and_by_what_was_logged_within_a_day(coach, due, at_five):
    def drawn(days, *, sent, after=None):
        at = DUE - timedelta(days=days)
        notice = plan.make(
            due.user, ReminderKind.PRACTICE_CALL, at.date(), at + timedelta(hours=4), student=due
        )
        notice.state, notice.drawn, notice.planned_at = "sent", sent, at
        notice.save()
        if after is not None:
            logged(due, at + after)

    drawn(20, sent=True, after=timedelta(hours=23, minutes=59))
    drawn(16, sent=True, after=timedelta(hours=24))
    drawn(13, sent=True, after=timedelta(hours=2))
    drawn(10, sent=False, after=timedelta(hours=1))
    drawn(8, sent=False)
    drawn(6, sent=False)
    drawn(4, sent=False)
    drawn(0, sent=True, after=timedelta(0))  # The day is not over.
    drawn(365, sent=True)
    drawn(366, sent=True)  # More than a year ago.
    everybody = Student.objects.all()
    assert chance.counted(everybody, DUE) == chance.ChanceCounts(4, 2, 4, 1)
    page = signed_in(coach).get(reverse("reminders:mine")).text
    assert "With a reminder, 2 of 4 days were logged within a day." in page


def unheard_calls(student: Student, many: int = 10) -> None:
    for n in range(1, many + 1):
        at = DUE - timedelta(days=8 * n)
        notice = plan.make(
            student.user,
            ReminderKind.PRACTICE_CALL,
            at.date(),
            at + timedelta(hours=4),
            student=student,
        )
        notice.state, notice.planned_at = "sent", at
        notice.save()


def test_calls_that_nobody_follows_stop_and_say_so_once(due, sink, at_five):
    unheard_calls(due)
    plan.tick()
    assert send.send_due() == {"sent": 1}
    assert sink.taken[0]["Subject"] == "Do these reminders help?"
    at_five.move_to(DUE + timedelta(days=1))
    plan.tick()
    assert send.send_due() == {}
    page = signed_in(due.user).get(reverse("reminders:of", args=[due.pk])).text
    assert "The reminders to practise have stopped" in page
    # Another choice starts them anew.
    services.change_rule(
        student=due, at=time(18), weekdays=range(7), kinds=[ReminderKind.PRACTICE_CALL]
    )
    at_five.move_to(DUE + timedelta(days=2, hours=1))
    plan.tick()
    assert send.send_due() == {"sent": 1}
    assert sink.taken[1]["Subject"].startswith("Practice today")


def test_one_call_that_was_followed_keeps_them_coming(due, sink, at_five):
    unheard_calls(due)
    logged(due, DUE - timedelta(days=24) + timedelta(hours=3))
    plan.tick()
    send.send_due()
    assert sink.taken[0]["Subject"].startswith("Practice today")


def test_nine_in_a_row_stop_nothing(due, sink, at_five):
    unheard_calls(due, 9)
    plan.tick()
    send.send_due()
    assert sink.taken[0]["Subject"].startswith("Practice today")


def unfollowed() -> bool:
    rule = ReminderRule.objects.select_related("student__user").get()
    return chance.is_unheard(rule, rule.student.user)


@pytest.mark.parametrize(
    ("change", "are_unheard"),
    [
        ({"state": "unknown"}, True),  # Perhaps it arrived.
        ({"state": "cancelled"}, False),
        ({"state": "expired"}, False),
        ({"kind": "lesson_tomorrow"}, False),
    ],
)
def test_only_calls_that_went_count_as_not_followed(due, at_five, change, are_unheard):
    unheard_calls(due)
    Notice.objects.update(**change)
    assert unfollowed() is are_unheard


def test_another_reader_s_calls_do_not_count(coach, due, at_five):
    unheard_calls(due)
    assert unfollowed()
    Notice.objects.update(recipient=coach)
    assert not unfollowed()


@pytest.mark.parametrize(
    ("kind", "counts", "followed"),
    [("log", True, True), ("change", True, True), ("back", True, False), ("log", False, False)],
)
def test_only_a_log_that_counts_follows_a_call(due, at_five, kind, counts, followed):
    """One that was changed or taken back since says nothing any more."""
    unheard_calls(due)
    at = DUE - timedelta(days=8) + timedelta(hours=3)
    logged(due, at, kind=kind, counts=counts)
    assert unfollowed() is not followed


def test_calls_are_counted_anew_from_the_last_choice_on(due, at_five):
    unheard_calls(due)
    ReminderRule.objects.update(calls_since=DUE - timedelta(days=80))
    assert unfollowed()
    ReminderRule.objects.update(calls_since=DUE - timedelta(days=79))
    assert not unfollowed()


def starts_at(due, *hours: int, **more) -> time:
    for n, hour in enumerate(hours, 1):
        logged(due, DUE.replace(hour=hour, minute=0, second=0) - timedelta(days=n), 0, **more)
    return starts.usual(due, DUE)


def test_practice_is_read_by_the_clock_of_the_phone_it_was_logged_on(due, at_five):
    assert starts_at(due, 9, 9, 9, 9, 9, utc_offset_minutes=90) == time(10, 30)


@pytest.mark.parametrize("more", [{"counts": False}, {"from_memory": True}, {"kind": "back"}])
def test_what_was_written_later_says_nothing_of_the_hour(due, at_five, more):
    assert starts_at(due, 9, 9, 9, 9, 9, **more) is None


def test_only_the_last_four_weeks_say_when_practice_starts(due, at_five):
    for days in (1, 9, 20, 27, 28):
        logged(due, DUE - timedelta(days=days), 0)
    assert starts.usual(due, DUE) == time(17)
    assert starts.usual(due, DUE + timedelta(seconds=1)) is None


def test_a_log_without_minutes_began_when_it_was_written(due, at_five):
    for n in range(1, 6):
        logged(due, DUE.replace(hour=9, minute=0) - timedelta(days=n), None)
    assert starts.usual(due, DUE) == time(9)


@pytest.mark.parametrize(("letters", "status"), [(60, 302), (61, 422)])
def test_each_of_its_answers_has_sixty_letters(student, student_client, letters, status):
    page = reverse("reminders:of", args=[student.pk])
    usual = {"at": "17:00", "kinds": ["practice_call"], "weekdays": ["0"]}
    answer = student_client.post(page, usual | {"moment": "m" * letters})
    assert answer.status_code == status


def test_a_plan_is_kept_from_the_page_and_half_of_one_is_asked_about(student, student_client):
    page = reverse("reminders:of", args=[student.pk])
    usual = {"at": "17:00", "kinds": ["practice_call"], "weekdays": ["0"]}
    half = student_client.post(page, usual | {"moment": "after work", "hindrance": "it rains"})
    assert half.status_code == 422
    assert "Say both" in half.text
    whole = {"moment": "After work.", "place": "in the garage", "hindrance": "If it rains"}
    more = {"instead": "then the short form", "follows_practice": "on", "by_chance": "on"}
    assert student_client.post(page, usual | whole | more).status_code == 302
    rule = ReminderRule.objects.get(student=student)
    assert rule.plan == IfThen("After work", "in the garage", "it rains", "the short form")
    assert rule.follows_practice
    assert rule.by_chance
    assert "After work, in the garage, part 1; if it rains" in student_client.get(page).text


@pytest.mark.parametrize(
    ("plan", "asked"),
    [
        ({"moment": "After work", "hindrance": "it rains"}, "instead"),
        ({"moment": "After work", "instead": "the short form"}, "hindrance"),
        ({"hindrance": "it rains", "instead": "the short form"}, "moment"),
        ({"place": "at home", "hindrance": "if it rains", "instead": "then the short form"}, ""),
        ({}, ""),
    ],
)
def test_what_is_missing_of_a_plan_is_asked_for_where_it_is_missing(plan, asked):
    form = RuleForm({"at": "17:00", **plan})
    assert form.is_valid() is not bool(asked)
    assert list(form.errors) == [asked] * bool(asked)


@pytest.mark.parametrize(("letters", "is_kept"), [(60, True), (61, False)])
def test_the_words_that_the_sentence_has_already_take_no_room(letters, is_kept):
    plan = {"moment": "After work", "hindrance": "if " + "h" * letters, "instead": "then i"}
    form = RuleForm({"at": "17:00", **plan})
    assert form.is_valid() is is_kept
    if is_kept:
        assert form.cleaned_data["hindrance"] == "h" * letters


def test_an_hour_is_kept_to_the_minute_and_each_question_offers_answers():
    form = RuleForm({"at": "17:30:59"}, is_adult=False)
    assert form.is_valid()
    assert form.cleaned_data["at"] == time(17, 30)
    assert "by_chance" not in form.fields
    assert [(field.name, len(offered)) for field, offered in form.plan_fields] == [
        ("moment", 5), ("place", 5), ("hindrance", 4), ("instead", 3),
    ]  # fmt: skip
    # The browser shows them as a list that is beside the field.
    page = str(RuleForm()["moment"])
    assert 'list="id_moment_words"' in page
