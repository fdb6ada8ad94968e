"""What a student may not do now stands on every page on which something is chosen for them."""

from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse

from coaching.season.limits_pages import limits_of_several, limits_shown
from practice.care.models import PainNote, Stop
from practice.compliance.models import WeekTally
from tests import factories
from tests.conftest import signed_in
from tests.factories import MONDAY, make_student
from tests.log.entries import Phone, entry
from tests.test_routes import address, routes, things_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
# Kept by hand: a page added on which something is chosen for a student belongs here.
CHOOSING = {
    "board:student",
    "groups:show",
    "groups:test_day_of_group",
    "lessons:close",
    "lessons:door",
    "lessons:note",
    "plans:set_week",
    "plans:several",
    "plans:shorten",
    "progress:try_out",
    "progress:try_turns",
    "season:minutes",
    "season:plan",
    "season:sheet",
    "season:strip",
}


def test_a_stop_stands_before_whatever_can_be_chosen(coach):
    child = factories.make_child(coach, factories.make_user("Gil Guardian"), name="Kim")
    things = things_of(child)
    stopped = factories.make_drill(child.studio, "Ladder of the stop")
    Stop.objects.create(student=child, drill=stopped, since=MONDAY)
    client, missing = signed_in(coach), []
    known = {route.name: route for route in routes()}
    for name in sorted(CHOOSING):
        page = client.get(address(known[name], things), follow=True).content.decode()
        main = page[page.index("<main") :]
        at = main.find("o Ladder of the stop since")
        form = main.find('<form method="post"')
        # The limit's own form, which clears the stop, may stand between.
        if at < 0 or -1 < form < at:
            missing.append(name)
    assert not missing


HARD_WORK = ["progress:load", "progress:try_out", "season:plan"]
PASSED_ON = ["lessons:handover", "season:strip"]


@pytest.mark.parametrize("name", [*HARD_WORK, *PASSED_ON])
def test_so_do_the_limits_that_no_stop_stands_behind(coach, student, name):
    student.next_event, student.next_event_name = MONDAY, "Spring cup"
    student.save()
    page = signed_in(coach).get(reverse(name, args=[student.pk])).content.decode()
    assert "Event week: Spring cup" in page


@pytest.mark.parametrize("name", PASSED_ON)
def test_a_page_that_is_passed_on_tells_rest_and_never_why(coach, student, name):
    Phone(student).receipt(entry(student))
    for weeks, swings in enumerate((90, 10, 10, 10, 10)):
        opens = MONDAY - timedelta(weeks=weeks)
        WeekTally.objects.update_or_create(
            student=student, opens=opens, defaults={"hard_swings": swings}
        )
    PainNote.objects.create(
        student=student, entry=student.entries.get(), level=2, day=MONDAY, told_at=factories.NOON
    )
    page = (
        signed_in(coach).get(reverse(name, args=[student.pk]) + f"?from={MONDAY}").content.decode()
    )
    assert "Rest from hard swings for now: ask the lead coach." in page
    assert "Pain" not in page[page.index("<h1") :]


def test_the_pain_of_one_is_looked_at_by_their_own_week(coach, student, wednesday):
    """A student whose week opened later takes no day off the fortnight of another."""
    for weeks in range(1, 5):
        opens = MONDAY.fromordinal(MONDAY.toordinal() - 7 * weeks)
        WeekTally.objects.update_or_create(
            student=student, opens=opens, defaults={"hard_swings": 10}
        )
    WeekTally.objects.update_or_create(student=student, opens=MONDAY, defaults={"hard_swings": 90})
    phone = Phone(student)
    day = MONDAY.fromordinal(MONDAY.toordinal() - 12)
    said = entry(student, day=str(day))
    phone.receipt(said)
    PainNote.objects.create(
        student=student, entry=student.entries.get(), level=2, day=day, told_at=factories.NOON
    )
    rest = "No hard swings for now: something hurts, after many more than usual."
    assert rest in limits_shown(coach, student).lines
    wednesday.move_to(datetime(2031, 3, 2, 14, tzinfo=UTC))  # Monday on the other side.
    ahead = make_student(coach, "Far Ahead", time_zone="Pacific/Kiritimati")
    own, _ = limits_of_several(coach, [student, ahead], {})
    assert rest in own.lines


def told(student, day, level, *, drill=None):
    PainNote.objects.create(
        student=student, entry=student.entries.first(), level=level, day=day, where="knee",
        drill=drill, told_at=factories.NOON,
    )  # fmt: skip


def did(student, part, day):
    done = [{"p": str(part.pk), "d": None, "s": [{"n": 20, "c": 12, "e": None}]}]
    said = entry(student, part, day=str(day), at=f"{day}T11:30:00+00:00", b=done)
    Phone(student).receipt(said)


def serious_and_cleared(student, part):
    """The stop went; the fortnight after it did not."""
    Phone(student).receipt(entry(student))
    told(student, MONDAY - timedelta(days=5), 6)


def a_little_with_hard_swings(student, part):
    Phone(student).receipt(entry(student))
    told(student, MONDAY, 2)
    WeekTally.objects.filter(opens=MONDAY).update(hard_swings=5)


def on_both_last_days_of_part_1(student, part):
    for ago in (40, 38):
        day = MONDAY - timedelta(days=ago)
        did(student, part, day)
        told(student, day, 3)


HURTS = [serious_and_cleared, a_little_with_hard_swings, on_both_last_days_of_part_1]
SETS_WORK = [*PASSED_ON, "lessons:door", "plans:set_week", "season:sheet", "board:student"]


@pytest.mark.parametrize("hurts", HURTS)
def test_who_asks_before_hard_swings_is_told_to_whoever_sets_work(coach, student, hurts):
    """To a coach who may not read of the pain it is the same limit, without the pain."""
    drill = factories.make_drill(student.studio, "Effort ladder")
    long_ago = factories.make_part(
        factories.make_week(student, MONDAY - timedelta(weeks=6)), drill, sessions=3
    )
    factories.make_part(factories.make_week(student), drill, sessions=3)
    hurts(student, long_ago)
    other = factories.make_coach(student.studio, name="Other")
    client = signed_in(other)
    missing = []
    for name in SETS_WORK:
        args = [student.pk, MONDAY] if name == "plans:set_week" else [student.pk]
        page = client.get(reverse(name, args=args)).content.decode()
        main = page[page.index("<h1") :]
        assert "knee" not in main
        if "Ask the lead coach before any hard swings." not in main:
            missing.append(name)
    assert not missing
    own = limits_shown(coach, student).lines
    assert own == ("Ask how it feels before any hard swings: see Care notes.",)


def test_a_little_pain_alone_and_a_day_without_it_ask_nobody(coach, student):
    drill = factories.make_drill(student.studio, "Effort ladder")
    week = factories.make_week(student, MONDAY - timedelta(weeks=6))
    long_ago = factories.make_part(week, drill, sessions=3)
    factories.make_part(factories.make_week(student), drill, sessions=3)
    on_both_last_days_of_part_1(student, long_ago)
    did(student, long_ago, MONDAY - timedelta(days=37))
    told(student, MONDAY, 2)
    assert not limits_shown(coach, student)
