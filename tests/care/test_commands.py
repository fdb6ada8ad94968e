"""A stop, what it excuses, and that only a coach ends it."""

from datetime import date, timedelta

from practice.care.commands import clear_stop, understand
from practice.care.models import CautionRead, Stop
from practice.compliance.models import WeekTally
from practice.drills.models import Caution
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


def test_pain_of_an_earlier_day_reaches_the_weeks_sent_since(phone, student, part):
    later = MONDAY + timedelta(days=7)
    factories.make_part(factories.make_week(student, later), part.drill)
    phone.receipt(entry(student, part, pain=pain(part)))
    assert tally(student, later).sessions_left == 0


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
