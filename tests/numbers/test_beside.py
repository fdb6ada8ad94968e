"""What the tests say beside a part on the phone: the sentences of the pages, only read."""

from datetime import date
from types import SimpleNamespace
from uuid import uuid4

import pytest
from django.utils import timezone

from practice.numbers.moved.pages import OWN_WORDS
from practice.numbers.now import reckoning
from practice.numbers.now.beside import said_by_tests
from practice.numbers.now.models import NumbersNow
from practice.numbers.now.values import Missed, MovedNow, Numbers, from_json, to_json
from practice.phone.bundle import bundle, link_bundle
from tests import factories

pytestmark = pytest.mark.django_db


def kept(student, **numbers) -> None:
    figures = to_json(Numbers(**numbers))
    NumbersNow.objects.create(
        student=student, figures=figures, sittings=1, reckoned_at=timezone.now()
    )


@pytest.fixture
def part(student, wednesday):
    wedges = factories.make_drill(student.studio, "Wedges", "4 balls", measures="carry")
    return factories.make_part(factories.make_week(student), wedges)


def missed(error: float, hole=None) -> Missed:
    return Missed(60.0, error, 8, date(2026, 1, 5), hole)


@pytest.mark.parametrize(
    ("worst", "words"),
    [
        (missed(5.0), "Balls at 60 m end 5 m long."),
        (missed(-5.0), "Balls at 60 m end 5 m short."),
        (missed(5.0, (55.0, 70.0)), "You have no stock swing for 60 m yet. Let’s make one."),
    ],
)
def test_the_worst_missed_distance_stands_at_what_measures_carries(student, part, worst, words):
    kept(student, missed=(worst,))
    (told,) = bundle(student, student.user)["weeks"][0]["parts"]
    assert told["moved"] == words
    (bare,) = link_bundle(student, student.user)["weeks"][0]["parts"]
    assert bare["moved"] == ""


def test_what_moved_is_said_of_its_drill_and_to_a_parent_of_the_child(student, coach, wednesday):
    drill = factories.make_drill(student.studio)
    kept(student, moved=(MovedNow(str(drill.pk), "Keep going"),))
    told = said_by_tests(student, student.user).answer({drill.pk})
    assert told == {drill.pk: OWN_WORDS["Keep going"]}
    assert "You" not in said_by_tests(student, coach).answer({drill.pk})[drill.pk]


def test_what_moved_is_kept_with_the_figures_where_it_can_be_told(student, part, monkeypatch):
    verdicts = ["Too soon to say", "Keep going"]
    found = [SimpleNamespace(drill_id=uuid4(), verdict=each) for each in verdicts]
    monkeypatch.setattr(reckoning, "moved_parts", lambda *_, **__: found)
    reckoning.reckon(student, timezone.now())
    figures = NumbersNow.objects.get(student=student).figures
    assert from_json(figures).moved == (MovedNow(str(found[1].drill_id), "Keep going"),)


def test_it_comes_back_as_it_was_kept():
    numbers = Numbers(missed=(missed(5.0),), moved=(MovedNow("x", "Test due"),))
    assert from_json(to_json(numbers)) == numbers
