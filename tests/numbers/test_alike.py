"""One claim, read alike wherever it stands: on pages, on the board, and in what is kept."""

from datetime import timedelta
from html import unescape

import pytest

from coaching.board.queries import one_student
from coaching.board.rules.news import NewsKind, news_of
from coaching.lessons.numbers import moved_said
from coaching.reports.body import body_of
from practice.drills.services import set_test
from practice.numbers.now.reckoning import reckon
from practice.numbers.now.values import from_json
from practice.numbers.speed.book import speed_book
from practice.numbers.speed.queries import read_speeds
from practice.numbers.speed.text import word_of
from practice.shots.studio_days import usual_days
from tests.factories import make_drill
from tests.numbers.make import today_of
from tests.numbers.speeds import CALLUM, INES, many_days
from tests.numbers.test_moved import checked, parts_of, weeks

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
    at_the_door = moved_said(student, student.lead_coach, usual_days(student), to_student=False)
    coachs = words_of(coach_client.get(f"/students/{student.pk}/speed/"))
    assert [title for title, each in at_the_door if each in coachs] == ["Ball speed, Driver"]


def reported(student, today):
    return body_of(student, student.user, today - timedelta(days=90), today)["numbers"]


def words_of(response):
    return " ".join(unescape(response.content.decode()).split())


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
