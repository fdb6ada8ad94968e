"""A tally to which logs were added is the one that all its logs make, whatever happens between."""

from datetime import timedelta
from uuid import UUID

import pytest
import time_machine

from coaching.board.kept import standings
from practice.compliance import tally
from practice.compliance.models import WeekTally
from practice.compliance.rebuild import differences
from practice.flows.take_entry import Sender, receive
from practice.log.models import Result
from practice.weeks.models import Part
from shared.people.models import Student
from tests.board.test_as_of import START, Life
from tests.compliance.logs import log
from tests.factories import WEDNESDAY_EVENING, make_drill
from tests.log.entries import Phone, entry

pytestmark = pytest.mark.django_db


class Lived(Life):
    """Mostly logs, alone and several at once; what else happens to a week comes between them."""

    def __init__(self, coach, seed: int, clock) -> None:
        super().__init__(coach, seed, clock)
        self.added = self.weighed = self.compared = 0
        studio = self.drills[0].studio
        more = (("Time", "10 min"), ("Both", "10 min, 2x5@60"), ("Rounds", "2 rounds: 5@40, 5@95"))
        self.drills += [make_drill(studio, name, dose) for name, dose in more]

    def act(self, student) -> None:
        # Once lines were looked at it is heard what is written.
        standings(Student.objects.filter(studio=self.drills[0].studio), self.now)
        if self.random.random() < 0.7:
            for _ in range(self.random.choice((1, 3, 5))):
                self.several(student)
        else:
            super().act(student)
        for each in self.students:
            self.compared += WeekTally.objects.filter(student=each).count()
            assert not list(differences(each))

    def look(self) -> None:
        """The board's past is not looked at here."""

    def several(self, student) -> None:
        student = Student.objects.select_related("studio").get(pk=student.pk)
        documents = [self.document(student) for _ in range(self.random.choice((1, 1, 1, 2, 5)))]
        told = receive(documents, sender=Sender(student, student.user), sent=self.now)
        self.weighed += len(told)

    def document(self, student) -> dict:
        choose = self.random.choice
        at = self.now - timedelta(minutes=choose((0, 9, 3000)))
        parts = list(Part.objects.filter(week__student=student).order_by("-week__opens", "pk")[:5])
        return {
            "id": str(UUID(int=self.random.getrandbits(128), version=4)),
            "v": 1, "k": "log", "who": str(student.pk), "at": at.isoformat(),
            "day": str((self.now - timedelta(hours=3, days=choose((0, 0, 0, 1, 3)))).date()),
            "min": choose((None, None, 20, 45)), "note": "so",
            "b": [self.block(choose([*parts, None])) for _ in range(choose((1, 1, 2, 4)))],
        }  # fmt: skip

    def block(self, part) -> dict:
        choose, counts = self.random.choice, self.random.randint(0, 3)
        steps = [
            {"n": choose((0, 3, 5, 10, 60)), "c": choose((None, 0)), "e": choose((None, 50, 95))}
            for _ in range(counts)
        ]
        return {
            "p": part and str(part.pk), "s": steps, "as": choose((True, False)),
            "w": choose(("", "range", "lesson")), "min": choose((None, None, 5, 12.5)),
            "d": choose((None, None, None, str(self.other.pk))),
            "balls": choose((None, None, 30)), "hard": choose((None, None, 12)),
            "stop": choose((False, False, True)), "last": choose((False, True)),
        }  # fmt: skip


def lived(coach, seed: int, steps: int, monkeypatch) -> Lived:
    with time_machine.travel(START, tick=False) as clock:
        life = Lived(coach, seed, clock)
        keep = tally.keep_added

        def count(*args) -> None:
            life.added += 1
            keep(*args)

        monkeypatch.setattr(tally, "keep_added", count)
        life.live(steps)
        return life


def test_what_was_added_is_what_all_logs_make(coach, monkeypatch):
    life = lived(coach, 3, 60, monkeypatch)
    assert 10 < life.added < life.weighed


def test_what_a_hand_in_the_shell_writes_is_heard(student, ladder, wednesday_evening):
    phone = Phone(student)
    standings(Student.objects.filter(pk=student.pk), WEDNESDAY_EVENING)
    hands = [
        lambda: Result.objects.filter(student=student).update(minutes=90),
        lambda: Part.objects.filter(pk=ladder.pk).update(sessions_asked=1),
        lambda: log(student, 1, ladder, 10, 8, 6),
    ]
    for hand in hands:
        phone.receipts(entry(student, ladder), entry(student))
        hand()
        phone.receipt(entry(student, ladder))
        assert not list(differences(student))


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1000, 1100))
def test_and_in_a_hundred_more_lives(coach, seed, monkeypatch):
    assert lived(coach, seed, 100, monkeypatch).added
