"""Every entry once: receipts, chains, and what must not be lost."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.db import OperationalError, connection
from django.test.utils import CaptureQueriesContext

from practice.care.models import CautionRead, PainNote, Stop
from practice.compliance import tally as tally_module
from practice.compliance.models import WeekTally
from practice.compliance.rebuild import differences
from practice.compliance.tally import FIELDS
from practice.drills.dose import parse
from practice.drills.hard import hard_swings
from practice.drills.models import Caution
from practice.flows import take_entry
from practice.log.document import LATEST
from practice.log.models import Entry, Result
from practice.shots.models import Sitting
from practice.weeks.models import Excusal, Part
from tests import factories
from tests.factories import MONDAY
from tests.log.entries import Phone, back, block, change, entry, measured


def tally(student, opens=MONDAY):
    return WeekTally.objects.get(student=student, opens=opens)


def reps(student, opens=MONDAY):
    return tally(student, opens).reps


def test_an_entry_is_stored_once_however_often_it_is_sent(phone, student, part):
    one = entry(student, part)
    assert phone.receipt(one) == ["stored", ""]
    assert phone.receipt(one) == ["had", ""]
    assert Entry.objects.get().document == one
    assert Result.objects.count() == 1
    assert reps(student) == 10


def test_what_the_clock_said_is_kept_beside_what_counts(phone, student, part):
    one = entry(student, part)
    one["b"][0] |= {"min": 25, "t": 16, "g": 20}
    assert phone.receipt(one) == ["stored", ""]
    assert Entry.objects.get().document == one
    kept = Result.objects.get()
    assert (kept.minutes, kept.timed_minutes, kept.guessed_minutes) == (25, 16, 20)
    assert tally(student).minutes == 25  # Nothing that counts is made from the other two.


def test_the_order_of_keys_is_no_difference(phone, student, part):
    one = entry(student, part)
    phone.receipt(one)
    assert phone.receipt(dict(reversed(one.items()))) == ["had", ""]


def test_other_content_under_a_known_id_is_told_and_changes_nothing(phone, student, part):
    one = entry(student, part)
    phone.receipt(one)
    assert phone.receipt(one | {"note": "other"}) == ["refused", "differs"]
    assert Entry.objects.get().note == ""


def test_another_students_id_is_taken_and_their_entry_stays_as_it_was(phone, coach, student):
    other = factories.make_student(coach, "Other")
    theirs = entry(other, note="theirs")
    Phone(other).receipt(theirs)
    before = Entry.objects.values().get()
    assert phone.receipt(entry(student, id=theirs["id"])) == ["refused", "id_taken"]
    assert Entry.objects.values().get() == before


def test_what_another_person_logged_on_this_phone_waits(phone, coach):
    other = factories.make_student(coach, "Other")
    assert phone.receipt(entry(other)) == ["hold", "other_person"]
    assert not Entry.objects.exists()


def test_a_newer_phone_waits_for_us(phone, student):
    assert phone.receipt(entry(student, v=LATEST + 1)) == ["hold", "version"]


def test_a_bad_entry_fails_none_of_its_neighbours(phone, student, part):
    good, also_good = entry(student, part), entry(student, part)
    bad = entry(student, part, felt=99)
    receipts = phone.receipts(good, "junk", None, {"v": 1}, bad, also_good)
    assert receipts[good["id"]] == receipts[also_good["id"]] == ["stored", ""]
    assert receipts[bad["id"]] == ["refused", "amount"]
    assert len(receipts) == 3


def test_a_fault_of_ours_leaves_its_entry_without_receipt(phone, student, monkeypatch, caplog):
    broken, good = entry(student), entry(student)
    real = take_entry.chains.EntryBatch.keep

    def keep(batch, incoming):
        if str(incoming.document.id) == broken["id"]:
            raise ZeroDivisionError
        return real(batch, incoming)

    monkeypatch.setattr(take_entry.chains.EntryBatch, "keep", keep)
    assert phone.receipts(broken, good) == {good["id"]: ["stored", ""]}
    assert "could not be taken" in caplog.text
    assert [str(pk) for pk in Entry.objects.values_list("pk", flat=True)] == [good["id"]]


def test_a_busy_database_answers_for_the_whole_batch_and_keeps_none_of_it(
    phone, student, monkeypatch
):
    first, second = entry(student), entry(student)
    real = take_entry.chains.EntryBatch.keep

    def keep(batch, incoming):
        if str(incoming.document.id) == second["id"]:
            raise OperationalError("database is locked")
        return real(batch, incoming)

    monkeypatch.setattr(take_entry.chains.EntryBatch, "keep", keep)
    answer = phone.sync(first, second)
    assert (answer.status_code, answer.json()["code"]) == (503, "busy")
    assert answer["Retry-After"] == "5"
    assert not Entry.objects.exists()
    monkeypatch.undo()
    assert phone.receipts(first, second) == {
        first["id"]: ["stored", ""],
        second["id"]: ["stored", ""],
    }


def test_an_entry_and_its_tally_are_one(phone, student, part, monkeypatch):
    def fail(student, weeks):
        raise RuntimeError

    monkeypatch.setattr(take_entry.tally, "keep", fail)
    one = entry(student, part)
    assert phone.receipts(one) == {}
    assert not Entry.objects.exists()
    assert not Result.objects.exists()
    monkeypatch.undo()
    assert phone.receipt(one) == ["stored", ""]
    assert reps(student) == 10


def logs(student, part, number):
    """Logs of two weeks, every fifth with balls that were measured."""
    for n in range(number):
        day = MONDAY - timedelta(days=7 * (n % 2))
        one = measured(student, part) if n % 5 == 0 else entry(student, part)
        yield one | {"day": str(day)}


def test_fifty_at_once_ask_the_database_as_often_as_five(phone, student, part):
    phone.receipt(measured(student, part))  # Its club is known from here on.
    asked = []
    for number in (5, 50):
        with CaptureQueriesContext(connection) as found:
            receipts = phone.receipts(*logs(student, part, number))
        assert set(map(tuple, receipts.values())) == {("stored", "")}
        # Rows of many columns go out in pieces on SQLite.
        asked.append(sum("INSERT" not in query["sql"] for query in found))
    assert asked[0] == asked[1]
    assert len(found) < 60
    assert not list(differences(student))


def test_each_week_of_a_batch_is_counted_once(phone, student, part, monkeypatch):
    counted = []
    read = tally_module.read_so_far

    def count(who, opens, *args):
        counted.append((who.pk, opens))
        return read(who, opens, *args)

    monkeypatch.setattr(tally_module, "read_so_far", count)
    many = list(logs(student, part, 40))
    phone.receipts(*many, many[0] | {"note": "other"})
    assert sorted(counted) == [(student.pk, MONDAY - timedelta(days=7)), (student.pk, MONDAY)]
    assert not list(differences(student))


def test_what_comes_together_is_the_same_as_one_by_one(phone, student, coach):
    """A log, its change, another's take-back, pain and days away, in one go and each alone."""

    def everything(who):
        drill = factories.make_drill(who.studio, f"Ladder of {who.name}")
        part = factories.make_part(factories.make_week(who), drill)
        one, two, three = (entry(who, part) for _ in range(3))
        four = measured(who, part) | {
            "pain": {"lvl": 5, "where": "back", "signs": [], "new": True, "p": str(part.pk)}
        }
        bad = entry(who, part, felt=99)
        return [one, change(one, b=[block(part, (4, 0, 0))]), two, back(two), bad, three, four,
                away(who, "2031-02-28", "2031-02-28"), three, one | {"note": "other"}]  # fmt: skip

    other = factories.make_student(coach, "Other")
    others_phone = Phone(other)
    alone = [others_phone.receipt(one) for one in everything(other)]
    told = everything(student)
    together = phone.receipts(*told)
    assert list(map(tuple, alone)) == [
        ("stored", ""), ("stored", ""), ("stored", ""), ("stored", ""), ("refused", "amount"),
        ("stored", ""), ("stored", ""), ("stored", ""), ("had", ""), ("refused", "differs"),
    ]  # fmt: skip
    last = {one["id"]: tuple(receipt) for one, receipt in zip(told, alone, strict=True)}
    assert {name: tuple(receipt) for name, receipt in together.items()} == last
    for field in FIELDS:
        if field != "parts":  # They bear their own ids.
            assert getattr(tally(student), field) == getattr(tally(other), field), field
    for model in (Entry, Result, PainNote, Stop, Excusal, Sitting):
        count = model.objects.filter
        assert count(student=student).count() == count(student=other).count() > 0
    assert not list(differences(student))


# --- changes and take-backs -------------------------------------------------------------


def test_a_change_counts_instead_and_both_are_kept(phone, student, part):
    one = entry(student, part)
    phone.receipt(one)
    phone.receipt(change(one, b=[block(part, (4, 0, 0))]))
    assert Entry.objects.count() == 2
    assert Entry.objects.get(counts=True).kind == "change"
    assert reps(student) == 4


def test_of_two_devices_the_change_received_last_counts(phone, student, part):
    one = entry(student, part)
    phone.receipt(one)
    early = change(one, at="2031-02-26T11:00:00+00:00", note="early")
    late = change(one, at="2031-02-26T11:50:00+00:00", note="late")
    phone.receipts(late, early)
    assert Entry.objects.get(counts=True).note == "early"
    assert Entry.objects.count() == 3
    phone.receipts(late)  # Sent again, it is there already and wins nothing.
    assert Entry.objects.get(counts=True).note == "early"


def test_a_change_to_another_day_moves_the_work_between_weeks(phone, student, part):
    one = entry(student, part)
    phone.receipt(one)
    phone.receipt(change(one, day="2031-02-20"))
    assert reps(student) == 0
    assert reps(student, MONDAY - timedelta(days=7)) == 10


def test_a_take_back_counts_nothing_and_stays(phone, student, part):
    one = entry(student, part)
    phone.receipt(one)
    gone = back(one)
    assert phone.receipt(gone) == ["stored", ""]
    assert not Entry.objects.filter(counts=True).exists()
    assert reps(student) == 0
    assert phone.receipts(one, gone) == {one["id"]: ["had", ""], gone["id"]: ["had", ""]}
    assert not Entry.objects.filter(counts=True).exists()
    assert set(phone.week().json()["have"]) == {one["id"], gone["id"]}
    assert phone.week().json()["entries"] == []


def test_a_later_change_brings_back_what_was_taken_back(phone, student, part):
    one = entry(student, part)
    phone.receipts(one, back(one))
    phone.receipt(change(one))
    assert reps(student) == 10


def test_a_chain_may_be_named_by_any_of_its_entries(phone, student, part):
    one = entry(student, part)
    second = change(one, note="second")
    phone.receipts(one, second)
    phone.receipt(change(one, target=second["id"], note="third"))
    assert Entry.objects.get(counts=True).note == "third"
    assert set(Entry.objects.values_list("root", flat=True).distinct()) == {
        Entry.objects.get(pk=one["id"]).pk
    }


def test_a_target_that_is_not_ours_and_one_that_never_was_are_the_same_answer(
    phone, coach, student
):
    other = factories.make_student(coach, "Other")
    theirs = entry(other)
    Phone(other).receipt(theirs)
    for target in (theirs["id"], str(uuid4())):
        for make in (change, back):
            one = make(entry(student), target=target)
            assert phone.receipt(one) == ["refused", "target"]
    assert Entry.objects.get().counts


def test_a_refused_change_leaves_the_session_counting(phone, student, part):
    one = entry(student, part)
    phone.receipt(one)
    assert phone.receipt(change(one, day="2031-03-20")) == ["refused", "day"]
    assert Entry.objects.get().counts
    assert reps(student) == 10


@pytest.mark.parametrize(("days_later", "answer"), [(7, ["stored", ""]), (8, ["refused", "late"])])
@pytest.mark.parametrize("make", [change, back])
def test_a_session_may_be_changed_for_seven_days(phone, student, part, make, days_later, answer):
    one = entry(student, part)
    phone.receipt(one)
    later = factories.NOON + timedelta(days=days_later)
    with time_machine.travel(later, tick=False):
        other = make(one, at=later.isoformat())
        said = phone.sync(other, sent=later.isoformat()).json()
    assert said["r"][other["id"]] == answer
    if answer[0] == "refused":
        assert "Tell your coach" in said["why"][other["id"]]
        assert Entry.objects.get().counts
        assert reps(student) == 10


def test_changing_it_again_gives_no_more_days(phone, student, part):
    one = entry(student, part)
    phone.receipt(one)
    second = None
    for days_later, answer in ((6, "stored"), (12, "refused")):
        later = factories.NOON + timedelta(days=days_later)
        with time_machine.travel(later, tick=False):
            second = change(one, target=(second or one)["id"], at=later.isoformat())
            assert phone.receipts(second, sent=later.isoformat())[second["id"]][0] == answer


def test_what_was_changed_in_time_without_signal_is_taken_when_it_comes(phone, student, part):
    """A phone that was away for three weeks: the log and its change both waited on it."""
    one = entry(student, part)
    phone.receipt(one)
    mended = change(one, at="2031-03-04T12:00:00+00:00", note="in time")
    with time_machine.travel(factories.NOON + timedelta(days=21), tick=False):
        assert phone.receipts(mended, sent="2031-03-19T12:00:00+00:00") == {
            mended["id"]: ["stored", ""]
        }


def test_the_seven_days_of_what_came_late_begin_when_it_came(phone, student, part):
    one = entry(student, part)
    came = factories.NOON + timedelta(days=20)
    with time_machine.travel(came, tick=False):
        phone.receipts(one, sent=came.isoformat())
    later = came + timedelta(days=7)
    with time_machine.travel(later, tick=False):
        mended = change(one, at=later.isoformat())
        assert phone.receipts(mended, sent=later.isoformat())[mended["id"]] == ["stored", ""]


# --- days ----------------------------------------------------------------------------------


@pytest.mark.parametrize("day", ["2031-02-28", "2032-02-26", "2030-12-01", "0001-01-01"])
def test_a_day_that_cannot_be_is_refused_with_a_sentence(phone, student, part, day):
    one = entry(student, part, day=day)
    answer = phone.sync(one).json()
    assert answer["r"][one["id"]] == ["refused", "day"]
    assert "day" in answer["why"][one["id"]].lower()


def test_what_was_stored_is_had_also_when_its_day_is_long_past(phone, student, part):
    one = entry(student, part)
    phone.receipt(one)
    with time_machine.travel(factories.NOON + timedelta(days=200), tick=False):
        assert phone.receipt(one) == ["had", ""]


def test_work_before_the_week_was_sent_is_kept_and_not_counted(phone, student):
    week = factories.make_week(student, published_on=date(2031, 2, 26))
    part = factories.make_part(week, factories.make_drill(student.studio))
    assert phone.receipt(entry(student, part, day="2031-02-25")) == ["stored", ""]
    assert Result.objects.get().filed == Result.Filed.UNPLANNED
    assert tally(student).credit == 0


def test_a_session_for_last_week_is_filed_there(phone, student):
    last = MONDAY - timedelta(days=7)
    week = factories.make_week(student, last)
    part = factories.make_part(week, factories.make_drill(student.studio))
    one = entry(student, day="2031-02-24", b=[block(part, last=True)])
    assert phone.receipt(one) == ["stored", ""]
    result = Result.objects.get()
    assert (result.opens, result.filed) == (last, Result.Filed.MAKE_UP)
    assert tally(student, last).credited_minutes > 0


def test_an_old_day_is_marked_from_memory(phone, student, part):
    phone.receipts(entry(student, part, day="2031-02-22"), entry(student, part))
    assert list(Entry.objects.order_by("day").values_list("from_memory", flat=True)) == [
        True,
        False,
    ]


# --- parts ---------------------------------------------------------------------------------


def test_done_as_asked_without_counts_is_the_dose(phone, student, part):
    one = entry(student, b=[block(part, (), **{"as": True})])
    phone.receipt(one)
    result = Result.objects.get()
    assert [step["n"] for step in result.steps] == [10, 8, 6]
    assert (result.balls, result.hard_swings, result.as_asked) == (24, 6, True)


def test_balls_and_hard_swings_follow_the_effort_that_was_felt(phone, student, part):
    steps = [{"n": 10, "c": None, "e": 95}, {"n": 8, "c": None, "e": None}]
    phone.receipt(entry(student, b=[block(part) | {"s": steps}]))
    result = Result.objects.get()
    assert (result.balls, result.hard_swings) == (18, 10)


def test_timed_steps_are_no_balls(phone, student):
    drill = factories.make_drill(student.studio, dose="8 min, 10@90")
    part = factories.make_part(factories.make_week(student), drill)
    phone.receipt(entry(student, b=[block(part, (8, 10))]))
    result = Result.objects.get()
    assert (result.balls, result.hard_swings) == (10, 10)


@pytest.mark.parametrize(
    ("dose", "area"),
    [
        ("10@50, 6@95", "swing"),
        ("8 min@95, 10@90", "swing"),
        ("2 rounds: 5, 3@70", "speed"),
        ("4 min", "speed"),
        ("4 min", "swing"),
        ("12@85", "speed"),
    ],
)
def test_done_as_asked_counts_as_many_hard_swings_as_were_asked(phone, student, dose, area):
    drill = factories.make_drill(student.studio, dose=dose, area=area)
    part = factories.make_part(factories.make_week(student), drill)
    phone.receipt(entry(student, b=[block(part, (), **{"as": True})]))
    assert Result.objects.get().hard_swings == hard_swings(parse(dose), area)


def test_hard_work_by_the_clock_counts_its_minutes_as_swings(phone, student):
    drill = factories.make_drill(student.studio, dose="8 min@95")
    part = factories.make_part(factories.make_week(student), drill)
    phone.receipt(entry(student, b=[block(part, (5,))]))
    result = Result.objects.get()
    assert (result.balls, result.hard_swings) == (0, 30)  # Six a minute, as where it is asked.


def test_a_speed_drill_done_instead_is_hard(phone, student):
    drill = factories.make_drill(student.studio, dose="5")
    instead = factories.make_drill(student.studio, "As fast as you can", dose="5", area="speed")
    week = factories.make_week(student)
    part = factories.make_part(week, drill, swaps=[str(instead.pk)])
    phone.receipt(entry(student, b=[block(part, (5,)) | {"d": str(instead.pk)}]))
    assert Result.objects.get().hard_swings == 5


def test_a_drill_without_a_ball_counts_none(phone, student):
    drill = factories.make_drill(student.studio, needs_ball=False)
    part = factories.make_part(factories.make_week(student), drill)
    phone.receipt(entry(student, b=[block(part)]))
    assert Result.objects.get().balls == 0


def test_only_a_swap_that_was_offered_counts_for_the_part(phone, student, part):
    offered = factories.make_drill(student.studio, "Mirror")
    not_offered = factories.make_drill(student.studio, "Other")
    Part.objects.filter(pk=part.pk).update(swaps=[str(offered.pk)])
    phone.receipt(
        entry(
            student,
            b=[block(part, d=str(offered.pk)), block(part, d=str(not_offered.pk))],
        )
    )
    swap, unasked = Result.objects.order_by("position")
    assert (swap.part, swap.drill, swap.filed) == (part, offered, "week")
    assert (unasked.part, unasked.drill, unasked.filed) == (None, not_offered, "extra")


def test_practice_that_nobody_asked_for_is_kept_with_its_kind(phone, student):
    free = block(None, (), w="range", balls=60, hard=5, min=45)
    phone.receipt(entry(student, b=[free], min=45))
    result = Result.objects.get()
    assert (result.what, result.balls, result.hard_swings) == ("range", 60, 5)
    assert result.filed == Result.Filed.UNPLANNED


@pytest.mark.parametrize("whose", ["nobody's", "another student's", "a draft's", "a drill's"])
def test_a_part_that_is_not_on_the_list_is_refused(phone, coach, student, whose):
    other = factories.make_student(coach, "Other")
    drill = factories.make_drill(student.studio)
    owner = other if whose == "another student's" else student
    week = factories.make_week(owner, sent=whose != "a draft's")
    part = factories.make_part(week, drill)
    if whose == "nobody's":
        part.pk = uuid4()
    one = entry(student, b=[block(part)])
    if whose == "a drill's":
        elsewhere = factories.make_drill(factories.make_studio("Elsewhere"))
        one = entry(student, b=[block(None, d=str(elsewhere.pk))])
    assert phone.receipt(one) == ["refused", "part"]


def test_a_part_that_was_taken_off_the_list_keeps_what_is_logged_to_it(phone, student, part):
    Part.objects.filter(pk=part.pk).update(removed_at=factories.NOON)
    assert phone.receipt(entry(student, part)) == ["stored", ""]
    assert Result.objects.get().part == part


# --- pain, cautions, days away -----------------------------------------------------------


def pain(level=5, part=None, **fields):
    told = {"lvl": level, "where": "wrist", "signs": [], "new": True}
    return told | {"p": str(part.pk) if part else None} | fields


def test_pain_stops_the_part_and_counts_as_no_failure(phone, student, part):
    phone.receipt(entry(student, part, pain=pain(part=part)))
    note = PainNote.objects.get()
    assert (note.level, note.where, note.drill) == (5, "wrist", part.drill)
    assert {stop.drill for stop in Stop.objects.all()} == {part.drill, None}
    assert tally(student).pain == 5
    assert phone.week().json()["weeks"][0]["parts"][0]["stopped"].startswith("Stopped")


def test_pain_alone_is_an_entry(phone, student):
    one = entry(student, b=[], min=None, felt=None, pain=pain(2))
    assert phone.receipt(one) == ["stored", ""]
    assert not Stop.objects.exists()


def test_pain_is_never_refused_for_its_part(phone, student):
    told = pain(8) | {"p": str(uuid4())}
    assert phone.receipt(entry(student, pain=told)) == ["stored", ""]
    assert Stop.objects.get().drill is None


def test_taking_the_entry_back_leaves_the_stop_to_the_coach(phone, student, part):
    one = entry(student, part, pain=pain(part=part))
    phone.receipts(one, back(one))
    assert Stop.objects.filter(cleared_at=None).count() == 2


def test_pain_told_again_by_a_change_is_one_note(phone, student, part):
    one = entry(student, part, pain=pain(part=part))
    again = change(one, note="with words")
    phone.receipts(one, again, change(one, pain=pain(7, part)))
    assert sorted(PainNote.objects.values_list("level", flat=True)) == [5, 7]
    assert Stop.objects.count() == 2


def test_a_caution_is_understood_once(phone, student, part):
    caution = Caution.objects.create(drill=part.drill, when="If it hurts,", stop="stop.")
    for _ in range(2):
        one = entry(student, k="read", caution=str(caution.pk))
        assert phone.receipt(one) == ["stored", ""]
    assert CautionRead.objects.get().user == student.user
    assert phone.week().json()["cautions"][str(caution.pk)]["read"] is True
    assert not Entry.objects.filter(counts=True).exists()


def test_a_caution_of_another_studio_is_none_of_theirs(phone, student):
    elsewhere = factories.make_drill(factories.make_studio("Elsewhere"))
    caution = Caution.objects.create(drill=elsewhere, when="If", stop="stop.")
    one = entry(student, k="read", caution=str(caution.pk))
    assert phone.receipt(one) == ["refused", "target"]
    assert not Entry.objects.exists()


def away(student, first="2031-02-27", last="2031-03-02", **fields):
    return entry(student, k="away", first=first, last=last, kind="away", **fields)


def test_days_away_shrink_what_is_asked_and_can_be_withdrawn(phone, student, part):
    before = tally_or_none(student)
    phone.receipt(away(student))
    assert Excusal.objects.get(withdrawn_at=None).told_by == student.user
    assert tally(student).open_days == 3
    phone.receipt(away(student, off=True))
    assert not Excusal.objects.filter(withdrawn_at=None).exists()
    assert tally(student).open_days == 7
    assert before is None


def tally_or_none(student):
    return WeekTally.objects.filter(student=student, opens=MONDAY).first()


@pytest.mark.parametrize(
    ("first", "last"), [("2020-01-01", "2031-02-27"), ("2031-02-27", "2099-01-01")]
)
def test_days_away_that_cannot_be_are_refused(phone, student, first, last):
    assert phone.receipt(away(student, first, last)) == ["refused", "day"]
    assert not Entry.objects.exists()


def test_a_past_entry_is_kept_as_of_then_without_tallies(student, part):
    one = entry(student, part)
    at = factories.NOON - timedelta(days=30)
    past = one | {"at": at.isoformat(), "day": str(at.date())}
    assert take_entry.receive_past(past, student, writer=student.user, at=at).verdict == "stored"
    assert Entry.objects.get().received_at == at
    assert not WeekTally.objects.exists()


# --- what is kept of it, and how much ------------------------------------------------------


def test_what_no_version_knows_is_not_kept_at_any_depth(phone, student, part):
    known = entry(student, part, pain={"lvl": 2, "where": "", "signs": [], "new": True, "p": None})
    stuffed = known | {"stuffing": "x" * 30_000, "target": "y" * 300}
    stuffed["b"] = [known["b"][0] | {"stuffing": "x", "s": [{"n": 10, "c": 8, "e": None, "z": 1}]}]
    stuffed["pain"] = known["pain"] | {"stuffing": ["x"]}
    assert phone.receipt(stuffed) == ["stored", ""]
    assert Entry.objects.get().document == known
    assert b"stuffing" not in phone.week().content
    assert phone.receipt(stuffed) == ["had", ""]


def test_a_day_takes_so_many_and_the_phone_keeps_the_rest(phone, student, part, monkeypatch):
    monkeypatch.setattr(take_entry, "MOST_A_DAY", 2)
    ones = [entry(student, part) for _ in range(3)]
    assert [phone.receipt(one) for one in ones] == [["stored", ""]] * 2 + [["hold", "quota"]]
    other = factories.make_student(student.lead_coach, "Other")
    assert Phone(other).receipt(entry(other)) == ["stored", ""]
    with time_machine.travel(factories.NOON + timedelta(days=1, minutes=1), tick=False):
        assert phone.receipt(ones[2]) == ["stored", ""]
