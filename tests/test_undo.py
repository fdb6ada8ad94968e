"""Whatever one tap removes or marks comes back with one tap, for ten minutes, without scripts."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from coaching.forecast.models import Tried
from coaching.lessons.models import Finding, Lesson
from coaching.lessons.services import plan_lesson
from coaching.messages.models import KeptWords, NoteSeen
from coaching.season.models import Event
from coaching.season.services import add_event
from coaching.timetable import following
from coaching.timetable.models import Followed, Holiday, Occurrence
from coaching.timetable.services import add_series
from practice.compliance.models import WeekTally
from practice.compliance.tally import recompute
from practice.drills.models import Caution
from practice.flows.excuse import excuse
from practice.log.models import Entry, Line
from practice.log.services import mark_read
from practice.weeks.models import Excusal, Part, Week
from shared.people import undo
from shared.people.models import Membership, Student
from tests import factories
from tests.care.forms_of import forms_of
from tests.conftest import signed_in
from tests.factories import MONDAY, NOON
from tests.log.entries import Phone, entry

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


@dataclass
class Tap:
    """One tap: where it goes, what it says, and what stands before it, as plain values."""

    name: str
    url: str
    stands: Callable[[], object]
    data: dict[str, str]


def noted(student: Student) -> Entry:
    written = entry(student, note="Like a gate?")
    Phone(student).receipt(written)
    return Entry.objects.get(pk=written["id"])


def of_lesson(student: Student) -> Tap:
    lesson = plan_lesson(student=student, coach=student.lead_coach, at=NOON + timedelta(3))
    rows = Lesson.objects.filter(student=student).values_list("at", "coach", "place")
    day = Student.objects.filter(pk=student.pk).values_list("next_lesson", flat=True)
    return Tap("lesson", reverse("lessons:cancel", args=[lesson.pk]),
               lambda: (list(rows.all()), list(day.all())), {})  # fmt: skip


def of_a_timetables_lesson(student: Student) -> Tap:
    first = MONDAY + timedelta(8)
    add_series(
        student=student, coach=student.lead_coach, first=first, at=NOON.time(), rule="FREQ=WEEKLY"
    )
    days = Occurrence.objects.order_by("day")
    tap = reverse("lessons:cancel", args=[days[0].lesson_id])
    return Tap("lesson", tap, lambda: [(each.day, each.lesson is None) for each in days.all()], {})


def of_a_followed_calendar(student: Student) -> Tap:
    followed = following.add(
        studio=student.studio, by=student.lead_coach, address="https://calendar.example.org/a.ics"
    )
    rows = Followed.objects.values_list("address", "stopped_at")
    tap = reverse("timetable:followed", args=[followed.pk])
    return Tap("follow", tap, lambda: list(rows.all()), {"stop": "1"})


def of_event(student: Student) -> Tap:
    event = add_event(
        student=student, kind=Event.Kind.COMPETITION, name="Cup", first=MONDAY + timedelta(9)
    )
    rows = Event.objects.values_list("kind", "name", "first", "last")
    next_one = Student.objects.filter(pk=student.pk).values_list("next_event", "next_event_name")
    return Tap("event", reverse("season:remove_event", args=[student.pk, event.pk]),
               lambda: (list(rows.all()), list(next_one.all())), {})  # fmt: skip


def of_drill(student: Student) -> Tap:
    drill = factories.make_drill(student.studio)
    return Tap("put away", reverse("drills:archive", args=[drill.pk]),
               lambda: type(drill).objects.get(pk=drill.pk).archived_at is None, {})  # fmt: skip


def of_caution(student: Student) -> Tap:
    drill = factories.make_drill(student.studio)
    Caution.objects.create(drill=drill, when="If it is stiff,", stop="stop.", who="Tell me.")
    rows = Caution.objects.values_list("pk", "withdrawn_at")
    return Tap("caution", reverse("drills:withdraw_caution", args=[drill.pk]),
               lambda: list(rows.all()), {})  # fmt: skip


def of_excused_days(student: Student) -> Tap:
    away = excuse(
        student=student, first=MONDAY, last=MONDAY + timedelta(2), told_by=student.lead_coach
    )
    rows = Excusal.objects.filter(withdrawn_at=None).values_list("first", "last", "kind", "told_by")
    return Tap("excused", reverse("plans:withdraw", args=[student.pk, away.pk]),
               lambda: list(rows.all()), {})  # fmt: skip


def of_holiday(student: Student) -> Tap:
    day = MONDAY + timedelta(9)
    holiday = student.studio.holidays.create(first=day, last=day, name="Fair")
    rows = Holiday.objects.values_list("first", "last", "name")
    return Tap("holiday", reverse("timetable:holiday_remove", args=[holiday.pk]),
               lambda: list(rows.all()), {})  # fmt: skip


def of_seen(student: Student) -> Tap:
    note = noted(student)
    return Tap("seen", reverse("words:act", args=[note.pk]), NoteSeen.objects.count, {"do": "seen"})


def of_kept_words(student: Student) -> Tap:
    note = noted(student)
    return Tap("kept words", reverse("words:act", args=[note.pk]),
               lambda: (KeptWords.objects.count(), NoteSeen.objects.count()),
               {"do": "keep", "text": "like a gate"})  # fmt: skip


def of_answer(student: Student) -> Tap:
    note = noted(student)
    return Tap("line", reverse("words:act", args=[note.pk]), Line.objects.count,
               {"do": "answer", "text": "Yes."})  # fmt: skip


def of_line(student: Student) -> Tap:
    return Tap("line", reverse("board:write_line", args=[student.pk]),
               lambda: (Line.objects.count(), Tried.objects.count()),
               {"text": "How are you?"})  # fmt: skip


def week_to_send(student: Student) -> tuple[Week, dict[str, str]]:
    """A draft that was kept, and the form that sends it."""
    week = factories.make_week(student, MONDAY, sent=False)
    drill = factories.make_drill(student.studio, cue="Tall")
    drill.swaps.add(factories.make_drill(student.studio))
    fields = {"rows": "1", "note": "Go slow.", "p0-drill": str(drill.pk), "p0-dose": "12@40",
              "p0-sessions": "3", "p0-minutes": "10"}  # fmt: skip
    url = reverse("plans:set_week", args=[student.pk, MONDAY])
    assert signed_in(student.lead_coach).post(url, fields | {"do": "keep"}).status_code == 302
    (row,) = week.parts.all()
    return week, fields | {"p0-id": str(row.pk), "do": "send"}


def stands(week: Week) -> list[object]:
    """Everything of the week and its parts, and what is credited."""
    weeks = Week.objects.filter(pk=week.pk)
    parts = Part.objects.filter(week=week).order_by("pk")
    tallies = WeekTally.objects.filter(student=week.student, opens=week.opens)
    return [
        list(weeks.values()),
        [row | {"added_at": None} for row in parts.values()],
        list(tallies.values_list("has_plan", "asked_minutes", "parts")) or [(False, 0.0, [])],
    ]


def of_week(student: Student) -> Tap:
    week, fields = week_to_send(student)
    url = reverse("plans:set_week", args=[student.pk, MONDAY])
    return Tap("week sent", url, lambda: stands(week), fields)


def of_several(student: Student) -> Tap:
    """Who had no week has a draft afterwards: what was sent is not lost."""
    other = factories.make_student(student.lead_coach, name="Bo")
    source = factories.make_week(other, MONDAY - timedelta(7))
    factories.make_part(source, factories.make_drill(student.studio))
    state = Week.objects.filter(student__in=[student, other], opens=MONDAY, state="sent")
    fields = {"source": f"week:{source.pk}", "student": [str(student.pk), str(other.pk)],
              "do": "send", "when": "this"}  # fmt: skip
    return Tap("week sent", reverse("plans:several"), state.count, fields)


def of_lessons_week(student: Student) -> Tap:
    lesson = Lesson.objects.create(
        student=student, coach=student.lead_coach, at=NOON, state="open", opened_at=NOON
    )
    finding = Finding.objects.create(lesson=lesson, fault="Sway")
    finding.drills.add(factories.make_drill(student.studio))
    weeks = Week.objects.filter(student=student, state="sent")
    url = reverse("lessons:close", args=[lesson.pk])
    return Tap("week sent", url, weeks.count, {"do": "send", "opens": str(MONDAY)})


def of_change(student: Student) -> Tap:
    """One part is made less, one is closed, one begins; the words are others."""
    week = factories.make_week(student)
    drills = [factories.make_drill(student.studio, name) for name in ("Gate", "Wall")]
    old = [factories.make_part(week, drill, sessions=4, cue="Tall") for drill in drills]
    new = factories.make_drill(student.studio)
    fields = {"rows": "2", "note": "Less.", "do": "send", "revision": "1",
              "p0-id": str(old[0].pk), "p0-drill": str(old[0].drill_id), "p0-dose": old[0].dose,
              "p0-sessions": "2", "p0-minutes": "5", "p0-cue": "Taller",
              "p1-drill": str(new.pk), "p1-dose": "5@50", "p1-sessions": "1",
              "p1-minutes": "5"}  # fmt: skip
    recompute(student, MONDAY)
    url = reverse("plans:set_week", args=[student.pk, MONDAY])
    return Tap("week changed", url, lambda: stands(week), fields)


def of_shorter_week(student: Student) -> Tap:
    opens = MONDAY + timedelta(7)
    week = factories.make_week(student, opens, sent_at=NOON, published_on=NOON.date())
    drills = [factories.make_drill(student.studio, name) for name in ("Gate", "Wall")]
    factories.make_part(week, drills[0], sessions=4, days=[0, 2, 4, 5], places={"5": "range"})
    factories.make_part(week, drills[1], sessions=4)
    recompute(student, opens)
    url = reverse("plans:shorten", args=[student.pk, opens])
    return Tap("week changed", url, lambda: (stands(week), Tried.objects.count()), {})


TAPS = [
    *(of_week, of_several, of_lessons_week, of_change, of_shorter_week),
    *(
        of_lesson,
        of_a_timetables_lesson,
        of_a_followed_calendar,
        of_event,
        of_drill,
        of_caution,
        of_excused_days,
    ),
    *(of_holiday, of_seen, of_kept_words, of_answer, of_line),
]


def told(client: Client, tap: Tap) -> list:
    """The page that answers the tap, by its forms that undo."""
    page = client.post(tap.url, tap.data, follow=True)
    at = page.redirect_chain[-1][0]
    return [form for form in forms_of(page.content.decode(), at) if form.action == "/undo/"]


def press(client: Client, form) -> str:
    return client.post("/undo/", form.fields, follow=True).content.decode()


@pytest.mark.parametrize("of", TAPS)
def test_one_tap_comes_back_with_one_tap(coach, student, of):
    tap, client = of(student), signed_in(coach)
    before = tap.stands()
    (form,) = told(client, tap)
    assert tap.stands() != before, "The tap did nothing."
    page = press(client, form)
    assert tap.stands() == before
    assert "message success" in page
    press(client, form)
    assert tap.stands() == before, "Twice is not the same as once."


@pytest.mark.parametrize("of", TAPS)
def test_after_ten_minutes_it_stays(coach, student, of):
    tap, client = of(student), signed_in(coach)
    (form,) = told(client, tap)
    after = tap.stands()
    with time_machine.travel(NOON + undo.GOOD_FOR + timedelta(seconds=1), tick=False):
        assert "Ten minutes are over. It stays as it is now." in press(client, form)
    assert tap.stands() == after


@pytest.mark.parametrize("of", TAPS)
def test_nobody_undoes_what_another_did(coach, student, of):
    tap = of(student)
    (form,) = told(signed_in(coach), tap)
    after = tap.stands()
    other = factories.make_coach(student.studio, name="Coach Two")
    assert "Only who did it can undo it." in press(signed_in(other), form)
    assert tap.stands() == after


@pytest.mark.parametrize("of", TAPS)
def test_who_may_no_more_undoes_nothing(coach, student, of):
    tap, client = of(student), signed_in(coach)
    (form,) = told(client, tap)
    after = tap.stands()
    Membership.objects.filter(user=coach).delete()
    assert client.post("/undo/", form.fields).status_code == 404
    assert tap.stands() == after


def test_each_undo_is_tried_here(student):
    ways = (of_week, of_shorter_week, of_lesson, of_event, of_drill, of_caution, of_excused_days,
            of_holiday, of_seen, of_kept_words, of_line, of_a_followed_calendar)  # fmt: skip
    assert {of(student).name for of in ways} == set(undo._takers)


def test_what_was_read_meanwhile_stays_and_says_so(coach, student):
    tap, client = of_line(student), signed_in(coach)
    (form,) = told(client, tap)
    mark_read(student=student, by=student.user)
    assert "has read it already" in press(client, form)
    assert Line.objects.count() == 1


def test_a_newer_caution_is_not_undone_by_an_older(coach, student):
    tap, client = of_caution(student), signed_in(coach)
    (form,) = told(client, tap)
    drill = Caution.objects.get().drill
    Caution.objects.create(drill=drill, version=2, when="When cold,", stop="wait.")
    assert "A newer caution stands." in press(client, form)
    assert Caution.objects.filter(withdrawn_at=None).count() == 1


@pytest.mark.parametrize("what", ["", "x", "x:y:z"])
def test_nonsense_undoes_nothing(coach, what):
    page = signed_in(coach).post("/undo/", {"what": what}, follow=True)
    assert "There is nothing to undo." in page.content.decode()


def test_a_lesson_that_has_begun_is_not_said_to_be_off(coach, student):
    lesson = Lesson.objects.create(
        student=student, coach=coach, at=NOON, state=Lesson.State.OPEN, opened_at=NOON
    )
    page = signed_in(coach).post(reverse("lessons:cancel", args=[lesson.pk]), follow=True)
    assert "That lesson has begun already. It stays." in page.content.decode()
    assert Lesson.objects.filter(pk=lesson.pk).exists()
