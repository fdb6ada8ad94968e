"""Hindsight: what the board showed at an instant is told again later, from nothing after it.

A seeded studio is lived through by the real commands; at every step the board is
written down as it is, and at the end each of those moments is asked for again.
"""

import json
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from random import Random
from uuid import UUID, uuid4

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.utils import timezone

from coaching.board.as_of import judged_of, rows_of, standing_at
from coaching.board.queries import board
from coaching.board.read import people, raw_of
from coaching.forecast.models import StudioThresholds
from coaching.forecast.services import change_thresholds
from coaching.messages import services as messages
from practice.care.models import Stop
from practice.flows import set_week
from practice.flows.stop import clear_stop
from practice.flows.swap import accept_swap, withdraw_swap
from practice.flows.take_entry import Sender, receive_one
from practice.log.models import Entry
from practice.numbers.now.reckoning import numbers_known_at, sweep
from practice.weeks import queries
from practice.weeks.models import Excusal, Week
from shared.kit.refused import Refused
from shared.people.models import Student
from shared.people.services import change_student, move_zone
from tests.board.make import history, opened, present_week
from tests.factories import make_drill, make_part, make_student, make_week
from tests.factories import studio_of as studio
from tests.numbers import speeds

pytestmark = pytest.mark.django_db
START = datetime(2031, 1, 13, 9, tzinfo=UTC)  # A Monday.
ZONES = ("UTC", "America/New_York", "Pacific/Auckland")


class Life:
    """One studio over some weeks, and what its board said on the way."""

    def __init__(self, coach, seed: int, clock) -> None:
        self.coach, self.clock, self.random = coach, clock, Random(seed)
        self.now = START
        self.students = [make_student(coach, name) for name in ("Ann", "Bo")]
        self.drills = [
            make_drill(studio(coach), n, d) for n, d in (("Ladder", "10@50, 8@90"), ("Gate", "20"))
        ]
        self.other = make_drill(studio(coach), "Mirror", "20")
        self.seen: list[tuple[datetime, list]] = []

    def live(self, steps: int = 28) -> None:
        for _ in range(steps):
            self.move(timedelta(hours=self.random.choice((2, 7, 15, 30))))
            self.weeks()
            self.act(self.random.choice(self.students))
            self.look()

    def move(self, by: timedelta) -> None:
        self.now += by
        self.clock.move_to(self.now)

    def look(self) -> None:
        """Write the board down; an hour later on the same practice day it says the same.

        A day without a log is nearly over once its evening comes: that alone is news.
        """
        rows = shown(self.coach, self.now)
        self.seen.append((self.now, rows))
        before = [(row["today"], row["is_evening"]) for row in rows]
        self.move(timedelta(hours=1))
        after = shown(self.coach, self.now)
        for was, today, row in zip(rows, before, after, strict=True):
            if (row["today"], row["is_evening"]) == today:
                assert row == was, "the same evidence at a later hour of the same day"

    def weeks(self) -> None:
        """Every student has this week, sent when it is first wanted; stops are cleared first."""
        for student in self.students:
            opens = queries.this_opening(student)
            if not Week.objects.filter(student=student, opens=opens).exists():
                week = make_week(student, opens, sent=False)
                for drill in self.drills:
                    make_part(week, drill, sessions=self.random.randint(1, 4), minutes=15)
                while Stop.objects.filter(student=student, cleared_at=None).exists():
                    self.clear(student)
                set_week.send_week(week=week, by=self.coach, in_spite=True)

    def act(self, student: Student) -> None:
        student.refresh_from_db()
        acts = [self.log] * 6 + [self.change, self.back, self.excuse, self.open_again, self.amend]
        acts += [self.drop, self.accept, self.unaccept, self.hurt, self.clear, self.zone]
        acts += [self.lesson, self.borders, self.remember, self.answer, self.answer]
        self.random.choice(acts)(student)

    def remember(self, student) -> None:
        """Somebody brings past practice, from memory."""
        day = self.now.date() - timedelta(days=self.random.randint(1, 100))
        student.remembered.create(day=day, minutes=self.random.choice((15, 40)), made_at=self.now)

    # --- what can happen -----------------------------------------------------------------

    def send(self, student, **fields) -> None:
        at = self.now - timedelta(minutes=5)
        document = {
            "id": str(UUID(int=self.random.getrandbits(128), version=4)),
            "v": 1,
            "k": "log",
            "who": str(student.pk),
            "day": str((at - timedelta(hours=3)).date()),
            "at": at.isoformat(),
        } | fields
        student = Student.objects.select_related("studio").get(pk=student.pk)
        receive_one(document, sender=Sender(student, student.user), now=self.now)

    def blocks(self, student) -> list[dict]:
        parts = list(
            queries.live_parts().filter(week__student=student).order_by("-week__opens")[:2]
        )
        part = self.random.choice(parts)
        n = self.random.choice((5, 10, 20))
        if self.random.random() < 0.3:
            return [
                {"p": str(part.pk), "d": str(self.other.pk), "s": [{"n": n, "c": None, "e": None}]}
            ]
        steps = [{"n": n, "c": n // 2, "e": None}, {"n": 8, "c": None, "e": None}]
        return [{"p": str(part.pk), "s": steps, "as": self.random.random() < 0.2}]

    def log(self, student) -> None:
        note = self.random.choice(("felt it", "is it so?"))
        self.send(student, b=self.blocks(student), note=note)

    def answer(self, student) -> None:
        """A question is answered, or ticked as read."""
        asked = Entry.objects.filter(student=student, counts=True, note__contains="?").first()
        if asked and self.random.random() < 0.5:
            messages.answer(entry=asked, by=self.coach, text="Yes.")
        elif asked:
            messages.tick(entry=asked, by=self.coach)

    def _one(self, student) -> Entry | None:
        rows = list(
            Entry.objects.filter(student=student, counts=True).order_by("received_at", "pk")
        )
        return self.random.choice(rows) if rows else None

    def change(self, student) -> None:
        if entry := self._one(student):
            self.send(
                student,
                k="change",
                target=str(entry.root),
                day=str(entry.day),
                b=self.blocks(student),
            )

    def back(self, student) -> None:
        if entry := self._one(student):
            self.send(student, k="back", target=str(entry.root))

    def excuse(self, student) -> None:
        first = self.now.date() + timedelta(days=self.random.randint(-4, 4))
        last = first + timedelta(days=self.random.randint(0, 5))
        set_week.excuse(student=student, first=first, last=last, told_by=self.coach)

    def open_again(self, student) -> None:
        excusal = Excusal.objects.filter(student=student, withdrawn_at=None).first()
        if excusal:
            set_week.withdraw_excusal(excusal=excusal)

    def amend(self, student) -> None:
        week = Week.objects.filter(student=student).order_by("-opens").first()
        specs = [replace(s, sessions=self.random.randint(1, 5)) for s in queries.specs_of(week)]
        self.random.shuffle(specs)
        # More of a stopped part is refused: then nothing changes.
        with suppress(Refused):
            set_week.amend_week(week=week, specs=specs, by=self.coach)

    def drop(self, student) -> None:
        week = Week.objects.filter(student=student).order_by("-opens").first()
        set_week.amend_week(week=week, specs=queries.specs_of(week)[:1], by=self.coach)

    def accept(self, student) -> None:
        if entry := self._one(student):
            part = (
                queries.live_parts().filter(week__student=student).order_by("-week__opens").first()
            )
            # Most sessions have none of this work: then there is nothing to accept.
            with suppress(Refused):
                accept_swap(
                    student=student,
                    root=entry.root,
                    work=str(self.other.pk),
                    part_id=part.pk,
                    by=self.coach,
                )

    def unaccept(self, student) -> None:
        swap = student.accepted_swaps.filter(withdrawn_at=None).first()
        if swap:
            withdraw_swap(student=student, root=swap.root, work=swap.work)

    def hurt(self, student) -> None:
        level = self.random.choice((2, 7))
        self.send(
            student,
            b=self.blocks(student),
            pain={"lvl": level, "where": "wrist", "signs": [], "new": True},
        )

    def clear(self, student) -> None:
        stop = (
            Stop.objects.filter(student=student, cleared_at=None)
            .select_related("student__studio")
            .first()
        )
        if stop:
            clear_stop(stop=stop, by=self.coach, words="Fine.", day=self.now.date())

    def zone(self, student) -> None:
        move_zone(user=student.user, time_zone=self.random.choice(ZONES))

    def lesson(self, student) -> None:
        student.next_lesson = self.now.date() + timedelta(days=self.random.randint(0, 6))
        student.next_event = self.now.date() + timedelta(days=self.random.randint(0, 6))
        change_student(student=student, changed=("next_lesson", "next_event"))

    def borders(self, student) -> None:
        values = {"quiet_days": self.random.randint(2, 6), "event_days": self.random.randint(1, 6)}
        change_thresholds(studio=studio(self.coach), by=self.coach, changed=values)


def shown(coach, now) -> list[dict]:
    """What the board's own reading says, as rows."""
    persons = people(
        Student.objects.filter(studio=studio(coach), left_on=None).order_by("name"), now
    )
    return rows_of(judged_of(persons, raw_of(persons, now)))


@pytest.mark.parametrize("seed", range(5))
def test_every_moment_can_be_told_again_as_it_was(coach, seed):
    with time_machine.travel(START, tick=False) as clock:
        life = Life(coach, seed, clock)
        life.live()
        assert len({json.dumps(rows) for _, rows in life.seen}) > 10
        for moment, rows in life.seen:
            assert standing_at(moment) == rows


def test_later_logs_in_any_order_change_nothing(coach):
    """Past rows are the same whatever comes after, in whichever order it arrives."""
    with time_machine.travel(START, tick=False) as clock:
        life = Life(coach, 11, clock)
        life.live()
        moment = life.seen[len(life.seen) // 2][0]
        before = standing_at(moment)
        later = Entry.objects.filter(received_at__gt=moment, kind="log")
        assert later.exists()
        times = list(later.values_list("received_at", flat=True))
        Random(3).shuffle(times)
        for entry, at in zip(later, times, strict=True):
            Entry.objects.filter(pk=entry.pk).update(received_at=at)
        for student in life.students:
            student.refresh_from_db()
            for _ in range(3):
                life.log(student)
        assert standing_at(moment) == before


def test_the_board_of_now_says_what_the_command_says(coach):
    with time_machine.travel(START, tick=False) as clock:
        life = Life(coach, 5, clock)
        life.live()
        out = StringIO()
        call_command("standing", as_of=life.now.isoformat(), format="json", stdout=out)
        told = json.loads(out.getvalue())["students"]
        lines = [
            (group.title, row) for group in board(coach, life.now).groups for row in group.rows
        ]
        rows = [(title, opened(coach, line.name, life.now)) for title, line in lines]
        assert [line.state for _, line in lines] == [row.state for _, row in rows]
        page = [
            (title, row.name, row.state, row.reason, row.since, row.action, row.back)
            for title, row in rows
        ]
    keys = ("group", "name", "state", "reason", "since", "action", "back")
    assert [tuple(row[key] for key in keys) for row in told] == page


def test_a_student_of_another_studio_and_who_joined_later_are_not_there(coach):
    with time_machine.travel(START, tick=False):
        student = make_student(coach, "Ann")
        Student.objects.filter(pk=student.pk).update(joined_on=START.date() + timedelta(days=3))
        assert standing_at(START) == []
        rows = standing_at(START + timedelta(days=3), studio(coach))
    assert [row["name"] for row in rows] == ["Ann"]


def test_without_leave_to_read_pain_nothing_of_it_is_said(coach):
    with time_machine.travel(START, tick=False) as clock:
        life = Life(coach, 2, clock)
        life.weeks()
        life.move(timedelta(hours=5))
        life.hurt(life.students[0])
        Stop.objects.get_or_create(student=life.students[0], since=START.date())
        assert "wrist" not in json.dumps(standing_at(life.now, reads_pain=False))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"as_of": "yesterday"}, "Give the time as"),
        ({"as_of": "2031-02-26T20:00:00"}, "Give the UTC offset too"),
        ({"studio": uuid4()}, "no studio with this id"),
    ],
)
def test_what_cannot_be_read_is_said(db, options, words):
    with pytest.raises(CommandError, match=words):
        call_command("standing", **options)


def test_in_plain_text_a_line_per_student(coach):
    make_student(coach, "Ann")
    out = StringIO()
    call_command("standing", as_of=START.isoformat(), stdout=out)
    assert out.getvalue().startswith("1. Ann: No week sent.")


def test_a_border_moved_later_has_no_part_in_what_was_said(coach):
    with time_machine.travel(START, tick=False) as clock:
        make_student(coach, "Ann", next_event=START.date() + timedelta(days=5))
        before = standing_at(START)
        clock.move_to(START + timedelta(days=1))
        change_thresholds(studio=studio(coach), by=coach, changed={"event_days": 7})
        assert standing_at(START) == before
        assert StudioThresholds.objects.get().event_days == 7


def test_what_tests_say_is_told_again_as_it_was(coach):
    """Speed, by the board while it is lived through and by the command afterwards."""
    with time_machine.travel(START, tick=False) as clock:
        student = make_student(coach, "Piet")
        drill = speeds.speed_drill(student)
        seen = []
        for figure in speeds.PIET:
            clock.shift(timedelta(days=6))
            speeds.one_day(student, drill, figure)
            sweep()
            now = timezone.now()
            seen.append((now, shown(coach, now)))
            clock.shift(timedelta(hours=2))
        assert numbers_known_at(student.pk, student.studio_id, now, now.date()).speed.verdict == ""
        for moment, rows in seen:
            assert standing_at(moment) == rows


def test_a_row_has_its_figures_beside_its_words(coach):
    """What was planned by Wednesday is two of seven days of 60 minutes."""
    now, opens = datetime(2031, 2, 26, 20, tzinfo=UTC), date(2031, 2, 24)
    student = make_student(coach, "Gerald")
    history(student, "10- 12- 5- 9- 10- 3-")
    present_week(student, left=45)
    make_student(coach, "Bare")
    row, bare = shown(coach, now)
    assert (row["place"], bare["place"]) == (1, 2)
    assert {name: row[name] for name in FIGURES} == {
        "name": "Gerald",
        "student": str(student.pk),
        "studio": str(student.studio_id),
        "today": "2031-02-26",
        "is_evening": True,
        "week_opens": str(opens),
        "group": "Act",
        "state": "Unlikely",
        "marks": ["Plan too big"],
        "minutes_assigned": 60,
        "minutes_logged": 15,
        "minutes_credited": 15,
        "minutes_expected_by_now": 17.142857,
        "minutes_left": 45,
        "credit": 0.25,
    }
    said = row["forecast"]
    assert (said["of_credit"], said["stands_on_weeks"], said["decides"]) == (0.8, 6, "count")
    # None of six came through: (0 + 1) / (6 + 2).
    assert (said["share"], said["came_through"], said["weeks_counted"]) == (0.125, 0, 6)
    assert said["word"] == "Unlikely"
    assert 0 < said["chance"] < 0.5
    assert 0 < said["own_share"] < 1
    assert [said[name] for name in ("chance", "own_share")] == [
        round(said["chance"], 6), round(said["own_share"], 4),
    ]  # fmt: skip
    nothing = ("minutes_expected_by_now", "credit")
    assert [bare[name] for name in nothing] == [None, None]
    assert (bare["minutes_logged"], bare["minutes_assigned"], bare["state"]) == (
        0, 0, "No week sent",
    )  # fmt: skip
    assert [bare["forecast"][name] for name in ("chance", "stands_on_weeks", "own_share")] == [
        None, None, None,
    ]  # fmt: skip


FIGURES = (
    "name", "student", "studio", "today", "is_evening", "week_opens", "group", "state", "marks",
    "minutes_assigned", "minutes_logged", "minutes_credited", "minutes_expected_by_now",
    "minutes_left", "credit",
)  # fmt: skip
