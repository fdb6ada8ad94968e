"""Drills in drawn turns, and light fortnights: drawn, asked for, judged once and said."""

from datetime import timedelta
from types import SimpleNamespace

import pytest

from practice.coach_counts.models import CheckedCount
from practice.measures.answers import TooLittle
from practice.numbers.moved.try_out_text import Units
from practice.numbers.moved.turns import turns
from practice.numbers.moved.turns_text import own_turns_words, turns_views
from practice.tryouts import services
from practice.tryouts.models import TryOut
from practice.tryouts.queries import AS_USUAL, LIGHT, THE_TEST, drawn_for, try_outs_of
from practice.weeks.models import Week
from practice.weeks.queries import this_opening
from shared.kit.refused import Refused
from shared.people import access
from tests.factories import make_drill, make_part, make_week
from tests.numbers.make import today_of
from tests.numbers.test_moved import logged

pytestmark = pytest.mark.django_db
WEEK = timedelta(weeks=1)


@pytest.fixture
def drill(student):
    return make_drill(student.studio, "Wall turn")


@pytest.fixture
def other(student):
    return make_drill(student.studio, "Rope swing")


@pytest.fixture
def test(student):
    return make_drill(student.studio, "Ladder check", is_test=True)


def draw(student, drill, other, test, pairs=6):
    """The same draw each time, so that what is said of it can be told to the figure."""
    return services.draw_turns(
        student=access.recordable(student), drill=drill, other=other, test=test,
        first=this_opening(student) + WEEK, pairs=pairs, by=student.lead_coach,
        chance=SimpleNamespace(randrange=lambda _most: 20310224),
    )  # fmt: skip


def moved_back(row):
    """The same draw, so long ago that it was judged yesterday."""
    ago = timedelta(days=(row.judged_on - today_of(row.student)).days + 1)
    row.first, row.begins, row.judged_on = row.first - ago, row.begins - ago, row.judged_on - ago
    row.save()
    return row


def counted(row, day, clean, reps=100):
    CheckedCount.objects.create(
        student=row.student, drill=row.test, effort=60, clean_reps=clean, reps=reps, day=day
    )


def levels(row, first, second, *, leave_out=()):
    """A count on the last day of each turn."""
    length = row.weeks * WEEK
    for n, turn in enumerate(row.turns):
        if n not in leave_out:
            counted(row, row.first + (n + 1) * length, (second if turn else first) + n % 2)


def gains(row, usual, light):
    """A count at the end of each turn, which has so much more than the one before."""
    clean = 10
    counted(row, row.first, clean)
    for n, turn in enumerate(row.turns):
        clean += light if turn else usual
        counted(row, row.first + (n + 1) * row.weeks * WEEK, clean)


def found(student):
    return turns(try_outs_of(student), today_of(student))


def view(student):
    (each,) = turns_views(found(student), Units("mph", "m"))
    return each


def own_said(student):
    ((_, said),) = own_turns_words(found(student))
    return " ".join(said)


def test_each_pair_has_both_in_a_drawn_order(student, drill, other, test):
    row = draw(student, drill, other, test)
    assert all(sorted(row.turns[n : n + 2]) == [0, 1] for n in range(0, 12, 2))
    assert row.judged_on == row.first + 12 * WEEK
    from practice.measures.drawn import draw_turns

    assert row.turns == draw_turns(6, row.seed)
    with pytest.raises(Refused, match="drawn already"):
        draw(student, other, drill, test)


def test_what_cannot_take_turns_is_refused(student, drill, other, test):
    with pytest.raises(Refused, match="another drill"):
        draw(student, drill, drill, test)
    with pytest.raises(Refused, match="pairs"):
        draw(student, drill, other, test, pairs=2)
    student.stops.create(drill=other, since=today_of(student))
    with pytest.raises(Refused, match="not for"):
        draw(student, drill, other, test)
    assert not TryOut.objects.exists()


def test_a_week_is_asked_for_the_drill_whose_turn_it_is(student, drill, other, test):
    row = draw(student, drill, other, test)
    assert drawn_for(student, row.first - WEEK).adds == []
    for n, turn in enumerate(row.turns):
        asked = drawn_for(student, row.first + n * WEEK)
        due, rests = (other, drill) if turn else (drill, other)
        assert asked.adds == [(THE_TEST, test.pk), ("drawn: its turn", due.pk)]
        assert asked.says == [f"“{rests}” rests this week, as drawn."]
    assert drawn_for(student, row.judged_on).adds == []
    student.stops.create(drill=other, since=today_of(student))
    waits = drawn_for(student, row.first + row.turns.index(1) * WEEK)
    assert waits.adds == [(THE_TEST, test.pk)]
    assert "waits" in waits.says[0]


def test_a_fortnight_is_light_or_as_usual(student, drill, test):
    row = draw(student, drill, None, test, pairs=3)
    assert row.judged_on == row.first + 12 * WEEK
    for n in range(12):
        asked = {pk: why for why, pk in drawn_for(student, row.first + n * WEEK).adds}
        assert asked[drill.pk] == (LIGHT if row.turns[n // 2] else AS_USUAL)


def test_a_light_fortnight_has_half_the_visits_of_the_week_before(
    student, drill, test, coach_client
):
    """Those of the week before the turns: a light week before does not halve them again."""
    row = draw(student, drill, None, test, pairs=3)
    assert drawn_for(student, row.first).visits == {}
    now = make_week(student, row.first - WEEK)
    make_part(now, drill, sessions=5)
    light = row.turns.index(1)
    make_part(make_week(student, row.first + 2 * light * WEEK), drill, sessions=2)
    for n in range(12):
        visits = drawn_for(student, row.first + n * WEEK).visits
        assert visits == {drill.pk: 2 if row.turns[n // 2] else 5}
    opens = row.first + (2 * light + 1) * WEEK
    address = f"/students/{student.pk}/week/{opens}/"
    coach_client.post(address, {"do": "add", "add-drill": [drill.pk]})
    assert Week.objects.get(student=student, opens=opens).typed["rows"][0]["sessions"] == "2"


def test_two_drills_that_differ_are_told_apart(student, drill, other, test):
    row = moved_back(draw(student, drill, other, test))
    levels(row, 30, 80)
    said = " ".join(view(student).lead)
    assert view(student).word == "They differ"
    assert "better in weeks of “Rope swing” than of “Wall turn”" in said
    assert "2 of 64 draws" in said
    assert said == own_said(student)
    assert "The mean difference is 50 of 100." in view(student).small


def test_five_pairs_are_a_hint_at_best(student, drill, other, test):
    row = moved_back(draw(student, drill, other, test, pairs=5))
    levels(row, 80, 30)
    assert view(student).word == "A hint"
    assert "better in weeks of “Wall turn” than of “Rope swing”" in own_said(student)
    assert "a hint, no proof" in own_said(student)


def test_no_difference_is_said_as_not_seen(student, drill, other, test):
    row = moved_back(draw(student, drill, other, test))
    levels(row, 50, 50)
    assert view(student).word == "No difference seen"
    assert "may stay unseen" in own_said(student)


def test_less_that_gains_less_is_told(student, drill, test):
    row = moved_back(draw(student, drill, None, test))
    gains(row, 9, 1)
    assert view(student).word == "They differ"
    assert "Tests gained more in fortnights of the usual dose." in own_said(student)


def test_nothing_is_judged_before_its_day(student, drill, other, test):
    row = moved_back(draw(student, drill, other, test))
    TryOut.objects.update(judged_on=today_of(student))
    levels(row, 30, 80)
    assert view(student).word == "Running"
    assert view(student).may_end
    assert "2 of 64" in " ".join(view(student).small)
    assert "better" not in own_said(student)


def test_a_pair_without_a_test_is_left_out_and_told(student, drill, other, test):
    row = moved_back(draw(student, drill, other, test))
    levels(row, 30, 80, leave_out=(3,))
    assert "It is of 5 of 6 pairs of turns." in view(student).small
    CheckedCount.objects.all().delete()
    assert isinstance(found(student)[0].proof, TooLittle)
    assert view(student).word == "Cannot be told"


def test_practice_in_the_others_week_is_told(student, drill, other, test):
    row = moved_back(draw(student, drill, other, test))
    levels(row, 30, 80)
    opens = row.first + row.turns.index(1) * WEEK
    logged(student, drill, days_ago=(today_of(student) - opens).days)
    logged(student, other, days_ago=(today_of(student) - opens).days)
    assert "on 1 day a drill was done in the other’s week" in " ".join(view(student).how)


def test_a_coach_draws_turns_on_the_page(student, drill, other, test, coach_client):
    address = f"/students/{student.pk}/try-out/turns/"
    assert coach_client.get(address).status_code == 200
    chosen = {
        "drill": drill.pk, "test": test.pk, "first": this_opening(student) + WEEK, "pairs": 4,
    }  # fmt: skip
    assert coach_client.post(address, chosen | {"other": other.pk}).status_code == 302
    page = coach_client.get(f"/students/{student.pk}/moved/").content.decode()
    assert "Try-out of Wall turn and Rope swing: Drawn" in page
    assert "drawn already" in coach_client.post(address, chosen).content.decode()
