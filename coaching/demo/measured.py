"""What the devices of the demo measured: day figures of the speed tests, swing by swing."""

from datetime import date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from practice.drills.models import Drill
from practice.shots.models import Club, Shot, Sitting
from shared.kit.units import SPEED
from shared.kit.weeks import practice_day
from shared.people.access import Recordable

# Ball speed in mph, the median of each test day, oldest first.
SPEEDS: dict[str, tuple[float, ...]] = {
    "Ines Calderao": (
        146.2, 148.9, 145.1, 147.6, 150.8, 152.1, 153.4, 152.6, 154.7, 153.9, 155.4, 154.8, 155.6,
        155.0,
    ),
    "Piet Slagveld": (
        151.0, 155.8, 149.2, 153.6, 156.4, 150.1, 154.9, 148.8, 157.0, 151.5, 149.9, 155.6, 153.4,
        150.8,
    ),
    "Callum Ferreby": (
        162.4, 163.1, 162.2, 163.3, 161.5, 162.8, 163.9, 163.4, 163.9, 163.8, 160.1, 156.8, 155.6,
        155.2,
    ),
    "Freya Lindqvale": (101.2, 103.0, 100.4, 102.1, 103.5, 102.8, 104.6, 104.1),
    "Oskar Vennemo": (
        163.5, 162.2, 164.0, 163.1, 162.8, 163.9, 163.0, 164.2, 162.6, 163.7, 163.1, 163.8, 162.9,
        163.4,
    ),
}  # fmt: skip
DAYS_BETWEEN = 6
USUAL_SWING = 1.8  # Mph, the spread of the swings of one day.


def tested_speeds(student: Recordable, shelf: dict[str, Drill], now: datetime) -> int:
    """The speed tests of one student; returns how many days there are."""
    figures = SPEEDS.get(student.name, ())
    if not figures:
        return 0
    random = Random(f"speeds {student.name}")
    driver = Club.objects.create(student=student, name="Driver", loft=10.0)
    today = practice_day(now, student.time_zone)
    sittings = [
        _sitting(student, shelf["speed-test"], today - timedelta(days=1 + DAYS_BETWEEN * ago))
        for ago in range(len(figures) - 1, -1, -1)
    ]
    Sitting.objects.bulk_create(sittings)
    Shot.objects.bulk_create(
        Shot(
            sitting=sitting,
            student=student,
            number=number,
            club=driver,
            effort=100,
            ball_speed=SPEED["mph"].to_si(speed),
        )
        for sitting, figure in zip(sittings, figures, strict=True)
        for number, speed in enumerate(_swings(figure, random), start=1)
    )
    return len(figures)


def _sitting(student: Recordable, test: Drill, day: date) -> Sitting:
    return Sitting(
        student=student,
        drill=test,
        day=day,
        at=datetime.combine(day, time(17), ZoneInfo(student.time_zone)),
        device="bay camera",
        ball="bay ball",
        place="Bay 1",
        indoors=True,
        written_by=student.lead_coach,
    )


def _swings(figure: float, random: Random) -> list[float]:
    """Six swings with this median, in the order they came."""
    above = sorted(abs(random.gauss(0, USUAL_SWING)) for _ in range(3))
    below = sorted(abs(random.gauss(0, USUAL_SWING)) for _ in range(3))
    above[0] = below[0] = min(above[0], below[0])  # The middle two, evenly about the median.
    swings = [figure + each for each in above] + [figure - each for each in below]
    random.shuffle(swings)
    return swings
