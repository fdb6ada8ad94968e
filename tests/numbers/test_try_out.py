"""A try-out: drawn once, judged once, and said in plain words to coach, student and guardian."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from practice.coach_counts.models import CheckedCount
from practice.drills.models import Area
from practice.measures.answers import TooLittle
from practice.numbers.moved.try_out import trials
from practice.numbers.moved.try_out_pages import offered
from practice.numbers.moved.try_out_text import Units, own_words, trial_views
from practice.shots.models import Sitting
from practice.tryouts import services
from practice.tryouts.models import TryOut
from practice.tryouts.queries import THE_TEST, drawn_for, try_outs_of
from practice.weeks.queries import this_opening
from shared.kit.refused import Refused
from shared.people import access
from tests.conftest import signed_in
from tests.factories import make_child, make_drill, make_student, make_week
from tests.numbers.make import balls, club, sitting, today_of
from tests.numbers.test_moved import logged

pytestmark = pytest.mark.django_db
WEEK = timedelta(weeks=1)
UNITS = Units("mph", "m")


@pytest.fixture
def drill(student):
    return make_drill(student.studio, "Wall turn")


@pytest.fixture
def test(student):
    return make_drill(student.studio, "Ladder check", is_test=True)


def draw(students, drill, test, *, starts=4, by=None, **fields):
    student = students[0]
    given = {"first": this_opening(student) + WEEK} | fields
    kept = [access.recordable(each) for each in students]
    return services.draw(
        students=kept, drill=drill, test=test, starts=starts, by=by or student.lead_coach, **given
    )


def moved_back(rows):
    """The same draw, so long ago that it was judged yesterday."""
    today = today_of(rows[0].student)
    ago = timedelta(days=(rows[0].judged_on - today).days + 1)
    for row in rows:
        row.first, row.begins = row.first - ago, row.begins - ago
        row.judged_on -= ago
        row.save()


def counted(row, clean_before, clean_since, reps=20, *, every=WEEK):
    """A coach's counts of the test in the middle of each week, from two months before."""
    day = row.first - 6 * WEEK + timedelta(days=3)
    while day <= row.judged_on:
        clean = clean_since if day > row.begins else clean_before
        CheckedCount.objects.create(
            student=row.student, drill=row.test, effort=60, clean_reps=clean, reps=reps, day=day
        )
        day += every


def views_of(student):
    return trial_views(trials(try_outs_of(student), today_of(student)), UNITS)


def said(view):
    return " ".join((*view.lead, *view.small))


def own_said(student):
    return " ".join(own_words(trials(try_outs_of(student), today_of(student)))[0][1])


# --- drawing ---


def test_a_week_is_drawn_in_the_window_and_kept(student, drill, test):
    (row,) = draw([student], drill, test, starts=5)
    first = this_opening(student) + WEEK
    assert row.first == first
    assert row.begins in {first + n * WEEK for n in range(5)}
    assert row.judged_on == first + 4 * WEEK + services.SINCE
    from practice.measures.drawn import draw_starts

    assert draw_starts([(0, 5)], row.seed) == [(0, (row.begins - first).days // 7)]


def test_several_begin_one_after_the_other(student, drill, test):
    others = [make_student(student.lead_coach, f"Other {n}") for n in range(3)]
    rows = draw([student, *others], drill, test, starts=1)
    first = this_opening(student) + WEEK
    assert {row.begins for row in rows} == {first + n * WEEK for n in range(4)}
    assert len({row.together for row in rows}) == len({row.judged_on for row in rows}) == 1
    assert {row.of for row in rows} == {4}


def test_it_is_never_drawn_again(student, drill, test):
    (row,) = draw([student], drill, test)
    with pytest.raises(Refused, match="drawn already"):
        draw([student], drill, test)
    with pytest.raises(IntegrityError), transaction.atomic():
        TryOut.objects.create(
            student=student, drill=drill, test=test, first=row.first, starts=4, seed=1,
            begins=row.first, judged_on=row.judged_on,
        )  # fmt: skip
    services.end(student=row.student, try_out=row, why="Away for a month")
    draw([student], drill, test)
    assert [view.word for view in views_of(student)] == ["Drawn", "Ended"]


def test_what_is_stopped_for_pain_is_not_drawn(student, drill, test):
    student.stops.create(drill=drill, since=today_of(student))
    with pytest.raises(Refused, match="not for Sam Sample now"):
        draw([student], drill, test)
    assert not TryOut.objects.exists()


def test_one_who_is_too_young_is_not_drawn(coach, test):
    child = make_child(coach, born_year=today_of(make_student(coach)).year - 10)
    drill = make_drill(child.studio, "Heavy bat", min_age=14)
    test.studio = child.studio
    with pytest.raises(Refused, match="not for"):
        draw([child], drill, make_drill(child.studio, "Count", is_test=True))


def test_the_speed_of_a_child_judges_nothing(coach):
    child = make_child(coach, born_year=today_of(make_student(coach)).year - 12)
    speed = make_drill(child.studio, "Speed test", is_test=True, area=Area.SPEED)
    with pytest.raises(Refused, match="growing"):
        draw([child], make_drill(child.studio), speed)


@pytest.mark.parametrize(("count", "starts"), [(1, 1), (1, 27), (3, 9), (0, 4)])
def test_a_window_that_is_no_draw_is_refused(student, drill, test, count, starts):
    students = [student, *(make_student(student.lead_coach, f"Other {n}") for n in range(2))]
    with pytest.raises(Refused):
        services.draw(
            students=students[:count], drill=drill, test=test, starts=starts,
            first=this_opening(student) + WEEK, by=student.lead_coach,
        )  # fmt: skip


# --- in a week ---


def test_the_week_is_asked_for_the_drill_from_its_drawn_week_on(student, drill, test):
    (row,) = draw([student], drill, test)
    before = drawn_for(student, row.begins - WEEK)
    assert list(before.adds) == [(THE_TEST, test.pk)]
    assert "as drawn" in before.says[0]
    begins = drawn_for(student, row.begins)
    assert list(begins.adds) == [(THE_TEST, test.pk), ("drawn: it begins this week", drill.pk)]
    assert ("drawn: it runs", drill.pk) in drawn_for(student, row.begins + WEEK).adds


def test_afterwards_its_test_is_asked_without_it_and_at_another_place(student, drill, test):
    (row,) = draw([student], drill, test)
    weeks = [drawn_for(student, row.judged_on + n * WEEK) for n in range(6)]
    assert [[why for why, _ in week.adds] for week in weeks] == [
        [],
        ["test after 7 days without it"],
        ["test after 14 days without it"],
        ["test at another place"],
        ["test at another place"],
        [],
    ]
    assert all(pk == test.pk for week in weeks for _, pk in week.adds)
    assert ["out" in " ".join(week.says) for week in weeks] == [True, True, *[False] * 4]
    test.current.area = Area.SPEED
    test.current.save()
    assert drawn_for(student, row.judged_on + 3 * WEEK).adds == []


@pytest.mark.usefixtures("wednesday")
def test_what_helped_is_followed_up_and_what_did_not_is_left(student, drill, test):
    (row,) = draw([student], drill, test)
    moved_back([row])
    counted(row, 2, 19)
    next_week = this_opening(student) + 2 * WEEK  # A week or more after it was judged.
    assert "after" in offered(student, next_week).adds[0][0]
    CheckedCount.objects.all().delete()
    assert offered(student, next_week).adds == []
    assert "too few test days" in offered(student, next_week).says[0]
    counted(row, 19, 2)
    assert offered(student, next_week).adds == []
    assert "No help of “Wall turn” was seen" in offered(student, next_week).says[0]
    assert offered(student, next_week + 3 * WEEK).says == []


def test_before_it_is_judged_its_later_tests_are_planned(student, drill, test):
    (row,) = draw([student], drill, test)
    assert offered(student, row.judged_on + WEEK) == drawn_for(student, row.judged_on + WEEK)
    assert offered(student, row.judged_on + WEEK).adds


def test_it_waits_for_pain(student, drill, test):
    (row,) = draw([student], drill, test)
    stop = student.stops.create(drill=drill, since=today_of(student))
    waits = drawn_for(student, row.begins)
    assert list(waits.adds) == [(THE_TEST, test.pk)]
    assert "waits" in waits.says[0]
    stop.delete()
    student.stops.create(drill=None, since=today_of(student))
    test.current.area = Area.SPEED
    test.current.save()
    assert THE_TEST not in dict(drawn_for(student, row.begins).adds)


def test_set_the_week_offers_it_first(student, drill, test, coach_client):
    (row,) = draw([student], drill, test)
    page = coach_client.get(f"/students/{student.pk}/week/{row.begins}/").content.decode()
    assert "drawn: it begins this week" in page
    assert "test of a try-out" in page


# --- judging ---


def test_nothing_is_judged_before_its_day(student, drill, test):
    (row,) = draw([student], drill, test)
    moved_back([row])
    TryOut.objects.update(judged_on=today_of(student))
    counted(row, 2, 19)
    (view,) = views_of(student)
    assert view.word == "Running"
    assert view.may_end
    assert "1 of 4 draws" in said(view)
    assert "better" not in said(view)


def test_four_possible_weeks_are_a_hint_at_best(student, drill, test):
    (row,) = draw([student], drill, test, starts=4)
    moved_back([row])
    counted(row, 2, 19)
    (view,) = views_of(student)
    assert view.word == "A hint"
    assert "Chance alone does as well in 1 of 4 draws." in said(view)
    assert "a hint, no proof" in said(view)
    assert "better by 85 of 100" in said(view)
    assert "a hint, no proof" in own_said(student)


def test_four_students_can_prove_it(student, drill, test):
    others = [make_student(student.lead_coach, f"Other {n}") for n in range(3)]
    rows = draw([student, *others], drill, test, starts=1)
    moved_back(rows)
    for row in rows:
        counted(row, 2, 19)
    (view,) = views_of(student)
    assert view.word == "It helped"
    assert "1 of 24 draws" in said(view)
    assert "of the four students" in own_said(student)
    assert "these weeks" in own_said(student)
    assert all(other.name not in own_said(student) for other in others)
    how = " ".join(view.how)
    assert str(rows[0].seed) in how
    assert "24 draws" in how
    # Whoever is no longer recorded is not read either, and that is told.
    services.end(student=rows[-1].student, try_out=rows[-1], why="Moved away")
    (view,) = views_of(student)
    assert "1 of 4 left it" in " ".join(view.how)
    assert "1 of 6 draws" in said(view)
    assert view.word == "A hint"


def test_no_help_is_said_as_not_seen(student, drill, test):
    (row,) = draw([student], drill, test, starts=4)
    moved_back([row])
    counted(row, 19, 2)
    (view,) = views_of(student)
    assert view.word == "No help seen"
    assert "can stay unseen" in own_said(student)
    assert "4 of 4 draws" in said(view)
    assert "worse" in said(view)


def test_too_few_tests_tell_nothing(student, drill, test):
    (row,) = draw([student], drill, test, starts=4)
    moved_back([row])
    counted(row, 2, 19, every=8 * WEEK)
    (found,) = trials(try_outs_of(student), today_of(student))
    assert isinstance(found.proof, TooLittle)
    assert "Too few" in own_said(student) or "too few" in own_said(student)


def test_what_went_otherwise_is_told(student, drill, test):
    (row,) = draw([student], drill, test, starts=2)
    moved_back([row])
    counted(row, 2, 19)
    today = today_of(student)
    logged(student, drill, days_ago=(today - row.begins).days + 2)
    logged(student, drill, days_ago=(today - row.begins).days - 1)
    how = " ".join(views_of(student)[0].how)
    assert "done on 1 day before it was to begin" in how
    weeks = (row.judged_on - row.begins).days // 7 - 1
    assert f"not done in {weeks} week" in how


def test_days_held_back_are_told_and_it_is_judged_as_drawn(student, drill, test):
    """By intention to treat: to leave days out afterwards would choose by more than the draw."""
    (row,) = draw([student], drill, test)
    moved_back([row])
    counted(row, 2, 19)
    plain = views_of(student)[0]
    stop = student.stops.create(drill=drill, since=row.begins + timedelta(days=3))
    held = views_of(student)[0]
    assert held.word == plain.word == "A hint"
    days = (row.judged_on - stop.since).days + 1
    assert f"held back on {days} days, and judged as drawn" in " ".join(held.how)
    assert "is not for now, whatever its tests say" in own_said(student)
    stop.cleared_at, stop.cleared_on = timezone.now(), stop.since + timedelta(days=2)
    stop.save()
    assert "held back on 2 days" in " ".join(views_of(student)[0].how)
    assert "not for now" not in own_said(student)


# --- does it stay? ---


def checked_after(row, *counts, first=8):
    """A coach's counts a week apart, from `first` days after the day of judging."""
    for n, (clean, reps) in enumerate(counts):
        CheckedCount.objects.create(
            student=row.student,
            drill=row.test,
            effort=60,
            clean_reps=clean,
            reps=reps,
            day=row.judged_on + timedelta(days=first) + n * WEEK,
        )


def judged(row, ago):
    """As `moved_back`, and so many days longer ago."""
    moved_back([row])
    for name in ("first", "begins", "judged_on"):
        setattr(row, name, getattr(row, name) - timedelta(days=ago))
    row.save()


def stays_of(student):
    (found,) = trials(try_outs_of(student), today_of(student))
    return found.stays


def test_what_is_gone_after_rest_fades(student, drill, test):
    (row,) = draw([student], drill, test)
    judged(row, 22)
    counted(row, 20, 380, reps=400)
    checked_after(row, (8, 400), (8, 400))
    assert stays_of(student).rest == "fades"
    assert "After a week or two without it: it fades." in own_said(student)


def test_two_days_of_twenty_tries_cannot_tell(student, drill, test):
    (row,) = draw([student], drill, test)
    judged(row, 22)
    counted(row, 2, 18)
    checked_after(row, (18, 20), (17, 20))
    assert stays_of(student).rest == "cannot tell yet"
    assert "it cannot be told yet, about" in own_said(student)


def test_a_day_after_practice_of_it_is_no_rest(student, drill, test):
    (row,) = draw([student], drill, test)
    judged(row, 22)
    counted(row, 20, 380, reps=400)
    checked_after(row, (8, 400), (8, 400))
    done = row.judged_on + timedelta(days=6)
    logged(student, drill, days_ago=(today_of(student) - done).days)
    # The first test came two days after it, the second nine.
    assert stays_of(student).rest_claim.days == 5


def test_another_place_is_read_apart(student, drill, test):
    (row,) = draw([student], drill, test)
    judged(row, 36)
    counted(row, 20, 380, reps=400)
    checked_after(row, (380, 400), (380, 400))
    checked_after(row, (8, 400), (8, 400), first=22)
    found = stays_of(student)
    assert found.elsewhere == "fades"
    assert found.rest != "fades"
    assert "At another place: it fades." in own_said(student)


def test_the_same_place_again_is_no_other_place(student, drill, test):
    (row,) = draw([student], drill, test)
    judged(row, 36)
    today = today_of(student)
    stick = club(student)
    for n in range(20):
        day = row.first + (n - 6) * WEEK + timedelta(days=3)
        if day >= today:
            break
        kept = sitting(student, days_ago=(today - day).days, drill=test, place="bay 1")
        miss = 1 if row.begins < day <= row.judged_on else 9
        balls(kept, stick, [60 + miss + off for off in (0, 0.5, -0.5, 0.2)], target=60)
    found = stays_of(student)
    assert isinstance(found.elsewhere_claim, TooLittle)
    Sitting.objects.filter(day__gt=row.judged_on + timedelta(days=20)).update(place="course")
    assert not isinstance(stays_of(student).elsewhere_claim, TooLittle)
    assert stays_of(student).elsewhere == "fades"


def test_days_of_speed_are_claimed_in_their_own_line(student, drill):
    test = make_drill(student.studio, "Speed test", is_test=True, area=Area.SPEED)
    (row,) = draw([student], drill, test)
    judged(row, 22)
    today = today_of(student)
    for n in range(20):
        day = row.first + (n - 6) * WEEK + timedelta(days=3)
        if day >= today:
            break
        kept = sitting(student, days_ago=(today - day).days, drill=test)
        fast = 60 if row.begins < day <= row.judged_on else 40
        balls(kept, None, [None] * 6, ball_speed=fast)
    found = stays_of(student)
    assert found.rest == "fades"
    assert found.elsewhere is None
    assert "20.0 m/s better" in " ".join(
        trial_views(trials(try_outs_of(student), today), Units("mps", "m"))[0].small
    )


# --- pages ---


def test_a_coach_draws_on_the_page_and_ends_it(student, drill, test, coach_client):
    address = f"/students/{student.pk}/try-out/"
    assert coach_client.get(address).status_code == 200
    first = this_opening(student) + WEEK
    chosen = {"drill": drill.pk, "test": test.pk, "first": first, "starts": 3}
    assert coach_client.post(address, chosen).status_code == 302
    page = coach_client.get(f"/students/{student.pk}/moved/").content.decode()
    assert "Try-out of Wall turn: Drawn" in page
    again = coach_client.post(address, chosen)
    assert "drawn already" in again.content.decode()
    row = TryOut.objects.get()
    end = f"{address}{row.pk}/end/"
    assert coach_client.post(end, {"why": "Rain"}).status_code == 302
    row.refresh_from_db()
    assert row.ended_why == "Rain"
    coach_client.post(end, {"why": "Again"})
    row.refresh_from_db()
    assert row.ended_why == "Rain"


def test_somebody_elses_student_is_on_no_list(student, drill, test, coach_client):
    from tests.factories import make_coach

    foreign = make_student(make_coach())
    chosen = {
        "drill": drill.pk, "test": test.pk, "first": this_opening(student) + WEEK, "starts": 3,
        "others": [foreign.pk],
    }  # fmt: skip
    assert coach_client.post(f"/students/{student.pk}/try-out/", chosen).status_code == 200
    assert not TryOut.objects.exists()


def test_student_and_guardian_read_one_true_sentence(coach):
    child = make_child(coach, with_user=False)
    guardian = child.guardianships.get().user
    drill = make_drill(child.studio, "Wall turn")
    (row,) = draw([child], drill, make_drill(child.studio, "Count", is_test=True))
    moved_back([row])
    counted(row, 2, 19)
    page = signed_in(guardian).get(f"/own/{child.pk}/moved/").content.decode()
    assert "Chance alone does as well in 1 of 4 draws." in page
    assert "a hint, no proof" in page


def test_those_sent_a_week_lately_are_offered_first(student):
    coach = student.lead_coach
    names = ("Zoe", "Yan", "Ada")
    zoe, yan, _ = (make_student(coach, name) for name in names)
    opens = this_opening(student)
    make_week(zoe, opens, sent_at=timezone.now())
    make_week(yan, opens, sent_at=timezone.now() - WEEK)
    page = signed_in(coach).get(f"/students/{student.pk}/try-out/")
    assert [each.name for each in page.context["form"].fields["others"].queryset] == [*names]
