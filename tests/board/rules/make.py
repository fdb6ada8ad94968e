"""Facts of an ordinary student in an ordinary week, for tests to change."""

from dataclasses import replace
from datetime import date, timedelta

from coaching.board.rules.facts import Facts, PartFacts
from coaching.board.rules.no_word import NoWordSpell
from coaching.forecast.outlook import PastWeek, judge
from practice.numbers.now.values import Missed, SpeedNow, Verdict
from shared.kit.units import SPEED

MONDAY = date(2031, 2, 24)
WEDNESDAY = date(2031, 2, 26)


def past(text: str) -> list[PastWeek]:
    """'42+ 38-': late minutes, and whether the week was finished. Oldest first."""
    words = text.split()
    return [
        PastWeek(MONDAY - timedelta(weeks=len(words) - n), float(word[:-1]), word[-1] == "+")
        for n, word in enumerate(words)
    ]


def speed(verdict: str = "Level", **changes) -> SpeedNow:
    """Of somebody whose newest best day, a week ago, was 157.0 mph; m/s inside."""
    to_si = SPEED["mph"].to_si
    given = {
        "quantity": "ball_speed",
        "verdict": verdict,
        "is_recent": False,
        "before": to_si(152.4),
        "now": to_si(153.3),
        "needed": to_si(3.5),
        "days": 14,
        "newest": WEDNESDAY - timedelta(days=1),
        "since": WEDNESDAY - timedelta(days=7),
        "best": to_si(157.0),
        "best_on": WEDNESDAY - timedelta(days=7),
        "is_new_best": True,
        "spread": to_si(2.8),
        "usual_spread": to_si(1.9),
    }
    given |= changes
    return SpeedNow(**given | {"verdict": Verdict(given["verdict"])})


def gap(**changes) -> Missed:
    given = {"target": 65.0, "error": 4.15, "n": 10, "newest": MONDAY, "hole": (60.0, 71.0)}
    return Missed(**given | changes)


def quiet(days: int = 1, shortest: int | None = 1, longest: int | None = 3) -> NoWordSpell:
    return NoWordSpell(days, WEDNESDAY - timedelta(days=days), 5, shortest, longest)


def part(name: str = "Ladder", priority: int = 1, left: float = 2, **fields) -> PartFacts:
    given = {
        "credit": 0.5,
        "sessions_asked": 4,
        "sessions_done": 4 - left,
        "session_minutes": 15,
        "minutes_left": 15 * left,
        "minutes_done": 15 * (4 - left),
    }
    return PartFacts(name=name, priority=priority, **given | fields)


def facts(left: float = 36, weeks: str = "42+ 30+ 40+ 44+ 38- 46+ 28+ 40+", **changes) -> Facts:
    ordinary = Facts(
        today=WEDNESDAY,
        opens=MONDAY,
        silence=quiet(),
        outlook=judge(left, past(weeks)),
        asked=90,
        credited=90 - left,
        parts=(part(),),
    )
    return replace(ordinary, **changes)
