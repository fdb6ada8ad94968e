"""Load as a description: weeks, bands, days, and hard swings."""

from datetime import UTC, datetime, timedelta

import pytest

from practice.coach_counts.models import CheckedCount
from practice.compliance.models import WeekTally
from practice.log.models import Entry, Result
from practice.numbers.load.pages import clock_in_short, load_page
from practice.numbers.load.queries import read_load
from practice.numbers.load.weeks import load_answer
from shared.kit.weeks import week_start
from tests.conftest import signed_in
from tests.factories import make_coach, make_drill, make_student
from tests.numbers import make

pytestmark = pytest.mark.django_db


def opens_of(student, weeks_ago=0):
    opens = week_start(make.today_of(student), student.studio.first_weekday)
    return opens - timedelta(weeks=weeks_ago)


def session(student, day, felt=5, minutes=60.0, **fields):
    made = Entry(
        student=student,
        day=day,
        at=datetime(day.year, day.month, day.day, 18, tzinfo=UTC),
        felt=felt,
        minutes=minutes,
        document={},
        fingerprint="",
        **fields,
    )
    made.root = made.pk
    made.save()
    return made


def tally(student, weeks_ago, hard):
    WeekTally.objects.create(student=student, opens=opens_of(student, weeks_ago), hard_swings=hard)


def answer(student):
    return load_answer(read_load(student, make.today_of(student)))


def test_a_week_of_known_days(student):
    """Foster's measures on invented days, worked by hand: mean 221.43, deviation 241.28."""
    opens = opens_of(student, 1)
    for offset, (felt, minutes) in {0: (5, 60), 2: (5, 90), 3: (4, 50), 5: (10, 60)}.items():
        session(student, opens + timedelta(days=offset), felt, minutes)
    week = answer(student).weeks[-2]
    assert week.load == 300 + 450 + 200 + 600
    assert week.sameness == pytest.approx(0.9177, abs=5e-5)
    assert week.product == pytest.approx(1422.49, abs=0.01)
    assert (week.sessions, week.minutes, week.unrated) == (4, 260, 0)


def test_a_question_and_a_word_about_pain_are_no_visits(student):
    day = opens_of(student)
    session(student, day)
    session(student, day, felt=None, minutes=None, note="How fast should it feel ?")
    assert (answer(student).now.sessions, answer(student).now.unrated) == (1, 0)


def test_the_present_week_is_only_so_far(student):
    session(student, opens_of(student))
    now = answer(student).now
    assert (now.load, now.sameness, now.product, now.is_now) == (300, None, None, True)


def test_sessions_without_minutes_or_feeling_are_counted_and_left_out(student):
    day = opens_of(student)
    session(student, day, felt=None)
    session(student, day, minutes=None)
    session(student, day, counts=False)
    block = session(student, day, minutes=None)
    for minutes in (20, 10, None):
        Result.objects.create(entry=block, student=student, opens=day, minutes=minutes)
    found = answer(student)
    assert (found.now.load, found.now.sessions, found.now.unrated) == (150, 3, 2)
    assert load_page(found, is_own=False).unrated.startswith("2 of 3 visits")


def test_the_band_takes_four_weeks_and_at_most_eight(student):
    for weeks_ago in range(1, 4):
        session(student, opens_of(student, weeks_ago), minutes=10 * weeks_ago)
    assert (answer(student).band, answer(student).band_missing) == (None, 1)
    for weeks_ago in range(4, 12):
        session(student, opens_of(student, weeks_ago), minutes=10 * weeks_ago)
    band = answer(student).band
    assert (band.low, band.middle, band.high, band.weeks) == (50, 225, 400, 8)


def test_a_week_off_is_a_zero_and_weeks_before_the_first_are_none(student):
    session(student, opens_of(student, 5))
    found = answer(student)
    assert [week.load for week in found.weeks] == [300, 0, 0, 0, 0, 0]
    assert found.weeks[1].sameness is None


def test_rolling_load_waits_for_four_weeks(student):
    today = make.today_of(student)
    for days_ago in range(27):
        session(student, today - timedelta(days=days_ago + 1), 10, 10)
    assert (answer(student).rolling, answer(student).rolling_missing) == (None, 1)
    session(student, today - timedelta(days=28), 10, 10)
    rolling = answer(student).rolling
    # A hundred a day for ever stays a hundred (definition).
    assert (rolling.recent, rolling.longer, rolling.days) == (100, 100, 28)


@pytest.mark.parametrize(
    ("before", "now", "word"),
    [((60, 75, 70, 65), 150, "jump"), ((60, 75, 70, 65), 95, "usual"), ((4, 6, 0, 2), 15, "usual")],
)
def test_hard_swings_beside_the_four_weeks_before(student, before, now, word):
    """The trade's examples (common practice)."""
    for weeks_ago, hard in enumerate(before, start=1):
        tally(student, weeks_ago, hard)
    tally(student, 0, now)
    found = answer(student)
    assert (found.hard.now, found.hard.word, found.hard.weeks) == (now, word, 4)
    words = load_page(found, is_own=False).hard
    assert ("That is a jump." in words) == (word == "jump")
    assert "jump" not in load_page(found, is_own=True).hard


def test_nothing_logged_is_said_plainly(student):
    page = load_page(answer(student), is_own=True)
    assert page.answer == (
        "This week’s load so far is 0, from 0 visits. Too soon for a usual week: 4 more weeks of "
        "logging."
    )
    assert "needs four weeks of days: 28 more" in page.rolling
    assert "There is no usual" in page.hard


@pytest.mark.parametrize(
    ("minutes", "place"),
    [(10, "still less than in any of them"), (60, "as in the weeks before"),
     (200, "more than in any of them")],
)  # fmt: skip
def test_the_week_is_placed_among_those_before(coach_client, student, minutes, place):
    for weeks_ago in range(1, 9):
        session(student, opens_of(student, weeks_ago), minutes=60)
    session(student, opens_of(student, 0), minutes=minutes)
    page = load_page(answer(student), is_own=False)
    assert page.answer.endswith(f"So it is {place}.")
    assert page.care == ""
    care = load_page(answer(student), is_own=True).care
    assert ("easier days are good practice" in care) is (minutes == 200)
    assert not page.has_hard  # No column of nothing but noughts.
    shown = coach_client.get(f"/students/{student.pk}/load/").content.decode()
    assert shown.index("How was this worked out?") < shown.index(page.rolling[:20])


def test_no_page_forecasts(coach_client, student):
    for weeks_ago in range(6):
        session(student, opens_of(student, weeks_ago))
    page = coach_client.get(f"/students/{student.pk}/load/").content.decode()
    for word in ("injury", "risk", "strain", "readiness", "recovery", "style="):
        assert word not in page.lower()
    assert "They do not say who gets hurt" in page


def test_who_sees_the_pages(student, cast, child, guardian_client):
    for name, user in cast.items():
        client = signed_in(user)
        taught = 200 if name in {"owner", "coach", "assistant"} else 404
        own = 200 if name == "student" else 404
        assert client.get(f"/students/{student.pk}/load/").status_code == taught, name
        assert client.get(f"/own/{student.pk}/load/").status_code == own, name
    assert guardian_client.get(f"/own/{child.pk}/load/").status_code == 200


def test_five_queries_however_much_was_logged(student, django_assert_num_queries):
    for weeks_ago in range(12):
        session(student, opens_of(student, weeks_ago))
    checked(student, [(24, 20)] * 5)
    with django_assert_num_queries(5):
        read_load(student, make.today_of(student))


@pytest.fixture
def stranger(db):
    return make_student(make_coach(name="Coach Elsewhere"), "Somebody Else")


def checked(student, told, weeks_ago=2):
    """Visits whose minutes were said before the clock told them."""
    day = opens_of(student, weeks_ago)
    for said, timed in told:
        entry = session(student, day, minutes=None)
        Result.objects.create(
            entry=entry, student=student, opens=day, minutes=timed,
            guessed_minutes=said, timed_minutes=timed,
        )  # fmt: skip


def test_minutes_stand_beside_the_clock_once_three_visits_were_checked(student):
    day = opens_of(student, 1)
    session(student, day, minutes=40)
    session(student, day, minutes=20)
    checked(student, [(24, 20), (12, 10)])
    found = answer(student)
    assert (found.checks, found.checks_missing) == (2, 1)
    assert load_page(found, is_own=True).clock == (
        "2 visits are checked. From 3 on, minutes by the clock stand here.",
    )
    checked(student, [(36, 30)])
    found = answer(student)
    week = found.weeks[-2]
    assert week.minutes == 60  # What was written stands; the load is made from it.
    assert week.load == 300
    assert week.clock.value == pytest.approx(60 / 1.2)
    assert week.clock.low < 50 < week.clock.high
    # A week whose every minute was timed needs no estimate.
    assert found.weeks[-3].clock is None
    page = load_page(found, is_own=True)
    assert page.clock[:2] == (
        "In the newest whole week 60 minutes are written.",
        "By the clock that is about 50.",
    )
    assert page.clock[-1] == "That is told from 3 checked visits."
    assert page.rows[1].clock.startswith("50 (")
    ends = page.rows[1].clock.removeprefix("50 (").removesuffix(")")
    assert page.clock[2] == f"It is likely from {ends}."
    assert clock_in_short(found) == f"60 written, {ends} by the clock."


def test_what_the_screen_timed_is_not_estimated(student):
    day = opens_of(student, 1)
    checked(student, [(24, 20), (12, 10), (36, 30)])
    both = session(student, day, minutes=None)
    Result.objects.create(entry=both, student=student, opens=day, minutes=30, timed_minutes=30)
    Result.objects.create(entry=both, student=student, opens=day, minutes=12)
    week = answer(student).weeks[-2]
    assert (week.minutes, week.clock.value) == (42, pytest.approx(30 + 10))


def test_another_studio_lends_nothing(student, stranger):
    checked(student, [(24, 20), (12, 10), (36, 30)])
    session(student, opens_of(student, 1), minutes=60)
    alone = answer(student).weeks[-2].clock.value
    checked(stranger, [(20, 20)] * 9)
    assert answer(student).weeks[-2].clock.value == alone


def test_a_set_the_coach_counted_is_a_check_and_one_taken_back_is_none(student, coach):
    drill = make_drill(student.studio, "Gate")
    said = {"student": student, "drill": drill, "effort": 60, "clean_reps": 5, "by": coach}
    day = make.today_of(student)
    for counts in (True, True, True, False):
        CheckedCount.objects.create(**said, reps=10, own_reps=12, day=day, counts=counts)
    CheckedCount.objects.create(**said, reps=10, day=day)
    assert answer(student).checks == 3
