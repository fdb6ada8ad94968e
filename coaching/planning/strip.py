"""The seven days of a week that is being set, with what lies on each."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from coaching.season.clashes import GymLoad
from coaching.season.read import COMPETITION
from coaching.season.season_context import SeasonBeside
from shared.kit.weeks import week_days

DAY_WORDS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True)
class DayLine:
    """One day: the numbers of the parts fixed to it, and one or two short words for the rest."""

    word: str
    day: int
    parts: tuple[int, ...]
    gym: str
    marks: tuple[str, ...]


def day_lines(
    opens: date,
    fixed: Mapping[int, Sequence[int]],
    season: SeasonBeside,
    away: Collection[date],
    lesson: date | None,
) -> list[DayLine]:
    """`fixed`: the days (0 to 6 from the opening) of each part, by its number from 1 on."""
    found = []
    for n, day in enumerate(week_days(opens)):
        marks = ["away"] if day in away else []
        marks += ["lesson"] if day == lesson else []
        kinds = [event.kind for event in season.events if event.first <= day <= event.last]
        marks += sorted({"event" if kind == COMPETITION else "test" for kind in kinds})
        line = season.gym.get(day)
        gym = line.load.value if line is not None and line.load is not GymLoad.REST else ""
        parts = tuple(part for part, days in fixed.items() if n in days)
        found.append(DayLine(DAY_WORDS[day.weekday()], day.day, parts, gym, tuple(marks)))
    return found
