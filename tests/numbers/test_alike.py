"""One claim, read alike wherever it stands: on pages, on the board, and in what is kept."""

import re
from datetime import timedelta
from html import unescape

import pytest

from coaching.board.queries import one_student
from coaching.board.rules.news import NewsKind, news_of
from coaching.lessons.numbers import numbers_asked
from coaching.lessons.services import open_lesson
from coaching.reports.body import body_of
from practice.compliance.models import WeekTally
from practice.drills.services import set_test
from practice.numbers.now.reckoning import reckon
from practice.numbers.now.values import from_json
from practice.numbers.speed.book import speed_book
from practice.numbers.speed.queries import read_speeds
from practice.numbers.speed.text import word_of
from practice.weeks.queries import this_opening
from tests.board.make import part_row
from tests.conftest import signed_in
from tests.factories import make_drill, make_part, make_week
from tests.numbers.make import today_of
from tests.numbers.speeds import CALLUM, INES, many_days
from tests.numbers.test_moved import checked, parts_of, weeks
from tests.reading.sentences import sentences_of
from tests.reading.walk import walk

pytestmark = pytest.mark.django_db
ONE_GOOD_DAY = (149, 149.3, 149.1, 149, 149.2, 149.3, 153.5)
TO_CHANGE = ("Change the drill", "right key", "another is tried")


def kept(student):
    from django.utils import timezone

    from practice.numbers.now.models import NumbersNow

    reckon(student, timezone.now())
    return from_json(NumbersNow.objects.get(student=student).figures)


@pytest.mark.parametrize(
    ("figures", "word", "verdict", "news"),
    [
        (INES, "Up", "Keep going", None),  # Up for longer than the days of news.
        (CALLUM, "Down", "Change the drill", NewsKind.DOWN),
        (ONE_GOOD_DAY, "Cannot tell yet", "Cannot tell yet", None),
    ],
)
def test_speed_reads_alike(coach_client, student_client, student, figures, word, verdict, news):
    drill = make_drill(student.studio, "Speed set")
    set_test(drill=drill, test=many_days(student, figures))
    weeks(student, drill)
    today = today_of(student)
    (line,) = speed_book(read_speeds(student, today)).lines
    assert word_of(line.claim).startswith(word)
    (part,) = parts_of(student)
    assert (part.verdict, part.test.claim) == (verdict, line.claim)
    numbers = kept(student)
    assert numbers.speed.verdict == ("" if word.startswith("Cannot") else word)
    assert numbers.speed.change == pytest.approx(line.claim.value)
    told = news_of(numbers, today)
    assert (told.kind if told else None) is news
    speed = coach_client.get(f"/students/{student.pk}/speed/").content.decode()
    moved = coach_client.get(f"/students/{student.pk}/moved/").content.decode()
    own = student_client.get(f"/own/{student.pk}/moved/").content.decode()
    assert word in speed
    assert f"{verdict}: Speed set." in moved
    for page in (moved, own):
        assert any(each in page for each in TO_CHANGE) is (verdict == "Change the drill")
    # The report says what the student's own page says, the door note what the coach's does.
    (said,) = (each for title, each in reported(student, today) if title.startswith("Ball speed"))
    own_words = words_of(student_client.get(f"/own/{student.pk}/speed/"))
    assert said.removeprefix(f"{student.name}'s ") in own_words
    assert ("too soon to say" in said) is word.startswith("Cannot")
    at_the_door = numbers_asked(student).moved_said(student.lead_coach, to_student=False)
    coachs = words_of(coach_client.get(f"/students/{student.pk}/speed/"))
    assert [title for title, each in at_the_door if each in coachs] == ["Ball speed, Driver"]


def reported(student, today):
    return body_of(student, student.user, today - timedelta(days=90), today)["numbers"]


def words_of(response):
    return " ".join(unescape(response.content.decode()).split())


@pytest.mark.usefixtures("wednesday")
def test_a_drill_reads_alike(coach, coach_client, student_client, student):
    """Five, five, seven and eight of ten: neither moved nor shown not to move."""
    from django.utils import timezone

    drill = make_drill(student.studio, "Wall turn")
    weeks(student, drill)
    checked(student, drill, (5, 10), (5, 10), (7, 10), (8, 10))
    for address in (f"/students/{student.pk}/moved/", f"/own/{student.pk}/moved/"):
        client = student_client if "own" in address else coach_client
        page = client.get(address).content.decode().replace("&#x27;", "'")
        assert not any(each in page for each in TO_CHANGE)
        assert "Cannot tell yet: about " in page
    row = one_student(coach, student, timezone.now())[0]
    assert row.facts.drill is None


def test_a_fall_that_held_is_never_beside_keep_going(student):
    drill = make_drill(student.studio, "Speed set")
    # Far up on the start, then down again from day to day.
    figures = [*[140.0] * 4, *[160.0] * 8, 156.0, 152.0, 148.0, 146.0, 145.0]
    set_test(drill=drill, test=many_days(student, figures))
    weeks(student, drill)
    (part,) = parts_of(student)
    speed = kept(student).speed
    assert (speed.verdict == "Down") is (part.verdict == "Change the drill")
    assert (speed.verdict == "Up") is (part.verdict == "Keep going")


# --- on every page there is ---

# What is said of a test that moved, of one that did not, and of one that cannot be told, as
# every page words it; of a drill, which to do with it.
SAYS = {
    "up": re.compile(
        r"Up(?: [\d.]+ mph)?, held|"
        r"up (?:from \d|on the three)|is up (?:\d|and)|stayed up|test has moved|"
        r"its test moved\. Keep going"
    ),
    "down": re.compile(
        r"Down(?: [\d.]+ mph)?, held|"
        r"down on the three|is down (?:\d|and)|stayed down|lower than at the start"
    ),
    "change": re.compile(r"Change the drill: |Change the drill, not|right key|another is tried"),
    "untold": re.compile(
        r"Cannot tell yet[:,] |Whether it has moved is too soon|will tell whether it h|moves cannot"
    ),
}


def said_by_pages(student) -> dict[str, set[str]]:
    """By what is said, the pages that say it, of all that coach and student can reach."""
    found: dict[str, set[str]] = {key: set() for key in SAYS}
    for role, user in (("coach", student.lead_coach), ("student", student.user)):
        for name, path, page in walk(signed_in(user), alike=4):
            text = " ".join(each.text for each in sentences_of(page))
            told = {key for key, words in SAYS.items() if words.search(text)}
            assert len(told & {"up", "down", "untold"}) <= 1, (path, told)
            for key in told:
                found[key].add(f"{name} ({role})")
    return found


def asked(student, drill):
    """The drill was asked and done for four weeks, is asked in this one, and a lesson is on."""
    weeks(student, drill)
    for tally in WeekTally.objects.filter(student=student):
        tally.parts = [part_row(str(drill), left=0) | part for part in tally.parts]
        tally.save()
    make_part(make_week(student, this_opening(student)), drill)
    open_lesson(student=student, by=student.lead_coach)


def speed_set(student, figures):
    drill = make_drill(student.studio, "Speed set")
    set_test(drill=drill, test=many_days(student, figures))
    asked(student, drill)
    kept(student)


def test_speed_reads_alike_on_every_page(student):
    """Whoever is up is told so on these pages; of one good day not one of them says anything."""
    speed_set(student, INES)
    up = said_by_pages(student)
    assert {"progress:speed (coach)", "progress:own_speed (student)"} <= up["up"]
    assert {"progress:moved (coach)", "progress:own_moved (student)"} <= up["up"]
    assert not up["down"] | up["change"] | up["untold"]


def test_one_good_day_is_a_change_on_no_page(student):
    speed_set(student, ONE_GOOD_DAY)
    said = said_by_pages(student)
    assert not said["up"] | said["down"] | said["change"]
    pages = {"progress:speed (coach)", "progress:own_speed (student)", "progress:moved (coach)"}
    assert pages <= said["untold"]


def test_a_fall_is_a_fall_on_every_page(student):
    speed_set(student, CALLUM)
    said = said_by_pages(student)
    assert {"progress:speed (coach)", "progress:own_speed (student)"} <= said["down"]
    assert {"progress:moved (coach)", "progress:own_moved (student)"} <= said["change"]
    assert not said["up"] | said["untold"]


def test_counts_that_tell_nothing_change_no_drill_on_any_page(student):
    drill = make_drill(student.studio, "Wall turn")
    asked(student, drill)
    checked(student, drill, (5, 10), (5, 10), (7, 10), (8, 10))
    kept(student)
    said = said_by_pages(student)
    assert {"progress:moved (coach)", "progress:own_moved (student)"} <= said["untold"]
    assert not said["up"] | said["down"] | said["change"]
