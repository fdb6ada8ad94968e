"""What moved: done, moved, the verdict and its words, and who may read them.

The table of verdicts and the link are checked in tests/outside; here it is what reaches them.
"""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from practice.care.models import Stop
from practice.coach_counts.models import CheckedCount
from practice.compliance.models import WeekTally
from practice.drills.services import set_test
from practice.log.models import Entry, Result
from practice.measures.answers import Evidence, TooLittle
from practice.measures.verdicts import Practice
from practice.numbers.moved.answer import moved_parts
from practice.numbers.moved.pages import OWN_MORE, MovedReader, _ways, moved_page, own_moved_page
from practice.numbers.moved.queries import read_moved
from practice.numbers.speed.text import SpeedReader
from practice.shots.models import Shot, Sitting
from tests.conftest import signed_in
from tests.factories import make_drill
from tests.numbers.make import today_of
from tests.numbers.speeds import INES, PIET, many_days

pytestmark = pytest.mark.django_db
TEACH = {"owner", "coach", "assistant"}
COACH = MovedReader(SpeedReader("mph", "Sam", is_minor=False), "m")
OWN = MovedReader(SpeedReader("mph", "", is_minor=False), "m")


@pytest.fixture
def drill(student):
    return make_drill(student.studio, "Wall turn")


def week(student, ago, *drills, credit=1.0, minutes=60.0):
    """The tally of a week that opened `ago` weeks before today, with these drills asked."""
    return WeekTally.objects.create(
        student=student,
        opens=today_of(student) - timedelta(weeks=ago),
        has_plan=True,
        parts=[
            {
                "drill": str(each.pk),
                "priority": number,
                "asked_minutes": minutes,
                "credit": credit,
                "removed": False,
            }
            for number, each in enumerate(drills, start=1)
        ],
    )


def weeks(student, *drills, credits_=(1.0, 1.0, 1.0, 1.0)):
    for ago, credit in enumerate(reversed(credits_), start=1):
        week(student, ago, *drills, credit=credit)


def checked(student, drill, *counts, effort=60):
    """A coach's counts, a week apart, the last one yesterday: (clean, reps)."""
    for ago, (clean, reps) in enumerate(reversed(counts)):
        CheckedCount.objects.create(
            student=student,
            drill=drill,
            effort=effort,
            clean_reps=clean,
            reps=reps,
            day=today_of(student) - timedelta(days=1 + 7 * ago),
        )


def logged(student, drill, *, days_ago, minutes=20, steps=(), from_memory=False):
    day = today_of(student) - timedelta(days=days_ago)
    entry = Entry(
        student=student, day=day, at=f"{day}T18:00:00Z", document={}, from_memory=from_memory
    )
    entry.root = entry.pk
    entry.save()
    Result.objects.create(
        entry=entry, student=student, opens=day, drill=drill, minutes=minutes, steps=list(steps)
    )


def parts_of(student):
    return moved_parts(read_moved(student, today_of(student)), is_minor=student.is_minor)


def the_part(student):
    (part,) = parts_of(student)
    return part


LOW, HIGH = (
    [(6, 48), (7, 48), (6, 48)],
    [(44, 48), (43, 48), (44, 48), (43, 48), (44, 48), (43, 48)],
)
BETTER, WORSE = LOW + HIGH, HIGH[:3] + LOW * 2


@pytest.mark.parametrize(
    ("credit", "counts", "verdict"),
    [
        (0.87, BETTER, "Keep going"),
        (0.4, BETTER, "Ask for less"),
        (0.87, WORSE, "Change the drill"),
        (0.4, WORSE, "Do it first"),
        # Level on four days: a gain of ten in a hundred is not ruled out.
        (0.87, [(20, 48), (22, 48), (20, 48), (22, 48)], "Cannot tell yet"),
        (0.4, [(20, 48), (22, 48), (20, 48), (22, 48)], "Do it first"),
        (0.87, [(5, 10), (5, 10), (7, 10), (8, 10)], "Cannot tell yet"),
        (0.87, [(20, 48), (40, 48)], "Cannot tell yet"),
        (0.87, [(20, 48)], "Test due"),
        (0.87, [], "Test due"),
        (0.4, [], "Do it first"),
    ],
)
def test_done_by_moved(student, drill, credit, counts, verdict):
    weeks(student, drill, credits_=[credit] * 4)
    checked(student, drill, *counts)
    assert the_part(student).verdict == verdict
    grid = moved_page((the_part(student),), COACH).grid
    fields = [(row.title, advice) for row in grid for advice, names in row.cells if names]
    asked = {"Test due": "Test it", "Cannot tell yet": "Test it"}.get(verdict, verdict)
    assert fields == [("Done" if credit > 0.7 else "Not done", asked)]


def test_what_a_test_has_shown_stands_before_what_was_not_done(student, drill):
    """One order on the page, and only one part that comes first."""
    weeks(student, drill, credits_=[0.4] * 4)
    verdicts = {
        "Putting": Practice.DO_IT_FIRST, "Soon": Practice.TOO_SOON, "Chips": Practice.DO_IT_FIRST,
        "Turn": Practice.KEEP_GOING, "Hurts": Practice.LESS_FOR_NOW,
    }  # fmt: skip
    parts = [replace(the_part(student), name=n, verdict=v) for n, v in verdicts.items()]
    page = moved_page(parts, COACH)
    order = ["Hurts", "Turn", "Putting", "Chips", "Soon"]
    assert [part.name for part in page.parts] == order
    assert [bar.label for bar in page.chart.bars] == order
    assert page.answer == (
        "Less for now: Hurts. Keep going: Turn. Do it first: Putting, then Chips. "
        "Too soon to say: Soon."
    )
    first, then = (part.answer for part in page.parts[2:4])
    assert "Put it first" in first
    assert "Do more of it" in then
    own = own_moved_page(parts, OWN).parts
    assert [part.name for part in own] == order
    assert own[2].answer.startswith("Begin with this one")
    assert own[3].answer.startswith("More of this one")


@pytest.mark.parametrize(
    ("count", "verdict"), [(1, "Too soon to say"), (2, "Too soon to say"), (3, "Test due")]
)
def test_three_open_weeks_at_least(student, drill, count, verdict):
    weeks(student, drill, credits_=[1.0] * count)
    assert the_part(student).verdict == verdict


def test_the_done_share_is_of_the_last_four_open_weeks(student, drill):
    weeks(student, drill, credits_=[0.0, 0.0, 1.0, 0.5, 1.0, 0.5])
    part = the_part(student)
    assert part.done == pytest.approx(0.75)
    assert (part.asked_minutes, part.credited_minutes, part.weeks) == (240, 180, 4)


def test_an_excused_week_is_left_out(student, drill):
    weeks(student, drill, credits_=[1.0, 1.0, None, 1.0])
    assert (the_part(student).done, the_part(student).weeks) == (1.0, 3)


def test_the_present_week_is_not_yet_judged(student, drill):
    week(student, 0, drill)
    assert parts_of(student) == ()


def test_what_is_no_longer_asked_is_not_there(student, drill):
    other = make_drill(student.studio, "Other")
    weeks(student, drill, credits_=[1.0] * 4)
    for ago in range(5, 9):
        week(student, ago, other)
    assert [part.name for part in parts_of(student)] == ["Wall turn"]


def test_days_of_easy_steps_are_no_better_days(student, drill):
    weeks(student, drill)
    checked(student, drill, *[(12, 48)] * 9, effort=60)
    assert abs(the_part(student).test.claim.value) < 1e-9
    # The last six weeks tried an easier step as well.
    checked(student, drill, *[(48, 48)] * 6, effort=40)
    found = the_part(student)
    assert abs(found.test.claim.value) < 1e-9
    assert found.verdict != "Keep going"


def test_a_coach_s_counts_outweigh_the_student_s_own(student, drill):
    test = make_drill(student.studio, "Check", is_test=True)
    set_test(drill=drill, test=test)
    weeks(student, drill)
    for ago, (clean, reps) in enumerate(reversed(BETTER)):
        steps = [{"n": reps, "clean": clean, "effort": 60}]
        logged(student, test, days_ago=2 + 7 * ago, steps=steps)
    assert the_part(student).verdict == "Keep going"
    assert the_part(student).evidence is Evidence.COUNTED
    checked(student, test, (20, 48), (21, 48))
    assert the_part(student).verdict == "Cannot tell yet"


def test_a_count_from_memory_is_no_test(student, drill):
    test = make_drill(student.studio, "Check", is_test=True)
    set_test(drill=drill, test=test)
    weeks(student, drill)
    for days_ago, clean in ((30, 10), (2, 40)):
        steps = [{"n": 48, "clean": clean, "effort": 60}]
        logged(student, test, days_ago=days_ago, steps=steps, from_memory=True)
    assert the_part(student).verdict == "Test due"


@pytest.mark.parametrize(("memories", "verdict"), [(1, "Keep going"), (2, "Too soon to say")])
def test_what_was_mostly_written_from_memory_feeds_no_verdict(student, drill, memories, verdict):
    weeks(student, drill)
    checked(student, drill, *BETTER)
    for number in range(4):
        logged(student, drill, days_ago=3 + number, from_memory=number < memories)
    part = the_part(student)
    assert part.verdict == verdict
    if verdict == "Too soon to say":
        assert part.evidence is Evidence.FROM_MEMORY
        page = moved_page((part,), COACH)
        assert "within two days" in page.parts[0].answer


@pytest.mark.parametrize(
    ("figures", "verdict"),
    [
        (INES, "Keep going"),
        (PIET, "Cannot tell yet"),
        (INES[:6], "Cannot tell yet"),
        (INES[:1], "Test due"),
        ((149, 149.3, 149.1, 149, 149.2, 149.3, 153.5), "Cannot tell yet"),
    ],
)
def test_a_test_of_speed_moves_as_the_speed_book_says(student, drill, figures, verdict):
    set_test(drill=drill, test=many_days(student, figures))
    weeks(student, drill)
    assert the_part(student).verdict == verdict


def test_no_verdict_leans_on_a_child_s_speed(child, guardian):
    drill = make_drill(child.studio, "Speed set")
    set_test(drill=drill, test=many_days(child, INES))
    weeks(child, drill)
    part = the_part(child)
    assert part.verdict == "Too soon to say"
    page = own_moved_page((part,), MovedReader(SpeedReader("mph", "Kim", is_minor=True), "m"))
    words = f"{page.parts[0].answer} {page.parts[0].test}"
    assert "Speed changes with growing" in words
    assert "moved" not in words


@pytest.mark.parametrize(("off", "verdict"), [(2, "Keep going"), (9, "Change the drill")])
def test_called_distances_move_when_the_balls_end_nearer(student, drill, off, verdict):
    test = make_drill(student.studio, "Distances", is_test=True, area="wedges")
    set_test(drill=drill, test=test)
    weeks(student, drill)
    for days_ago, miss in ((70, 9), (65, 9), (60, 9), *((day, off) for day in range(50, 0, -7))):
        sitting = Sitting.objects.create(
            student=student, drill=test, day=today_of(student) - timedelta(days=days_ago)
        )
        Shot.objects.bulk_create(
            Shot(
                sitting=sitting,
                student=student,
                number=n,
                target=60,
                carry=60 + side * miss + n / 9,
            )
            for n, side in enumerate((1, -1) * 5)
        )
    part = the_part(student)
    assert part.verdict == verdict
    assert "Balls end " in moved_page((part,), COACH).parts[0].test


def test_a_test_that_is_none_or_of_another_studio_is_not_taken(student, drill, cast):
    from tests.factories import studio_of

    other = make_drill(studio_of(cast["stranger"]), "Theirs", is_test=True)
    for wrong in (make_drill(student.studio, "No test"), other):
        set_test(drill=drill, test=wrong)
        drill.refresh_from_db()
        assert drill.tested_by is None


def test_a_test_is_named_on_the_drill_s_form(coach_client, drill, student):
    test = make_drill(student.studio, "Check", is_test=True)
    page = coach_client.get(f"/drills/{drill.pk}/edit/")
    form = page.context["form"]
    data = {name: value for name, value in form.initial.items() if value is not None}
    coach_client.post(f"/drills/{drill.pk}/edit/", data | {"tested_by": str(test.pk)})
    drill.refresh_from_db()
    assert drill.tested_by == test
    assert "Tested by" in coach_client.get(f"/drills/{drill.pk}/").content.decode()


# --- is more giving more ---


def test_it_is_silent_below_ten_pairs(student, drill):
    set_test(drill=drill, test=many_days(student, INES[:10]))
    weeks(student, drill)
    part = the_part(student)
    assert isinstance(part.more, TooLittle)
    assert moved_page((part,), COACH).parts[0].more == ()


def test_above_it_says_the_link_and_its_traps(student, drill):
    heavy = [1, 1, 0, 0, 1, 0, 0, 1, 1, 1, 0, 0, 1]  # Not after a low test more than a high one.
    figures = [150.0]
    for each in heavy:
        figures.append(figures[-1] + (3 if each else -3))
    set_test(drill=drill, test=many_days(student, figures, apart=14))
    weeks(student, drill)
    for number in range(13):
        # The fortnight before each rise was a heavy one.
        logged(student, drill, days_ago=14 * (12 - number) + 3, minutes=90 if heavy[number] else 10)
    more = the_part(student).more
    assert (more.link, more.n) == ("more has gone with more", 13)
    words = " ".join(moved_page((the_part(student),), COACH).parts[0].more)
    assert "More has gone with more so far (13 tests, each with" in words
    assert "Rank link +" in words
    assert "followed a worse test" in words
    assert "Both may follow the season." in words
    own = own_moved_page((the_part(student),), OWN).parts[0]
    assert own.more == (OWN_MORE,)
    assert "the other way round" in OWN_MORE


def test_heavy_fortnights_after_low_tests_alone_are_no_link(student, drill):
    """Each low test is answered by a heavy fortnight, and each next one is high by itself."""
    figures = [150.0 if number % 2 else 153.0 for number in range(14)]
    set_test(drill=drill, test=many_days(student, figures, apart=14))
    weeks(student, drill)
    for number in range(13):
        logged(student, drill, days_ago=14 * (12 - number) + 3, minutes=90 if number % 2 else 10)
    assert the_part(student).more.link == "no link seen"
    assert own_moved_page((the_part(student),), OWN).parts[0].more == ()


def test_equal_fortnights_have_no_link(student, drill):
    set_test(drill=drill, test=many_days(student, INES))
    weeks(student, drill)
    assert isinstance(the_part(student).more, TooLittle)


# --- pages ---


@pytest.mark.parametrize(
    ("address", "allowed"), [("/students/{}/moved/", TEACH), ("/own/{}/moved/", {"student"})]
)
def test_each_page_opens_to_whom_it_is_for(student, cast, address, allowed):
    for name, user in cast.items():
        expected = 200 if name in allowed else 404
        answer = signed_in(user).get(address.format(student.pk))
        assert answer.status_code == expected, name
    assert Client().get(address.format(student.pk)).status_code == 302


def test_a_guardian_reads_the_child_s_and_nobody_else_s(guardian_client, child, student):
    drill = make_drill(child.studio, "Wall turn")
    weeks(child, drill)
    page = guardian_client.get(f"/own/{child.pk}/moved/").content.decode()
    assert "Lately the work was done. A test comes next" in page
    assert guardian_client.get(f"/own/{student.pk}/moved/").status_code == 404
    assert guardian_client.get(f"/students/{child.pk}/moved/").status_code == 404


def test_the_pages_answer_first(coach_client, student_client, student, drill):
    weeks(student, drill)
    checked(student, drill, *WORSE)
    page = coach_client.get(f"/students/{student.pk}/moved/").content.decode()
    assert page.index("Change the drill: Wall turn.") < page.index("<svg")
    assert "240 of 240 minutes were done (100 %). They were asked from " in page
    # Worse is said to be worse, wherever it stands.
    assert "9 test days. Clean of 100: 78 fewer. It may be " in page
    assert "Done, and its test got worse. Change the drill, not the dose." in page
    assert "no gain worth having is left" not in page
    assert "Did not get better</th>" in page
    assert "Written down at practice." in page
    assert " style=" not in page
    own = student_client.get(f"/own/{student.pk}/moved/").content.decode()
    assert "Lately you did the work. This drill isn’t the key" in own
    assert "<script" not in own


@pytest.mark.parametrize(
    ("value", "ends", "words"),
    [
        ("−57", ("−95", "−20"), "57 fewer. It may be 20 to 95 fewer"),
        ("3", ("−4", "10"), "3 more. It may be 4 fewer to 10 more"),
        ("12", ("8", "17"), "12 more. It may be 8 to 17 more"),
    ],
)
def test_a_change_and_how_sure_it_is_in_words(value, ends, words):
    assert _ways(value, ends, "fewer", "more", "") == words


def test_what_is_done_this_week_is_not_put_first(student, student_client, drill):
    """The week that is open is in no share, but nobody is told to begin with what is done."""
    other = make_drill(student.studio, "Landing spot")
    weeks(student, drill, other, credits_=[0.1] * 4)
    page = student_client.get(f"/own/{student.pk}/moved/").content.decode()
    assert page.index("Wall turn") < page.index("Begin with this one") < page.index("Landing spot")
    this = week(student, 0, drill)
    page = student_client.get(f"/own/{student.pk}/moved/").content.decode()
    assert page.index("Landing spot") < page.index("Begin with this one") < page.index("Wall turn")
    assert page.count("Done for this week.") == 1
    assert page.count("24 of 240 minutes were done (10 %).") == 2
    this.parts[0]["credit"] = 0.99
    this.save()
    assert "Done for this week." not in student_client.get(f"/own/{student.pk}/moved/").text


def test_the_span_of_the_minutes_is_said(student, drill):
    weeks(student, drill)
    part = the_part(student)
    today = today_of(student)
    assert (part.since, part.until) == (today - timedelta(weeks=4), today - timedelta(days=1))


def test_a_test_that_was_never_named_is_not_due(coach_client, student, drill):
    weeks(student, drill)
    page = coach_client.get(f"/students/{student.pk}/moved/").content.decode()
    assert "Done. Name a test for it on the shelf, or count it once together." in page
    assert "Its test is due" not in page


def test_nothing_asked_says_so(coach_client, student_client, student):
    assert b"Nothing to say yet" in coach_client.get(f"/students/{student.pk}/moved/").content
    assert b"Nothing to say yet" in student_client.get(f"/own/{student.pk}/moved/").content


def test_no_word_to_a_student_blames():
    from practice.numbers.moved.pages import CHILD_WORDS, OWN_WORDS

    said = " ".join([*OWN_WORDS.values(), *CHILD_WORDS.values()]).lower()
    for word in ("fail", "missed", "behind", "lazy", "poor", "only", "still", "!"):
        assert word not in said


def test_queries_do_not_grow_with_parts_and_history(student, coach_client, drill):
    counts = []
    set_test(drill=drill, test=many_days(student, INES[:2]))
    weeks(student, drill)
    for extra in range(2):
        if extra:
            more = [make_drill(student.studio, f"Drill {n}") for n in range(6)]
            for ago in range(5, 20):
                week(student, ago, *more)
            week(student, 21, drill, *more)
            WeekTally.objects.filter(opens__lt=today_of(student) - timedelta(weeks=20)).update(
                opens=today_of(student) - timedelta(days=8)
            )
            for each in more:
                checked(student, each, (5, 20), (7, 20))
                logged(student, each, days_ago=4)
        with CaptureQueriesContext(connection) as queries:
            page = coach_client.get(f"/students/{student.pk}/moved/")
        assert page.status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 20


def test_a_stopped_drill_is_not_to_be_done_first(student, drill):
    weeks(student, drill, credits_=[0.0] * 4)
    assert the_part(student).verdict == "Do it first"
    Stop.objects.create(student=student, drill=drill, since=today_of(student))
    assert the_part(student).verdict == "Less for now"
