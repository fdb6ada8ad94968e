"""Students with weeks behind them, logged through the real door."""

from datetime import UTC, date, datetime, timedelta
from random import Random
from uuid import UUID

import pytest

from practice.flows.take_entry import Sender, receive_one
from practice.weeks.models import Week
from shared.people.models import Student
from tests.factories import MONDAY, make_drill, make_part, make_student, make_week, studio_of

WEDNESDAY_NIGHT = datetime(2031, 2, 26, 21, 5, tzinfo=UTC)


class Life:
    """One studio in which everything is logged as it would be."""

    def __init__(self, coach) -> None:
        self.coach = coach
        self.random = Random(1)
        self.drill = make_drill(studio_of(coach), "Gate", "20")

    def student(self, name: str, **fields) -> Student:
        return make_student(self.coach, name, **fields)

    def week(self, student: Student, opens: date = MONDAY, sessions: int = 4) -> Week:
        """Sent the evening before it opens: so many sessions of fifteen minutes."""
        sent = datetime(opens.year, opens.month, opens.day, 8, tzinfo=UTC) - timedelta(hours=14)
        week = make_week(student, opens, sent_at=sent, published_on=sent.date())
        make_part(week, self.drill, sessions=sessions, minutes=15, added_at=sent)
        return week

    def log(self, week: Week, day: int, at: datetime | None = None) -> None:
        """One whole session, written at seven that evening unless said otherwise."""
        done = week.opens + timedelta(days=day)
        at = at or datetime(done.year, done.month, done.day, 19, tzinfo=UTC)
        student = Student.objects.select_related("studio").get(pk=week.student_id)
        document = {
            "id": str(UUID(int=self.random.getrandbits(128), version=4)),
            "v": 1,
            "k": "log",
            "who": str(student.pk),
            "day": str(done),
            "at": at.isoformat(),
            "b": [{"p": str(week.parts.get().pk), "s": [{"n": 20}]}],
        }
        answer = receive_one(document, sender=Sender(student, student.user), now=at)
        assert answer.verdict == "stored", answer

    def past(self, student: Student, days: tuple[int, ...], weeks: int = 6) -> None:
        for ago in range(weeks, 0, -1):
            week = self.week(student, MONDAY - timedelta(weeks=ago))
            for day in days:
                self.log(week, day)


@pytest.fixture
def life(coach) -> Life:
    return Life(coach)
