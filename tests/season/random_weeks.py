"""Random students' weeks, the same for the same seed."""

from random import Random

from coaching.season.week import PlannedBlock, Task, Window, worths
from practice.weeks.places import DayPlace

PLACES = list(DayPlace)


def random_week(seed, *, most_parts=8, sessions=(1, 5)):
    random = Random(seed)
    asked = [
        random.choice((8, 10, 12, 15, 20, 25, 40)) for _ in range(random.randint(1, most_parts))
    ]
    worth = worths((n, minutes) for n, minutes in enumerate(asked, start=1))
    return Task(
        windows=tuple(_windows(random)),
        blocks=tuple(_block(random, n, asked[n], worth[n], sessions) for n in range(len(asked))),
        heavy_legs=frozenset(random.sample(range(-1, 7), random.randint(0, 3))),
        events=frozenset(random.sample(range(10), random.choice((0, 0, 0, 1)))),
        closed=frozenset(random.sample(range(7), random.choice((0, 0, 1, 3)))),
        speed_before=random.random() < 0.2,
        speed_after=random.random() < 0.2,
        rest_days=random.choice((0, 0, 2)),
    )


def _windows(random):
    for day in range(7):
        if random.random() < 0.8:
            for place in random.sample(PLACES, random.choice((1, 1, 1, 2))):
                yield Window(day, place, random.choice((0, 15, 20, 30, 45, 60, 90, 120)))


def _block(random, n, minutes, worth, sessions):
    count = random.randint(*sessions)
    fixed = random.sample(range(7), min(count, random.choice((0, 0, 0, 1, 2))))
    return PlannedBlock(
        key=f"part {n}",
        name=f"Part {n}",
        minutes=minutes,
        sessions=count,
        places=frozenset(random.sample(PLACES, random.randint(1, 5))),
        worth=worth[0],
        first_worth=worth[1],
        skill=f"skill {random.randint(0, 6)}",
        is_speed=random.random() < 0.3,
        is_hard=random.random() < 0.3,
        fixed=tuple(sorted(fixed)),
    )
