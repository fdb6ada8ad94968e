"""Balls and counts of the demo: wedge cards, and what the coach counted beside a student.

Only figures are written down. Holes, odd entries, misses and what breaks come out of
the rules.
"""

import uuid
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from practice.coach_counts.services import keep_count
from practice.drills.models import Drill
from practice.shots import services
from practice.shots.models import Club
from practice.shots.services import Setting, ShotInput, ShotSessionInput
from shared.kit.weeks import practice_day
from shared.people.access import Recordable
from shared.people.models import User

# About a mean that is also the middle ball.
OFFSETS = (-3.1, -2.2, -1.5, -0.9, -0.4, 0.0, 0.4, 0.9, 1.5, 2.2, 3.1)


@dataclass(frozen=True, slots=True)
class Aimed:
    """Balls at one distance, as they flew; without a length it was no stock swing."""

    club: str
    target: float
    carries: tuple[float, ...]
    length: str = ""


@dataclass(frozen=True, slots=True)
class Called:
    """One evening of called distances: club, target, and where each ball came down beside it
    (longer and to the right are plus)."""

    days_ago: int
    balls: tuple[tuple[str, float, tuple[tuple[float, float], ...]], ...]


@dataclass(frozen=True, slots=True)
class Wedges:
    """Mean carries by club and swing length in metres; `spread` widens the balls about them."""

    means: dict[str, dict[str, float]]
    setting: Setting
    days_ago: int
    spread: float = 1.0
    aimed: tuple[Aimed, ...] = ()
    called: tuple[Called, ...] = ()


@dataclass(frozen=True, slots=True)
class CountedInLesson:
    """What the coach counted in a lesson: effort, clean, reps, the student's own count."""

    days_ago: int
    drill: str
    steps: tuple[tuple[int, int, int, int | None], ...] = field(default=())


def _card(clubs: str, **lengths: str) -> dict[str, dict[str, float]]:
    """'58 54', hip='36 48': the means of each club."""
    names = [f"{loft}°" for loft in clubs.split()]
    card: dict[str, dict[str, float]] = {name: {} for name in names}
    for length, means in lengths.items():
        for name, mean in zip(names, means.split(), strict=True):
            card[name][length] = float(mean)
    return card


BAY = Setting(device="launch box", ball="range ball", place="Bay 2", indoors=True)

WEDGES = {
    "Oskar Vennemo": Wedges(
        means=_card("58 54 50 46", hip="36 48 60 72", chest="46 57 71 84", full="80 94 107 119"),
        setting=Setting(
            device="own launch box", ball="own ball", place="home range", indoors=False
        ),
        days_ago=8,
        spread=0.6,
        aimed=(
            Aimed("50°", 65, (70, 68.5, 71, 66.5, 69.5, 70.5, 67, 69, 71.5, 68)),
            Aimed("54°", 50, (47.5, 49, 50.5, 48, 52, 50, 51.5, 49.5, 51, 50)),
        ),
        called=(
            Called(
                25,
                (
                    ("58°", 40, ((1, -0.5), (-2.5, 1), (0.5, 0.5), (2, -1), (-1, 0))),
                    ("54°", 80, ((-6, 3), (4.5, -2), (-3, 5), (7, -4.5), (-2, 1))),
                ),
            ),
            Called(
                18,
                (
                    ("58°", 40, ((-1.5, 1), (2, 0), (0, -1.5), (-3, 0.5), (1.5, 1))),
                    ("54°", 80, ((5, -3), (-7.5, 2), (-4, -1), (3, 4), (-5, 6))),
                ),
            ),
            Called(
                11,
                (
                    ("58°", 40, ((0.5, 0.5), (-1, -1), (2.5, 0), (-2, 1.5), (1, 0))),
                    ("54°", 80, ((-3, 2.5), (6, -5), (-5.5, 1), (2, 3), (-4, -3))),
                ),
            ),
        ),
    ),
    "Ravindu Peshala": Wedges(
        means=_card("60 54 48 43", hip="26 34 43 52", chest="33 42 52 73"),
        setting=BAY,
        days_ago=13,
        spread=0.9,
    ),
    "Tamsin Orlebar": Wedges(
        means=_card("52", hip="49"),
        setting=BAY,
        days_ago=16,
        spread=1.4,
        aimed=(Aimed("56°", 40, (34, 41, 37, 45, 36, 39, 33, 44, 38, 40), "hip"),),
    ),
}
COUNTS = {
    "Haewon Tolvane": (
        CountedInLesson(5, "flat-lead-wrist", ((40, 11, 24, 16), (60, 9, 20, None))),
        CountedInLesson(12, "flat-lead-wrist", ((40, 9, 24, 15), (60, 7, 20, None))),
        # It went well in the first lessons, with a coach beside; since then it has not.
        CountedInLesson(19, "flat-lead-wrist", ((40, 8, 24, None), (60, 6, 20, None))),
        CountedInLesson(26, "flat-lead-wrist", ((40, 9, 24, None), (60, 6, 20, None))),
        CountedInLesson(33, "flat-lead-wrist", ((40, 8, 24, None), (60, 6, 20, None))),
        CountedInLesson(40, "flat-lead-wrist", ((40, 9, 24, None), (60, 7, 20, None))),
        CountedInLesson(47, "flat-lead-wrist", ((40, 23, 24, None), (60, 18, 20, None))),
        CountedInLesson(54, "flat-lead-wrist", ((40, 22, 24, None), (60, 18, 20, None))),
        CountedInLesson(61, "flat-lead-wrist", ((40, 23, 24, None), (60, 19, 20, None))),
    ),
}


def load_wedges(
    student: Recordable, coach: User, shelf: dict[str, Drill], now: datetime, random: Random
) -> None:
    """The wedge balls and the coach's counts of one student, where the story has any."""
    if student.name in WEDGES:
        _wedges(student, WEDGES[student.name], now, random)
    for counted in COUNTS.get(student.name, ()):
        day = practice_day(now, student.time_zone) - timedelta(days=counted.days_ago)
        for effort, clean, reps, own in counted.steps:
            keep_count(
                student=student,
                by=coach,
                count_id=_id(random),
                drill=shelf[counted.drill],
                effort=effort,
                reps=reps,
                clean_reps=clean,
                own_clean_reps=own,
                day=day,
            )


def _wedges(student: Recordable, wedges: Wedges, now: datetime, random: Random) -> None:
    names = {*wedges.means, *(aimed.club for aimed in wedges.aimed)}
    clubs = {
        name: services.add_club(student=student, name=name, loft=float(name.rstrip("°")))
        for name in sorted(names)
    }
    stock = [
        ball
        for name, lengths in wedges.means.items()
        for length, mean in lengths.items()
        for ball in _about(mean, clubs[name], length, wedges.spread, random)
    ]
    aimed = [
        ShotInput(club=clubs[each.club], length=each.length, target=each.target, carry=carry)
        for each in wedges.aimed
        for carry in each.carries
    ]
    for days_ago, balls in ((wedges.days_ago, stock), (wedges.days_ago - 3, aimed)):
        if balls:
            _keep(student, balls, wedges.setting, days_ago=days_ago, now=now, random=random)
    # Drawn apart, so that an evening more moves no other figure of the story.
    apart = Random(student.name)
    for evening in wedges.called:
        balls = [
            ShotInput(club=clubs[name], target=target, carry=target + longer, side=right)
            for name, target, ends in evening.balls
            for longer, right in ends
        ]
        _keep(student, balls, wedges.setting, days_ago=evening.days_ago, now=now, random=apart)


def _about(mean: float, club: Club, length: str, spread: float, random: Random) -> list[ShotInput]:
    """Eleven balls in no order, wider the farther they fly."""
    wide = spread * (0.5 + mean / 100)
    balls = [
        ShotInput(
            club=club,
            length=length,
            carry=mean + round(off * wide, 2),
            side=round(random.gauss(0, 0.03 * mean * spread), 1),
        )
        for off in OFFSETS
    ]
    random.shuffle(balls)
    return balls


def _keep(
    student: Recordable,
    balls: list[ShotInput],
    setting: Setting,
    *,
    days_ago: int,
    now: datetime,
    random: Random,
) -> None:
    """Written on the evening of the day, at most 200 balls at a time."""
    day = practice_day(now, student.time_zone) - timedelta(days=days_ago)
    at = datetime.combine(day, time(19, 30), ZoneInfo(student.time_zone))
    writer = student.user or student.lead_coach
    for first in range(0, len(balls), services.MOST_BALLS):
        told = ShotSessionInput(
            id=_id(random),
            day=day,
            balls=balls[first : first + services.MOST_BALLS],
            setting=setting,
            at=at,
        )
        services.add_balls(student=student, by=writer, told=told)


def _id(random: Random) -> uuid.UUID:
    return uuid.UUID(int=random.getrandbits(128), version=4)
