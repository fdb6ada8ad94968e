"""The gym strip as its rows: what is marked in words, the week before offered, golf and clashes."""

import pytest
from django.urls import reverse

from coaching.season import services
from coaching.season.clashes import Body, GymLine, GymLoad
from coaching.season.gym_pages import roster_of, strip_of, words_of
from coaching.season.limits_pages import limits_shown
from coaching.season.models import GymDay
from practice.care.models import Screening
from practice.care.screening import Can
from shared.people.models import Student
from tests.conftest import messages_on
from tests.factories import make_drill, make_part, make_student, make_week
from tests.season.make import LEGS, WEEK, day

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
REST = GymLine(GymLoad.REST)
TODAY = day(2)


def mark(student, lines):
    services.mark_gym(
        student=student,
        by=student.lead_coach,
        lines={day(n): line for n, line in lines.items()},
    )


def strip(student, weeks=0):
    return strip_of(student, day(7 * weeks), TODAY)


def address(student, **query):
    return reverse("season:strip", args=[student.pk], query=query or None)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (None, ""),
        (GymLine(GymLoad.REST, Body.LOWER, jumps=True), "rest"),
        (GymLine(GymLoad.HEAVY, Body.LOWER), "heavy, legs"),
        (GymLine(GymLoad.MEDIUM, Body.UPPER, jumps=True), "medium, upper body, jumps"),
        (GymLine(GymLoad.LIGHT), "light, whole body"),
    ],
)
def test_a_day_of_the_gym_in_words(line, words):
    assert words_of(line) == words


def test_each_day_shows_its_mark_and_its_hard_golf(student):
    for name in ("Speed set", "Bat", "Speed set"):
        speed = make_drill(student.studio, name, area="speed")
        week = student.weeks.first() or make_week(student)
        make_part(week, speed, days=[1])
    make_part(week, make_drill(student.studio, "Putts", area="putting"), days=[1])
    services.add_event(student=student, kind="event", name="Cup", first=day(6), last=day(8))
    jumps = GymLine(GymLoad.MEDIUM, Body.UPPER, jumps=True)
    mark(student, {0: jumps, 6: REST})
    here = strip(student)
    assert not here.is_empty
    assert not here.from_last_week
    first, second, third, *_, last = here.cells
    assert (first.weekday, first.date) == ("Monday", "Mon 24 Feb")
    assert (first.load, first.body, first.jumps) == ("medium", "upper", True)
    assert (first.words, first.golf) == ("medium, upper body, jumps", "")
    # A day without a mark is offered without one, for the whole body.
    assert (second.load, second.body, second.jumps) == ("", "both", False)
    assert (second.words, second.golf) == ("not marked", "Bat, Speed set")
    assert (last.words, last.golf) == ("rest", "Cup")
    assert [cell.is_today for cell in here.cells] == [False, False, True, *[False] * 4]
    assert third.day == TODAY
    assert here.clashes == ["Tue 25 Feb: Bat the day after heavy legs.",
                            "Tue 25 Feb: Speed set the day after heavy legs."]  # fmt: skip


def test_a_week_without_a_mark_is_offered_as_the_one_before(student):
    mark(student, {-7: LEGS, -1: REST, -8: LEGS, 7: LEGS})
    here = strip(student)
    assert (here.is_empty, here.from_last_week) == (True, True)
    assert [cell.load for cell in here.cells] == ["heavy", *[""] * 5, "rest"]
    mark(student, {0: REST})
    here = strip(student)
    assert (here.is_empty, here.from_last_week) == (False, False)
    assert [cell.load for cell in here.cells] == ["rest", *[""] * 6]
    here = strip(student, 2)
    assert [cell.load for cell in here.cells] == ["heavy", *[""] * 6]
    here = strip(student, 4)
    assert (here.is_empty, here.from_last_week) == (True, False)
    assert {cell.words for cell in here.cells} == {"not marked"}


def test_what_was_before_the_week_is_asked_and_not_said(student):
    """Clashes of the week alone, with what reaches over from the three days before it."""
    speed = make_drill(student.studio, "Speed set", area="speed")
    make_part(make_week(student, day(-7)), speed, days=[4, 5, 6])
    make_part(make_week(student), speed, days=[0, 6])
    make_part(make_week(student, day(7)), speed, days=[0])
    mark(student, {-1: LEGS, 6: LEGS})
    # The third hard day in a row was the Sunday.
    assert strip(student).clashes == [
        "Mon 24 Feb: Speed set the day after heavy legs.",
        "Mon 24 Feb: hard speed work the day after hard speed work.",
        "Sun 2 Mar: Speed set on a day of heavy legs.",
    ]


def test_of_a_screening_the_gym_is_told_nothing(coach, student):
    found = Screening.objects.create(
        student=student, day=day(0), movement="trunk", can=Can.CANNOT, by=coach
    )
    found.drills.add(make_drill(student.studio))
    assert limits_shown(coach, student).cannots
    assert strip(student).limits.cannots == ()


# --- everybody's week ---------------------------------------------------------------------


def test_the_list_says_the_week_of_each_and_what_clashes_in_it(coach):
    ann, ben = make_student(coach, "Ann"), make_student(coach, "Ben")
    speed = make_drill(ann.studio, "Speed set", area="speed")
    for opens, days in ((-7, [6]), (0, [0, 6]), (7, [0])):
        make_part(make_week(ann, day(opens)), speed, days=days)
    mark(ann, {-1: LEGS, 0: REST, 2: LEGS, 6: GymLine(GymLoad.LIGHT), 7: LEGS})
    mark(ben, {-1: LEGS, 7: LEGS})
    services.add_event(student=ben, kind="event", name="Cup", first=day(0))
    lines = roster_of([ann, ben], {ann.pk: day(0), ben.pk: day(0)})
    assert [(line.name, line.student_id) for line in lines] == [
        ("Ann", str(ann.pk)),
        ("Ben", str(ben.pk)),
    ]
    assert lines[0].words == "Wed heavy, legs; Sun light, whole body"
    assert lines[0].clashes == [
        "Mon 24 Feb: Speed set the day after heavy legs.",
        "Mon 24 Feb: hard speed work the day after hard speed work.",
    ]
    assert lines[1].words == "nothing marked this week"
    assert lines[1].clashes == ["Mon 24 Feb: Cup the day after heavy legs."]
    assert roster_of([], {}) == []


def test_students_whose_weeks_open_on_other_days_each_have_their_own(coach):
    ann, ben = make_student(coach, "Ann"), make_student(coach, "Ben")
    mark(ann, {0: LEGS, 6: LEGS})
    mark(ben, {-2: LEGS, 4: LEGS, 5: LEGS})
    lines = roster_of([ann, ben], {ann.pk: day(0), ben.pk: day(-2)})
    assert [line.words for line in lines] == [
        "Mon heavy, legs; Sun heavy, legs",
        "Sat heavy, legs; Fri heavy, legs",
    ]


# --- the page -----------------------------------------------------------------------------


def test_the_strip_is_kept_where_it_was_marked(coach_client, student):
    page = coach_client.get(address(student, **{"from": str(day(9))}))
    shown = {name: page.context[name] for name in ("earlier", "later", "closes")}
    assert (page.status_code, page.context["page"].opens) == (200, day(7))
    assert shown == {"earlier": day(0), "later": day(14), "closes": day(13)}
    form = {"times": "1", "d0-load": "heavy", "d0-body": "lower", "d0-jumps": "on"}
    form |= {"d6-load": "rest"}
    page = coach_client.post(address(student, **{"from": str(day(9))}), form)
    assert page.url == address(student, **{"from": str(day(7))})
    page = coach_client.get(page.url)
    assert messages_on(page) == "The strip is kept."
    assert page.status_code == 200
    kept = GymDay.objects.order_by("day").values_list("day", "load", "body", "jumps")
    assert list(kept) == [(day(7), "heavy", "lower", True), (day(13), "rest", "both", False)]
    assert {row.marked_by for row in GymDay.objects.all()} == {student.lead_coach}
    # A form is filled with what is kept.
    first, *_, last = [form.initial for _, form in page.context["rows"]]
    assert first == {"load": "heavy", "body": "lower", "jumps": True}
    assert last == {"load": "rest", "body": "both", "jumps": False}


@pytest.mark.parametrize(("weeks", "status"), [(-53, 404), (-52, 200), (52, 200), (53, 404)])
def test_a_year_each_way_can_be_looked_at(coach_client, student, weeks, status):
    asked = day(0) + weeks * WEEK
    assert coach_client.get(address(student, **{"from": str(asked)})).status_code == status


def test_a_week_opens_on_the_studios_day(coach_client, student):
    student.studio.first_weekday = 6
    student.studio.save()
    page = coach_client.get(address(student, **{"from": str(day(2))}))
    assert page.context["page"].opens == day(-1)
    assert [cell.weekday for cell in page.context["page"].cells][:2] == ["Sunday", "Monday"]


@pytest.mark.parametrize(("times", "weeks"), [("4", 4), ("8", 8), ("12", 12)])
def test_a_strip_is_kept_for_as_many_weeks_as_are_offered(coach_client, student, times, weeks):
    coach_client.post(address(student), {"times": times, "d2-load": "light"})
    assert [row.day for row in GymDay.objects.order_by("day")] == [
        day(2) + n * WEEK for n in range(weeks)
    ]


@pytest.mark.parametrize(("times", "may"), [(0, False), (1, True), (12, True), (13, False)])
def test_from_one_to_twelve_weeks_are_marked_at_once(student, times, may):
    def marked():
        services.mark_gym(student=student, by=None, lines={day(0): REST}, times=times)

    if may:
        marked()
    else:
        with pytest.raises(services.Refused, match="Mark from 1 to 12 weeks"):
            marked()
    assert GymDay.objects.count() == (times if may else 0)


def test_the_list_is_by_name(coach_client, coach):
    for name in ("Zoe", "Ann", "Mia"):
        make_student(coach, name)
    page = coach_client.get(reverse("season:gym"))
    assert page.status_code == 200
    assert [line.name for line in page.context["lines"]] == ["Ann", "Mia", "Zoe"]
    assert Student.objects.count() == 3
