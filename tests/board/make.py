"""A student with weeks behind them, as tallies: what the board reads."""

from datetime import UTC, date, datetime, timedelta

from coaching.board.addresses import addresses
from coaching.board.queries import one_student
from coaching.board.rows import BoardRow, row_of
from practice.compliance.models import WeekTally
from shared.people import access
from shared.people.models import Student, User
from tests.factories import MONDAY

DAYS = 7


def part_row(name: str = "Ladder", left: float = 60, asked: float = 60, **fields) -> dict:
    """One part of a tally as practice.compliance.tally writes it."""
    credit = 1 - left / asked
    row = {
        "part": "00000000-0000-0000-0000-000000000001",
        "drill": "00000000-0000-0000-0000-000000000002",
        "name": name,
        "area": "swing",
        "priority": 1,
        "dose": "10@50",
        "asked_sessions": 4,
        "by_total": False,
        "minutes": asked / 4,
        "asked_minutes": asked,
        "credit": credit,
        "steps": [],
        "sessions_done": 4 * credit,
        "done_minutes": asked - left,
        "days": [],
        "stopped": False,
        "removed": False,
        "left_minutes": left,
        "sessions_left": round(4 * (1 - credit)),
    }
    return row | fields


def past_week(student: Student, weeks_ago: int, late: float, finished: bool, **fields) -> WeekTally:
    """A past week: `late` minutes credited on its Thursday, written the same day."""
    opens = fields.pop("opens", MONDAY - timedelta(weeks=weeks_ago))
    days = [0.0] * DAYS
    days[3] = late
    given = {
        "has_plan": True,
        "asked_minutes": 60,
        "credited_minutes": late,
        "credit": min(1, late / 60),
        "finished": finished,
        "minutes": late,
        "credited_by_day": days,
        "minutes_by_day": days,
        "planned_by_day": [60 / DAYS] * DAYS,
        "entries": [[3, 3]],
        "last_written_at": at(opens + timedelta(days=3), 19, 40),
    }
    return WeekTally.objects.create(student=student, opens=opens, **given | fields)


def present_week(student: Student, left: float, **fields) -> WeekTally:
    """The week of Monday 24 February 2031, with work done on its Monday."""
    opens = fields.pop("opens", MONDAY)
    done = 60 - left
    days = [done] + [0.0] * (DAYS - 1)
    given = {
        "has_plan": True,
        "asked_minutes": 60,
        "credited_minutes": done,
        "credit": done / 60,
        "priority_credit": done / 60,
        "priority_sessions_done": 2,
        "priority_sessions_asked": 4,
        "days_done": 1,
        "days_asked": 4,
        "minutes": done,
        "balls": 24,
        "credited_by_day": days,
        "minutes_by_day": days,
        "planned_by_day": [60 / DAYS] * DAYS,
        "parts": [part_row(left=left)] if left else [part_row(left=0)],
        "entries": [[0, 0]],
        "last_written_at": at(opens, 19, 40),
    }
    return WeekTally.objects.create(student=student, opens=opens, **given | fields)


def history(student: Student, text: str) -> None:
    """'42+ 38-': late minutes and finished or not, oldest first."""
    words = text.split()
    for n, word in enumerate(words):
        past_week(student, len(words) - n, float(word[:-1]), word[-1] == "+")


def at(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC)


def opened(user: User, name: str, now: datetime) -> BoardRow:
    """What a student's line holds when this user opens it."""
    student = access.students_taught_by(user).get(name=name)
    judged, raw, viewer = one_student(user, student, now)
    return row_of(judged, raw, viewer, addresses())
