"""At what effort the move holds: the rules on invented reps, and the pages."""

import uuid
from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import Client

from practice.coach_counts.models import CheckedCount
from practice.log.models import Entry, Result
from practice.measures.usual import DaySpread
from practice.numbers.ladder.holding import holds_of
from practice.numbers.ladder.pages import ladder_page, to_coach, to_student
from practice.numbers.ladder.queries import read_ladders
from practice.numbers.ladder.steps import LadderStep, judge
from practice.numbers.ladder.table import ladders
from tests.conftest import signed_in
from tests.factories import make_drill, make_part, make_week, studio_of
from tests.numbers import make

pytestmark = pytest.mark.django_db
DOSE = "12@40, 9@60, 6@80, 3@95"


@pytest.fixture
def drill(coach):
    return make_drill(studio_of(coach), "Sway gate", DOSE)


@pytest.fixture
def part(student, drill):
    opens = make.today_of(student) - timedelta(days=30)
    return make_part(make_week(student, opens), drill)


def logged(student, part, steps, *, days_ago=0, entry=None, **fields):
    """One session: steps as {effort: (clean, reps)}, in the order of the dose."""
    day = make.today_of(student) - timedelta(days=days_ago)
    made = Entry(
        student=student,
        day=day,
        at=datetime(day.year, day.month, day.day, 18, tzinfo=UTC),
        document={},
        fingerprint="",
        **entry or {},
    )
    made.root = made.pk
    made.save()
    rows = [
        {"n": reps, "clean": clean, "effort": effort} for effort, (clean, reps) in steps.items()
    ]
    return Result.objects.create(
        entry=made, student=student, opens=day, part=part, steps=rows, **fields
    )


def checked(student, drill, effort, clean, reps, *, own=None, days_ago=0):
    return CheckedCount.objects.create(
        student=student,
        drill=drill,
        effort=effort,
        reps=reps,
        clean_reps=clean,
        own_clean_reps=own,
        day=make.today_of(student) - timedelta(days=days_ago),
    )


def answer(student):
    today = make.today_of(student)
    return ladders(read_ladders(student, today), today)


def words(student):
    return {step.effort: step.word for step in answer(student).drills[0].steps}


def test_holds_and_breaks_as_the_rule_has_it(student, part):
    """28 of 34 holds, 13 of 28 breaks: the trade's worked examples (common practice)."""
    for days_ago, slow, fast in ((1, (10, 12), (5, 10)), (3, (18, 22), (8, 18))):
        logged(student, part, {40: (0, 0), 60: slow, 80: fast}, days_ago=days_ago)
    assert words(student) == {60: "holds", 80: "breaks"}
    found = answer(student).drills[0]
    assert to_coach(found) == ("Holds at felt 60. Breaks at felt 80.")
    assert to_student(found) == (
        "Your move is yours at 60 percent effort. 80 percent is where we’re building now."
        " The next mark there is 7 clean of 10."
    )


def test_the_phone_says_beside_a_part_what_holds(student, part, drill):
    for days_ago, slow in ((1, (10, 12)), (3, (18, 22))):
        logged(student, part, {40: (0, 0), 60: slow}, days_ago=days_ago)
    said = holds_of(student, student.user).answer({drill.pk})
    assert said == {
        drill.pk: "Your move is yours at 60 percent effort. That is every step you have done."
    }
    assert holds_of(student, student.user).answer(set()) == {}


def test_a_page_names_one_next_step_and_one_clean_line(student, part):
    """Whatever else is worked out, one figure is what to ask next."""
    for days_ago in (1, 3):
        logged(student, part, {40: (12, 12), 60: (0, 0), 80: (4, 12)}, days_ago=days_ago)
    found = answer(student)
    view = ladder_page(found, is_own=False).drills[0]
    assert view.next_step == found.drills[0].next_step.next == "Work at 60."
    lines = {mark.at for mark in (*view.figure.marks, *view.curve.marks)}
    assert lines == {found.drills[0].clean_line}
    assert [spot.x for spot in view.curve.spots] == [40, 80]


def test_a_test_is_no_ladder_to_climb(student, part, drill):
    """Beside its drill's next step a second one stood, and they differed."""
    for days_ago in (1, 2, 3):
        checked(student, drill, 80, 19, 20, days_ago=days_ago)
    (found,) = ladder_page(answer(student), is_own=False).drills
    assert found.next_step
    drill.is_test = True
    drill.save()
    (found,) = ladder_page(answer(student), is_own=False).drills
    assert (found.next_step, found.answer) == ("", "Holds at felt 80.")


@pytest.mark.parametrize(
    ("days", "expected"), [((1, 1), "too few"), ((1, 22), "too few"), ((1, 20), "holds")]
)
def test_one_day_and_days_before_the_three_weeks_are_too_few(student, part, days, expected):
    for days_ago in days:
        logged(student, part, {40: (11, 12)}, days_ago=days_ago)
    assert words(student) == {40: expected}


def test_the_range_of_a_step_is_of_95_where_days_are_alike():
    """81 of 263: 25.53 to 36.62 % (Newcombe 1998, method 3). The words ask 9 chances in 10."""
    days = {date(2031, 1, 6) + timedelta(days=n): (int(n < 81), 1) for n in range(263)}
    (found,) = judge([LadderStep(60, days, is_checked=True)], None, DaySpread(0.0, freedom=1e9))
    assert (found.low, found.high) == pytest.approx((0.2553, 0.3662), abs=1e-4)


def test_a_fast_step_is_not_easier_than_a_slower_one(student, part):
    for days_ago in (1, 3):
        steps = {40: (12, 12), 60: (6, 12), 80: (9, 12)}
        logged(student, part, steps, days_ago=days_ago)
    found = {step.effort: step for step in answer(student).drills[0].steps}
    assert found[60].pool == found[80].pool == (60, 80)
    assert found[80].share == pytest.approx(30 / 48)
    assert (found[80].clean, found[80].reps) == (18, 24)
    assert found[80].word == "not settled"
    assert found[40].pool == (40,)


def test_a_neighbour_s_reps_do_not_make_few_reps_enough(student, part):
    for days_ago in (1, 3):
        steps = {40: (0, 0), 60: (10, 15), 80: (2, 2)}
        logged(student, part, steps, days_ago=days_ago)
    assert words(student)[80] == "too few"


@pytest.mark.parametrize(
    ("felt", "counts_for"), [(50, 40), (30, 40), (52, 50), (None, 40), (100, 100)]
)
def test_a_rep_counts_for_the_step_it_was_near(student, part, felt, counts_for):
    logged(student, part, {felt: (10, 12)})
    assert [step.effort for step in answer(student).drills[0].steps] == [counts_for]


def test_from_memory_as_asked_and_taken_back_judge_nothing(student, part):
    logged(student, part, {40: (12, 12)}, entry={"from_memory": True})
    logged(student, part, {40: (12, 12)}, as_asked=True)
    logged(student, part, {40: (12, 12)}, entry={"counts": False})
    assert answer(student).drills == ()
    logged(student, part, {40: (6, 12)})
    found = answer(student).drills[0]
    assert (found.as_asked, found.from_memory, found.steps[0].reps) == (12, 12, 12)
    notes = ladder_page(answer(student), is_own=False).drills[0].notes
    assert [note[:7] for note in notes] == ["12 reps", "12 reps"]


def test_unscored_reps_are_no_evidence(student, part):
    logged(student, part, {40: (None, 12)})
    assert answer(student).drills == ()


# --- coach-checked ---


def test_the_coach_s_count_stands_before_the_student_s(student, part, drill):
    """20 of 48 and 16 of 40 break although the student calls most clean (invented)."""
    for days_ago in (1, 3):
        logged(student, part, {40: (9, 12), 60: (7, 9)}, days_ago=days_ago)
        checked(student, drill, 40, 10, 24, own=31 // 2 + days_ago // 3, days_ago=days_ago)
        checked(student, drill, 60, 8, 20, days_ago=days_ago)
    found = answer(student).drills[0]
    assert [(step.word, step.evidence) for step in found.steps] == [
        ("breaks", "coach-checked"),
        ("breaks", "coach-checked"),
    ]
    assert (found.gap, found.gap_reps) == (23, 48)
    assert to_coach(found) == ("Breaks at felt 40 and 60. It breaks at the lowest step already.")
    page = ladder_page(answer(student), is_own=False).drills[0]
    assert page.notes[:2] == (
        "The student calls 23 of 100 more clean than the coach.",
        "The coach checked 48 reps.",
    )
    own = ladder_page(answer(student), is_own=True).drills[0]
    assert not [note for note in own.notes if "clean than" in note]


def test_a_generous_count_is_never_said_to_hold(student, part, drill):
    for days_ago in (1, 3):
        logged(student, part, {40: (11, 12), 60: (3, 12)}, days_ago=days_ago)
    checked(student, drill, 80, 10, 20, own=13)
    found = {step.effort: step for step in answer(student).drills[0].steps}
    assert answer(student).drills[0].gap == 15
    assert (found[40].word, found[40].capped) == ("not settled", True)
    assert (found[60].word, found[60].capped) == ("breaks", False)  # It stands.
    CheckedCount.objects.update(own_clean_reps=12)
    assert words(student)[40] == "holds"


def test_few_checked_reps_do_not_replace_the_log(student, part, drill):
    for days_ago in (1, 3):
        logged(student, part, {40: (11, 12)}, days_ago=days_ago)
    checked(student, drill, 40, 2, 11)
    checked(student, drill, 40, 2, 11, days_ago=40)
    assert answer(student).drills[0].steps[0].evidence == "counted"


def test_a_curve_says_how_far_the_move_holds(student, part):
    for days_ago in (1, 3, 5):
        steps = {40: (20, 20), 60: (18, 20), 80: (8, 20), 95: (2, 20)}
        logged(student, part, steps, days_ago=days_ago)
    found = answer(student).drills[0]
    assert found.highest.effort == pytest.approx(66, abs=4)
    assert found.highest.low < found.highest.effort < found.highest.high
    assert found.highest.n == 240
    for point in found.curve:
        assert 0 < point.low < point.chance < point.high < 1
    assert found.curve[0].chance > found.curve[-1].chance


def test_cold_five_waits_for_eight_sessions(student, drill, part):
    logged(student, part, {40: (6, 12)})
    wedge = make.club(student)
    for days_ago in range(8):
        kept = make.sitting(student, days_ago=days_ago, drill=drill)
        for is_clean in (True, True, False, False, False, True, True, True):
            make.balls(kept, wedge, [50], is_clean=is_clean)
        cold = answer(student).drills[0].cold
        assert cold.missing == 7 - days_ago
    assert (cold.cold_clean, cold.cold_reps, cold.rest_clean, cold.rest_reps) == (16, 40, 24, 24)


def test_the_read_takes_one_query_however_much_was_logged(
    student, part, drill, django_assert_num_queries
):
    for days_ago in range(6):
        logged(student, part, {40: (6, 12)}, days_ago=days_ago)
        checked(student, drill, 40, 4, 12, days_ago=days_ago)
    with django_assert_num_queries(1):
        read_ladders(student, make.today_of(student))


# --- pages ---


@pytest.mark.parametrize("page", ["ladder", "checked"])
def test_who_sees_the_coach_s_pages(student, cast, page):
    address = f"/students/{student.pk}/{page}/"
    for name, user in cast.items():
        expected = 200 if name in {"owner", "coach", "assistant"} else 404
        assert signed_in(user).get(address).status_code == expected, name
    assert Client().get(address).status_code == 302


def test_who_sees_the_own_page(student, cast, child, guardian_client):
    for name, user in cast.items():
        expected = 200 if name == "student" else 404
        assert signed_in(user).get(f"/own/{student.pk}/ladder/").status_code == expected, name
    assert guardian_client.get(f"/own/{child.pk}/ladder/").status_code == 200


def test_the_pages_print_words_and_no_style(coach_client, student_client, student, part):
    for days_ago in (1, 3):
        logged(student, part, {40: (12, 12), 60: (3, 12)}, days_ago=days_ago)
    page = coach_client.get(f"/students/{student.pk}/ladder/").content.decode()
    assert "Holds at felt 40. Breaks at felt 60." in page
    own = student_client.get(f"/own/{student.pk}/ladder/").content.decode()
    assert "Your move is yours at 40 percent effort." in own
    assert "up-down" not in own
    assert "plotly" not in own
    for text in (page, own):
        assert "style=" not in text


def form_of(asked, student, **fields):
    return {
        "id": str(uuid.uuid4()),
        "drill": str(asked.pk),
        "effort": "40",
        "reps": "24",
        "own_reps": "26",
        "clean_reps": "10",
        "own_clean_reps": "16",
        "day": str(make.today_of(student)),
    } | fields


def test_a_count_is_kept_once_and_taken_back(coach_client, coach, student, drill):
    address, form = f"/students/{student.pk}/checked/", form_of(drill, student)
    assert coach_client.post(address, form).status_code == 302
    assert coach_client.post(address, form).status_code == 302
    kept = CheckedCount.objects.get()
    assert (kept.clean_reps, kept.own_clean_reps, kept.by) == (10, 16, coach)
    assert kept.own_reps == 26
    assert "10 of 24" in coach_client.get(address).content.decode()
    coach_client.post(f"{address}{kept.pk}/back/")
    assert "10 of 24" not in coach_client.get(address).content.decode()
    assert answer(student).drills == ()


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"clean_reps": "25"}, "There cannot be more clean ones than the 24 made."),
        ({"own_clean_reps": "25"}, "There cannot be more clean ones than the 24 made."),
        ({"effort": "5"}, "Write 10 or more."),
        ({"reps": "0"}, "Write 1 or more."),
        ({"reps": "many"}, "Write a whole number, such as 12."),
        ({"day": "2999-01-01"}, "That day is still to come."),
        ({"day": "2001-01-01"}, "Counts older than twelve weeks change nothing any more."),
        ({"drill": str(uuid.uuid4())}, "That is not in the list any more."),
        ({"id": "x"}, "Load the page again."),
    ],
)
def test_a_count_that_cannot_be_is_said(coach_client, student, drill, fields, sentence):
    page = coach_client.post(f"/students/{student.pk}/checked/", form_of(drill, student, **fields))
    assert page.status_code == 200
    assert sentence in page.content.decode()
    assert not CheckedCount.objects.exists()


def test_an_id_of_another_student_s_count_changes_nothing(coach_client, student, drill, cast):
    theirs = checked(cast["fellow"].student_places.get(), drill, 40, 5, 10)
    form = form_of(drill, student, id=str(theirs.pk))
    page = coach_client.post(f"/students/{student.pk}/checked/", form)
    assert "This id is taken" in page.content.decode()
    assert CheckedCount.objects.count() == 1


def test_a_drill_of_another_studio_is_no_choice(coach_client, student, cast):
    theirs = make_drill(studio_of(cast["stranger"]), "Theirs")
    page = coach_client.post(f"/students/{student.pk}/checked/", form_of(theirs, student))
    assert "That is not in the list any more." in page.content.decode()
