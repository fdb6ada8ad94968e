"""An event week and a child's week have a ceiling of hard swings: what is offered keeps to it, and
what a coach asks beyond it is asked about once. The product's own rules (no outside source)."""

from dataclasses import replace
from datetime import timedelta
from itertools import product
from uuid import UUID

import pytest
from django.urls import reverse
from django.utils import timezone

from coaching.groups.test_day import limits_of as no_test
from coaching.lesson_day.proposal import proposal_for
from coaching.lessons import services as lessons
from coaching.lessons.models import Finding
from coaching.planning.weekly import fit_week
from coaching.season import services as seasons
from practice.care.asks_once import Beyond
from practice.care.hard_swings import asked_of, within
from practice.care.limits import Limits
from practice.care.models import Stop
from practice.compliance.limits import limits_of
from practice.compliance.models import WeekTally
from practice.compliance.tally import recompute
from practice.drills.dose import parse
from practice.drills.hard import hard_swings
from practice.flows import set_week
from practice.flows.set_several import assign_to_several
from practice.phone.bundle import bundle
from practice.tryouts.services import may_begin
from practice.weeks import queries
from practice.weeks.models import Week
from practice.weeks.places import DayPlace
from practice.weeks.plan import PartSpec
from tests import factories
from tests.care.asking import is_asked_once, typed
from tests.conftest import signed_in
from tests.factories import MONDAY

NEXT = MONDAY + timedelta(weeks=1)
A, B, C = (UUID(int=n) for n in (1, 2, 3))
AREAS = {A: "swing", B: "swing", C: "speed"}


def spec(drill, dose, sessions=3, **fields):
    return PartSpec(drill, parse(dose), sessions, 12, **fields)


def doses(parts):
    return [f"{part.sessions}: {part.dose}" if part else "" for part in parts]


# --- the rule alone ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("dose", "area", "count"),
    [
        ("10@50, 6@90", "swing", 6),
        ("3x4@max", "swing", 12),
        ("2 rounds: 10@50, 6@90", "swing", 12),
        ("8 min@95", "swing", 48),  # Timed: six a minute, as fast as a rehearsal goes.
        ("2 rounds: 3 min@max, 5 min", "swing", 36),
        ("5 min", "swing", 0),
        ("5 min", "speed", 30),
        ("6 balls", "swing", 0),
        ("6 balls", "speed", 6),  # Of speed every ball, unless it says how soft.
        ("10@50, 6", "speed", 6),
    ],
)
def test_hard_swings_of_a_visit(dose, area, count):
    assert hard_swings(parse(dose), area) == count


@pytest.mark.parametrize(
    ("most", "left"),
    [
        (60, ["3: 5@95", "3: 3x4@max", "2: 20 balls"]),
        (51, ["3: 5@95", "3: 3x4@max", "2: 20 balls"]),  # 15 and 36: just as many.
        (50, ["3: 5@95", "2: 3x4@max", "2: 20 balls"]),  # Visits first, of the last hard part.
        (27, ["3: 5@95", "1: 3x4@max", "2: 20 balls"]),
        (17, ["1: 5@95", "1: 3x4@max", "2: 20 balls"]),  # Then of the one above it.
        (16, ["1: 5@95", "1: 3x3@max", "2: 20 balls"]),  # Then swings of a visit.
        (7, ["1: 4@95", "1: 3x1@max", "2: 20 balls"]),
        (3, ["1: 1@95", "", "2: 20 balls"]),  # Then whole parts, from the last upwards.
        (0, ["", "", "2: 20 balls"]),
    ],
)
def test_a_week_is_brought_within_its_ceiling(most, left):
    parts = [spec(A, "5@95"), spec(B, "3x4@max"), spec(A, "20 balls", 2)]
    assert doses(within(parts, AREAS, most)) == left


@pytest.mark.parametrize(
    ("most", "left"),
    [
        (51, ["4: 10@50, 6@95", "3: 3x3@max"]),  # 24 and 27: just as many.
        (42, ["4: 10@50, 6@95", "2: 3x3@max"]),
        (30, ["4: 10@50, 5@95", "1: 3x3@max"]),  # The ladder keeps its four visits.
        (13, ["4: 10@50, 1@95", "1: 3x3@max"]),
        (9, ["4: 10@50, 1@95", "1: 3x1@max"]),
        (6, ["4: 10@50", "1: 3x1@max"]),
        (2, ["4: 10@50", ""]),
    ],
)
def test_what_is_soft_of_a_hard_part_stays(most, left):
    parts = [spec(A, "10@50, 6@95", 4), spec(B, "3x3@max")]
    assert doses(within(parts, AREAS, most)) == left


@pytest.mark.parametrize(
    ("most", "left"),
    [
        (144, "3: 8 min@95"),
        (143, "2: 8 min@95"),
        (30, "1: 5 min@95"),
        (6, "1: 1 min@95"),
        (5, ""),
    ],
)
def test_hard_work_by_the_clock_is_brought_within_it_too(most, left):
    assert doses(within([spec(A, "8 min@95")], AREAS, most)) == [left]


def test_nothing_is_ever_raised_and_what_is_soft_stays():
    some = [spec(A, "3@95", 2), spec(B, "10@50, 6@90", 4), spec(C, "6 balls", 1), spec(B, "9", 5)]
    some.append(spec(A, "5 min@60, 3 min@95", 2))
    for parts, most in product([some, some[::-1], some[:1]], range(90)):
        kept = within(parts, AREAS, most)
        assert asked_of([each for each in kept if each], AREAS) <= most
        for was, now in zip(parts, kept, strict=True):
            if now is None:
                assert asked_of([was], AREAS)
                continue
            assert now.sessions <= was.sessions
            assert now.minutes <= was.minutes
            by_effort = {step.effort: step.total for step in was.dose.steps}
            assert all(step.total <= by_effort[step.effort] for step in now.dose.steps)
            soft = [step for step in was.dose.steps if not step.is_hard and was.drill != C]
            assert set(soft) <= set(now.dose.steps)
            if not asked_of([was], AREAS):
                assert now == was


def test_a_part_with_fewer_visits_keeps_no_more_days_than_those():
    (left,) = within([spec(A, "5@95", days=(0, 2, 4), places=((4, "net"),))], AREAS, 10)
    assert (left.sessions, left.days, left.places) == (2, (0, 2), ())


def test_an_event_bears_on_its_own_week_alone():
    limits = Limits(A, events=frozenset({(NEXT + timedelta(6), NEXT + timedelta(8))}))
    weeks = [limits.in_week(MONDAY + timedelta(weeks=n)).ceiling for n in range(4)]
    assert [week.swings if week else None for week in weeks] == [None, 30, 30, None]


# --- as it is read, offered and sent ---------------------------------------------------------

pages = pytest.mark.usefixtures("db", "wednesday")


@pytest.fixture
def speed(student):
    return factories.make_drill(student.studio, "Speed set", area="speed", dose="3x4@max")


@pytest.fixture
def easy(student):
    return factories.make_drill(student.studio, "Quiet hands", dose="20 balls")


@pytest.fixture
def before_a_cup(student, speed, easy):
    """A week of 36 hard swings, and an event in the next: at most 30."""
    week = factories.make_week(student)
    for drill in (speed, easy):
        factories.make_part(week, drill, sessions=3)
    seasons.add_event(student=student, kind="event", name="Spring cup", first=NEXT + timedelta(5))
    return student


def never_hard(student):
    for weeks in range(4):
        WeekTally.objects.update_or_create(
            student=student, opens=MONDAY - timedelta(weeks=weeks), defaults={"hard_swings": 0}
        )


def asked(week):
    return [f"{part.sessions}: {part.dose}" for part in week.parts.order_by("priority")]


@pages
def test_the_second_event_ahead_bears_on_its_week_too(student):
    for week in (1, 4):
        day = MONDAY + timedelta(weeks=week)
        seasons.add_event(student=student, kind="event", name=f"Cup {week}", first=day)
    seasons.add_event(student=student, kind="test", name="Test", first=MONDAY + timedelta(weeks=2))
    limits = [limits_of(student, MONDAY + timedelta(weeks=n)) for n in range(6)]
    assert [bool(each.ceiling) for each in limits] == [False, True, False, False, True, False]


@pages
def test_last_week_as_it_was_is_lowered_and_the_page_says_why(coach, before_a_cup):
    client = signed_in(coach)
    at = reverse("plans:start", args=[before_a_cup.pk, NEXT])
    page = client.post(at, {"from": "last", "percent": ""}, follow=True).content.decode()
    assert asked(Week.objects.get(opens=NEXT)) == ["2: 3x4@max", "3: 20 balls"]
    assert "Event week: at most 30 hard swings. Less of Speed set." in page


@pages
def test_a_week_for_several_is_lowered_and_says_so_of_whom(coach, before_a_cup):
    (outcome,) = assign_to_several(
        students=[before_a_cup], opens_for={before_a_cup.pk: NEXT},
        source=Week.objects.get(opens=MONDAY), percents={}, by=coach, send=True,
    )  # fmt: skip
    assert not outcome.error
    assert outcome.found.says == ["Event week: at most 30 hard swings. Less of Speed set."]
    assert asked(outcome.week) == ["2: 3x4@max", "3: 20 balls"]


@pages
def test_a_coach_may_ask_one_of_several_for_all_of_it(coach, before_a_cup, speed, easy):
    """The question stands in the student's line, in the words of Set the week."""
    other = factories.make_student(coach, "Other")
    client, at = signed_in(coach), reverse("plans:several")
    source = Week.objects.get(opens=MONDAY)
    form = {
        "source": f"week:{source.pk}", "when": "next",
        "student": [str(before_a_cup.pk), str(other.pk)],
    }  # fmt: skip
    page = client.post(at, form | {"do": "look"}).content.decode()
    assert "Event week: at most 30 hard swings. This week asks 36." in page
    assert page.count('name="in-spite"') == 1
    assert f'name="in-spite" value="{before_a_cup.pk}"' in page
    assert "Ask for it all the same." in page
    said = form | {"in-spite": str(before_a_cup.pk)}
    page = client.post(at, said | {"do": "look"}).content.decode()
    assert f'name="in-spite" value="{before_a_cup.pk}" checked' in page
    assert "Less of Speed set" not in page
    client.post(at, said | {"do": "send"})
    weeks = Week.objects.filter(opens=NEXT, state=Week.State.SENT)
    assert weeks.count() == 2
    for week in weeks:
        assert asked(week) == ["3: 3x4@max", "3: 20 balls"]


@pages
def test_one_of_several_with_a_stop_is_never_asked_for_what_is_stopped(
    coach, before_a_cup, speed, easy
):
    Stop.objects.create(student=before_a_cup, drill=easy, since=MONDAY)
    (outcome,) = assign_to_several(
        students=[before_a_cup], opens_for={before_a_cup.pk: NEXT},
        source=Week.objects.get(opens=MONDAY), percents={}, by=coach, send=True,
        in_spite={before_a_cup.pk},
    )  # fmt: skip
    assert not outcome.error
    assert outcome.found.not_now == ("Quiet hands",)
    assert asked(outcome.week) == ["3: 3x4@max"]


@pages
def test_a_child_is_asked_for_no_more_hours_than_years_before_a_coach_says_so(coach, easy):
    """In a week no more hours of organised sport than years of age (Jayanthi and colleagues 2015,
    from memory)."""
    child = factories.make_child(coach, name="Kim", born_year=timezone.now().year - 10)
    form = typed(easy, "20 balls", 9)
    assert limits_of(child, NEXT).most_hours == 9  # In a year of birth alone: the younger.
    words = "At this age at most 9 hours of sport a week. This week asks 9.1."
    is_asked_once(coach, child, NEXT, form | {"p0-minutes": "60.5"}, words)
    nine = spec(easy.pk, "20 balls", 9)
    assert limits_of(child, NEXT).admit([replace(nine, minutes=60)], {}).specs


@pages
def test_hours_are_asked_of_nobody_who_is_of_age(coach, student, easy):
    long = [replace(spec(easy.pk, "20 balls", 14), minutes=600)]
    assert limits_of(student, NEXT).question(long, {}) is None
    grown = replace(limits_of(student, NEXT), youngest=18)
    assert grown.question(long, {}) is None
    assert replace(grown, youngest=17).question(long, {}) is not None


@pages
def test_one_of_several_who_is_asked_too_many_hours_stays_a_draft_until_a_coach_says_so(
    coach, student, easy
):
    week = factories.make_week(student)
    factories.make_part(week, easy, sessions=10, minutes=60)
    child = factories.make_child(coach, name="Kim", born_year=timezone.now().year - 10)
    client, at = signed_in(coach), reverse("plans:several")
    form = {"source": f"week:{week.pk}", "when": "next", "student": str(child.pk)}
    page = client.post(at, form | {"do": "look"}).content.decode()
    assert f'name="in-spite" value="{child.pk}"' in page
    client.post(at, form | {"do": "send", "in-spite": str(child.pk)})
    assert Week.objects.get(student=child, opens=NEXT).state == Week.State.SENT
    client.post(at, form | {"do": "send", "when": "this"})
    assert Week.objects.get(student=child, opens=MONDAY).state == Week.State.DRAFT


@pages
def test_hard_work_by_the_clock_is_asked_about(coach, before_a_cup, easy):
    form = typed(easy, "8 min@95", 1)
    words = "Event week: at most 30 hard swings. This week asks 48."
    is_asked_once(coach, before_a_cup, NEXT, form, words)


@pages
def test_the_sum_of_the_page_counts_what_the_ceiling_counts(coach, student, easy):
    """A speed drill that names no effort, and hard work by the clock."""
    fast = factories.make_drill(student.studio, "Sprint", area="speed", dose="6 balls")
    client, at = signed_in(coach), reverse("plans:set_week", args=[student.pk, NEXT])
    page = client.post(at, typed(fast, "6 balls", 3) | {"do": "live"}, headers={"X-Fragment": "1"})
    assert page.context["sums"].totals.hard_swings == 18
    page = client.post(at, typed(easy, "8 min@95", 2) | {"do": "live"}, headers={"X-Fragment": "1"})
    assert page.context["sums"].totals.hard_swings == 96
    assert "A hard minute counts as 6 swings." in page.content.decode()
    lesson = lessons.open_lesson(student=student, by=coach)
    Finding.objects.create(lesson=lesson, position=0, fault="slow").drills.add(fast)
    page = client.get(reverse("lessons:close", args=[lesson.pk]))
    assert page.context["page"].hard.planned == 18


@pages
def test_fitting_lowers_what_was_typed_and_says_so(coach, before_a_cup, speed, easy):
    seasons.set_days(student=before_a_cup, times=[(n, DayPlace.RANGE, 240) for n in range(7)])
    parts = [spec(speed.pk, "3x4@max", 4), spec(easy.pk, "20 balls", 2)]
    fitted = fit_week(before_a_cup, NEXT, parts)
    assert doses(fitted.specs) == ["2: 3x4@max", "2: 20 balls"]
    assert fitted.says[0] == "Event week: at most 30 hard swings. Less of Speed set."
    form = typed(speed, "3x4@max", 4) | {"do": "fit"}
    page = signed_in(coach).post(reverse("plans:set_week", args=[before_a_cup.pk, NEXT]), form)
    (row,) = page.context["rows"]
    assert row.typed["sessions"] == "2"


@pages
def test_closing_a_lesson_proposes_no_more_than_the_week_may_ask(coach, before_a_cup, speed):
    lesson = lessons.open_lesson(student=before_a_cup, by=coach)
    rows = {row.name: row for row in proposal_for(lesson, NEXT).rows}
    suggested = rows["Speed set"].choice("")
    assert (suggested.carry, suggested.hard_swings) == ("shrink", 24)
    assert rows["Speed set"].reason == "Event week: at most 30 hard swings. Less of it for now."
    assert rows["Quiet hands"].choice("").carry == "keep"
    never_hard(before_a_cup)
    rows = {row.name: row for row in proposal_for(lesson, NEXT).rows}
    assert rows["Speed set"].choice("").carry == "leave out"
    assert rows["Speed set"].reason == "No hard swings before the event: left out for now."


@pages
def test_a_swap_that_is_suggested_is_lowered_and_stays_a_swap(coach, student, speed, easy):
    """For a stopped drill another is suggested, and that one is hard."""
    factories.make_part(factories.make_week(student), easy, sessions=3)
    recompute(student, MONDAY)
    easy.swaps.add(speed)
    Stop.objects.create(student=student, drill=easy, since=MONDAY)
    lesson = lessons.open_lesson(student=student, by=coach)
    (row,) = proposal_for(lesson, NEXT).rows
    assert (row.choice("").carry, row.choice("").hard_swings) == ("swap", 36)
    seasons.add_event(student=student, kind="event", name="Cup", first=NEXT + timedelta(5))
    (row,) = proposal_for(lesson, NEXT).rows
    assert (row.choice("").carry, row.choice("").hard_swings) == ("swap", 24)
    assert row.reason == "Event week: at most 30 hard swings. Less of it for now."


@pages
def test_a_coach_who_asks_for_more_is_asked_once_in_the_same_place(coach, before_a_cup, speed):
    form = typed(speed, "3x4@max", 3)
    words = "Event week: at most 30 hard swings. This week asks 36. Take some out, or say"
    assert asked(is_asked_once(coach, before_a_cup, NEXT, form, words)) == ["3: 3x4@max"]


@pages
def test_so_is_one_who_closes_a_lesson_with_more(coach, before_a_cup, speed):
    lesson = lessons.open_lesson(student=before_a_cup, by=coach)
    client, at = signed_in(coach), reverse("lessons:close", args=[lesson.pk])
    form = {"do": "send", "opens": str(NEXT), f"do-{speed.pk}": "keep"}
    page = client.post(at, form)
    assert page.status_code == 400
    assert "Event week: at most 30 hard swings." in page.content.decode()
    assert 'name="in-spite" form="close"' in page.content.decode()
    assert not Week.objects.filter(opens=NEXT, state=Week.State.SENT).exists()
    assert client.post(at, form | {"in-spite": "on"}).status_code == 302
    assert asked(Week.objects.get(opens=NEXT, state=Week.State.SENT))[0] == "3: 3x4@max"


@pages
def test_more_than_a_ceiling_may_stand_and_shrink_and_no_other_may_come(coach, student, speed):
    """The event was noted after the week was sent."""
    week = factories.make_week(student)
    factories.make_part(week, speed, sessions=4)
    seasons.add_event(student=student, kind="event", name="Cup", first=MONDAY + timedelta(5))
    (part,) = queries.specs_of(week)
    set_week.amend_week(week=week, specs=[part], by=coach, note="Good luck.")
    other = factories.make_drill(student.studio, "Other", dose="10@95")
    with pytest.raises(Beyond, match=r"at most 30 hard swings\. This week asks 58\."):
        set_week.amend_week(week=week, specs=[part, spec(other.pk, "10@95", 1)], by=coach)
    soft = factories.make_drill(student.studio, "Soft", dose="10@50")
    set_week.amend_week(week=week, specs=[part, spec(soft.pk, "10@50", 1)], by=coach)


@pages
def test_no_try_out_and_no_test_of_hard_work_begins_where_none_is_left(before_a_cup, speed, easy):
    assert may_begin(before_a_cup, speed, NEXT)
    never_hard(before_a_cup)
    assert not may_begin(before_a_cup, speed, NEXT)
    assert may_begin(before_a_cup, speed, MONDAY)
    assert may_begin(before_a_cup, easy, NEXT)
    assert not no_test([before_a_cup], speed)
    seasons.add_event(student=before_a_cup, kind="event", name="Now", first=MONDAY + timedelta(4))
    assert list(no_test([before_a_cup], speed).values()) == [
        "No hard swings before the event: no test."
    ]


@pages
@pytest.mark.parametrize(("visits", "offered"), [(2, True), (3, False)])
def test_the_phone_offers_no_swap_that_asks_more(student, speed, easy, visits, offered):
    """So many visits of 12 hard swings instead of 20 soft balls, where the week may ask 30."""
    week = factories.make_week(student)
    factories.make_part(week, easy, sessions=visits, swaps=[str(speed.pk)])
    seasons.add_event(student=student, kind="event", name="Cup", first=MONDAY + timedelta(5))
    (told,) = bundle(student, student.user)["weeks"]
    assert (told["parts"][0]["swaps"] == [str(speed.pk)]) is offered


@pages
def test_a_child_who_rests_is_said_both_at_once(coach, speed):
    child = factories.make_child(coach, name="Kim")
    limits = Limits(child.pk, rests=True, under_16=True, opens=NEXT)
    with pytest.raises(ValueError, match=r"40 hard swings a week\. This week asks 45\. These days"):
        limits.admit([spec(speed.pk, "3x5@max")], {speed.pk: "speed"})


@pages
def test_a_child_keeps_two_days_of_rest_unless_a_coach_says_otherwise(coach, easy):
    child = factories.make_child(coach, name="Kim")
    form = typed(easy, "20 balls", 6, days=["0", "1", "2", "3", "4", "5"])
    words = "two days of rest a week. Practice is fixed to 6 days."
    week = is_asked_once(coach, child, NEXT, form, words)
    # What stands may stay, and five days ask nothing.
    set_week.amend_week(week=week, specs=queries.specs_of(week), by=coach, note="Well done.")
    five = limits_of(child, NEXT).admit([spec(easy.pk, "20 balls", 5, days=(0, 1, 2, 3, 4))], {})
    assert five.specs


@pages
def test_a_fit_leaves_a_child_its_days_of_rest_and_an_event_its_72_hours(coach, speed, easy):
    child = factories.make_child(coach, name="Kim")
    seasons.set_days(student=child, times=[(n, DayPlace.RANGE, 240) for n in range(7)])
    seasons.add_event(student=child, kind="event", name="Cup", first=NEXT + timedelta(5))
    fitted = fit_week(child, NEXT, [spec(easy.pk, "20 balls", 7), spec(speed.pk, "2@max", 3)])
    soft, hard = fitted.specs
    assert len({*soft.days, *hard.days}) <= 5
    assert not {2, 3, 4, 5} & set(hard.days)


@pages
def test_a_week_copied_for_a_child_is_fixed_to_five_days_and_says_so(coach, easy):
    child = factories.make_child(coach, name="Kim")
    week = factories.make_week(child)
    factories.make_part(week, easy, sessions=6, days=[0, 1, 2, 3, 4, 5])
    other = factories.make_drill(child.studio, "Other", dose="20 balls")
    factories.make_part(week, other, sessions=2, days=[0, 5])
    (outcome,) = assign_to_several(
        students=[child], opens_for={child.pk: NEXT}, source=week, percents={}, by=coach, send=True
    )
    assert not outcome.error
    assert [part.days for part in outcome.week.parts.order_by("priority")] == [
        [0, 1, 2, 3, 5], [0, 5],
    ]  # fmt: skip
    assert outcome.found.says == [
        "Under 16: two days of rest a week. Some fixed days of Quiet hands are free now."
    ]


@pages
def test_what_a_coach_asked_all_the_same_can_be_made_shorter(coach, before_a_cup, speed, easy):
    week = set_week.start_draft(student=before_a_cup, opens=NEXT, by=coach)
    asked = [spec(speed.pk, "3x4@max", 6), spec(easy.pk, "20 balls", 4)]
    set_week.save_parts(week=week, specs=asked, by=coach)
    set_week.send_week(week=week, by=coach, in_spite=True)
    week.refresh_from_db()
    shorter = set_week.shorten_week(week=week, by=coach)
    assert shorter.revision == week.revision + 1
