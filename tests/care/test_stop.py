"""A stop, what it excuses, and that only a coach ends it."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from coaching.board.care import care_notes
from practice.care.models import CautionRead, Stop
from practice.compliance.models import WeekTally
from practice.drills.models import Caution
from practice.flows.stop import clear_stop, understand
from practice.phone.reading import care_of
from tests import factories
from tests.factories import MONDAY
from tests.log.entries import entry

TODAY = date(2031, 2, 26)


def pain(part, level=6):
    return {"lvl": level, "where": "back", "signs": [], "new": True, "p": str(part.pk)}


def tally(student, opens=MONDAY):
    return WeekTally.objects.get(student=student, opens=opens)


def test_a_stop_excuses_what_was_left_of_the_part(phone, student, part):
    phone.receipt(entry(student, b=[{"p": str(part.pk), "as": True}], pain=pain(part)))
    (told,) = tally(student).parts
    assert told["stopped"]
    assert told["credit"] == 1
    assert tally(student).sessions_left == 0


@pytest.mark.parametrize(
    ("dose", "area"),
    [("8 min@95", "swing"), ("3x4@max", "swing"), ("6 balls", "speed"), ("4@95, 2 min@40", "body")],
)
def test_what_is_locked_on_the_phone_is_excused_in_the_credit(phone, student, part, dose, area):
    """Nobody loses by telling pain: asked three times, not done, and no credit of nothing."""
    drill = factories.make_drill(student.studio, "Hard", dose, area=area)
    hard = factories.make_part(part.week, drill)
    phone.receipt(entry(student, part, pain=pain(part)))
    told = {row["part"]: row for row in tally(student).parts}[str(hard.pk)]
    assert (told["stopped"], told["credit"], told["asked_sessions"]) == (True, None, 0)
    (locked,) = [p for p in phone.week().json()["weeks"][0]["parts"] if p["id"] == str(hard.pk)]
    assert locked["stopped"]


@pytest.mark.parametrize("dose", ["8 min@80", "12@40, 9@60", "20 balls"])
def test_soft_work_goes_on(phone, student, part, dose):
    soft = factories.make_part(part.week, factories.make_drill(student.studio, "Soft", dose))
    phone.receipt(entry(student, part, pain=pain(part)))
    told = {row["part"]: row for row in tally(student).parts}[str(soft.pk)]
    assert not told["stopped"]
    assert told["asked_sessions"] == 3


def test_pain_of_an_earlier_day_reaches_the_weeks_sent_since(phone, student, part):
    later = MONDAY + timedelta(days=7)
    factories.make_part(factories.make_week(student, later), part.drill)
    phone.receipt(entry(student, part, pain=pain(part)))
    assert tally(student, later).sessions_left == 0


def test_one_pain_told_again_with_its_place_is_one_pain(phone, student, part, coach):
    """The first tap says how much, the form after it where: it hurts once."""
    first = entry(student, part, pain=pain(part, 4) | {"where": ""})
    more = pain(part, 4) | {"where": "left wrist", "signs": ["numb"]}
    phone.receipt(first)
    phone.receipt(entry(student, part, k="change", target=first["id"], pain=more))
    (told,) = care_of(student)
    assert told.text.startswith("left wrist 4 of 10")
    (place,) = care_notes(coach, student, timezone.now()).places
    assert (place.where, len(place.told)) == ("Left wrist", 1)
    # What stopped at the first tap stays stopped.
    assert Stop.objects.filter(cleared_at=None).count() == 2


def test_a_second_pain_opens_no_second_stop(phone, student, part):
    phone.receipts(entry(student, part, pain=pain(part)), entry(student, part, pain=pain(part, 8)))
    assert Stop.objects.count() == 2
    assert {stop.drill for stop in Stop.objects.all()} == {None, part.drill}


def test_a_coach_clears_a_stop_once_and_what_is_asked_stands_again(phone, student, part, coach):
    phone.receipt(entry(student, part, pain=pain(part)))
    for stop in Stop.objects.all():
        assert clear_stop(stop=stop, by=coach, words="Seen by the physio", day=TODAY)
        assert not clear_stop(stop=stop, by=coach, words="Again", day=TODAY)
    assert set(Stop.objects.values_list("clearing_words", flat=True)) == {"Seen by the physio"}
    (told,) = tally(student).parts
    assert not told["stopped"]
    assert phone.week().json()["weeks"][0]["parts"][0]["stopped"] is None


def test_after_clearing_pain_can_stop_again(phone, student, part, coach):
    phone.receipt(entry(student, part, pain=pain(part)))
    for stop in Stop.objects.all():
        clear_stop(stop=stop, by=coach, words="", day=TODAY)
    phone.receipt(entry(student, part, pain=pain(part, 9)))
    assert Stop.objects.filter(cleared_at=None).count() == 2


def test_a_caution_is_read_once(student, coach):
    drill = factories.make_drill(student.studio)
    caution = Caution.objects.create(drill=drill, when="If", stop="stop.")
    assert understand(student=student, caution_id=caution.pk, user=coach)
    assert understand(student=student, caution_id=caution.pk, user=None)
    assert CautionRead.objects.get().user == coach
