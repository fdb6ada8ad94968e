"""A part with which something hurts: nothing raises it, puts it first or keeps it while what does
no harm goes. The product's own duty of care (no outside source)."""

from datetime import timedelta

import pytest
from django.urls import reverse

from coaching.planning.weekly import start_from_season
from practice.care.models import PainNote
from practice.compliance.models import WeekTally
from practice.compliance.tally import recompute
from practice.flows import set_week
from practice.flows.set_several import assign_to_several
from practice.flows.take_entry import STORED, Sender, receive_one
from practice.numbers.moved.answer import moved_parts
from practice.numbers.moved.queries import read_moved
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.reckoning import due
from practice.weeks.models import Week, WeekTemplate
from tests import factories
from tests.conftest import signed_in
from tests.factories import MONDAY, NOON
from tests.log.entries import entry
from tests.season.make import make_plan, make_ramp

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]
NEXT = MONDAY + timedelta(weeks=1)
DAYS = (MONDAY - timedelta(days=6), MONDAY - timedelta(days=4))


@pytest.fixture
def parts(student):
    """What hurts, and two that do no harm; 60, 40 and 20 minutes in the week."""
    week = factories.make_week(student)
    drills = [factories.make_drill(student.studio, name, "20 balls") for name in ("Turn", "A", "B")]
    made = [
        factories.make_part(week, drill, sessions=2, minutes=minutes)
        for drill, minutes in zip(drills, (30, 20, 10), strict=True)
    ]
    recompute(student, MONDAY)
    return made


@pytest.fixture
def hurting(student, parts):
    """Something hurt on both of the last days of the first."""
    for day in DAYS:
        done = {"p": None, "d": str(parts[0].drill_id), "s": [{"n": 20, "c": 12, "e": None}]}
        said = entry(student, day=str(day), at=f"{day}T11:30:00+00:00", b=[done])
        assert receive_one(said, sender=Sender(student, student.user)) == STORED
        PainNote.objects.create(
            student=student, entry=student.entries.get(day=day), drill=parts[0].drill,
            level=2, day=day, told_at=NOON,
        )  # fmt: skip
    WeekTally.objects.exclude(opens=MONDAY).update(minutes=200)  # So that no week is a stretch.
    return student


def asked(week):
    live = week.parts.filter(removed_at=None).order_by("priority")
    return {part.drill.current.name: part.sessions for part in live}


def test_a_shorter_week_takes_out_what_hurts_first(coach, hurting):
    client, at = signed_in(coach), reverse("plans:shorten", args=[hurting.pk, MONDAY])
    page = client.get(at).content.decode()
    assert "What needs care goes first" in page
    assert "part 1 stays" not in page
    client.post(at)
    assert asked(Week.objects.get()) == {"A": 2, "B": 2}


def test_without_pain_the_first_part_stays(coach, student, parts):
    client, at = signed_in(coach), reverse("plans:shorten", args=[student.pk, MONDAY])
    assert "part 1 stays" in client.get(at).content.decode()
    client.post(at)
    assert asked(Week.objects.get()) == {"Turn": 2, "A": 1}


def test_one_free_day_between_and_it_is_as_any_other(coach, hurting):
    PainNote.objects.filter(day=DAYS[1]).delete()
    set_week.shorten_week(week=Week.objects.get(), by=coach)
    assert asked(Week.objects.get()) == {"Turn": 2, "A": 1}


def doses(week):
    return {part.drill.current.name: part.dose for part in week.parts.all()}


def test_last_week_with_more_asks_no_more_of_it_and_says_so(coach, hurting):
    at = reverse("plans:start", args=[hurting.pk, NEXT])
    page = signed_in(coach).post(at, {"from": "last", "percent": "50"}, follow=True)
    assert doses(Week.objects.get(opens=NEXT)) == {
        "Turn": "20 balls", "A": "30 balls", "B": "30 balls",
    }  # fmt: skip
    assert "Not more of Turn for now: see Care notes." in page.content.decode()
    page = signed_in(coach).post(at, {"from": "last", "percent": "-50"}, follow=True)
    assert doses(Week.objects.get(opens=NEXT))["Turn"] == "10 balls"
    assert "Not more of" not in page.content.decode()


def test_nor_does_a_week_for_several(coach, hurting):
    (outcome,) = assign_to_several(
        students=[hurting], opens_for={hurting.pk: NEXT}, source=Week.objects.get(),
        percents={hurting.pk: 50}, by=coach, send=True,
    )  # fmt: skip
    assert doses(outcome.week)["Turn"] == "20 balls"
    assert outcome.found.says == ["Not more of Turn for now: see Care notes."]


def test_the_page_of_several_counts_with_it(coach, hurting):
    template = WeekTemplate.objects.create(
        studio=hurting.studio, name="Turn alone", author=coach,
        parts=[{"drill": str(p.drill_id), "dose": p.dose, "sessions": 2, "minutes": 10}
               for p in Week.objects.get().parts.filter(priority=1)],
    )  # fmt: skip
    form = {"source": f"template:{template.pk}", f"percent-{hurting.pk}": "100", "do": "look"}
    (row,) = signed_in(coach).post(reverse("plans:several"), form).context["rows"]
    assert row.minutes == 20


def test_nor_does_a_season(coach, hurting):
    make_ramp(make_plan(hurting), area="swing", start=240, target=240, opens=NEXT)
    start_from_season(student=hurting, opens=NEXT, by=coach)
    kept = doses(Week.objects.get(opens=NEXT))
    assert kept["Turn"] == "20 balls"
    assert kept["A"] != "20 balls"


def four_weeks_hardly_done(student, drill):
    for ago in range(1, 5):
        opens = MONDAY - timedelta(weeks=ago)
        row = {
            "drill": str(drill.pk), "part": str(drill.pk), "name": "Turn", "priority": 1,
            "credit": 0.4, "asked_minutes": 60.0, "removed": False,
        }  # fmt: skip
        WeekTally.objects.update_or_create(
            student=student, opens=opens, defaults={"has_plan": True, "parts": [row]}
        )


def verdict(student):
    (part,) = moved_parts(read_moved(student, MONDAY + timedelta(2)), is_minor=False)
    return str(part.verdict)


def test_what_moved_puts_it_never_first(coach, hurting, parts):
    four_weeks_hardly_done(hurting, parts[0].drill)
    assert verdict(hurting) == "Less for now"
    page = signed_in(coach).get(reverse("progress:moved", args=[hurting.pk])).content.decode()
    assert "Less for now: Turn." in page
    assert "Put it first" not in page
    own = (
        signed_in(hurting.user)
        .get(reverse("progress:own_moved", args=[hurting.pk]))
        .content.decode()
    )
    assert "Go easy on this one for now. Your coach will look at it." in own
    PainNote.objects.all().delete()
    assert verdict(hurting) == "Do it first"


def test_what_the_phone_says_of_it_is_made_again_after_a_pain(student, parts):
    NumbersNow.objects.create(
        student=student, figures={}, sittings=0, reckoned_at=NOON - timedelta(minutes=5)
    )
    assert not due(NOON).exists()
    said = entry(student, day=str(MONDAY), at=f"{MONDAY}T11:30:00+00:00")
    assert receive_one(said, sender=Sender(student, student.user)) == STORED
    PainNote.objects.create(
        student=student, entry=student.entries.get(), level=2, day=MONDAY, told_at=NOON
    )
    assert due(NOON).get() == student
