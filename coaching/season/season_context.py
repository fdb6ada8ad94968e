"""What a season says beside a week that is being set: events, gym, clashes."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from coaching.season.clashes import GymLine, HardGolf, clashes_of
from coaching.season.line import WEEK
from coaching.season.models import Event
from coaching.season.near import Near
from coaching.season.read import COMPETITION, competition_in
from practice.care.hard_swings import Ceiling
from shared.kit.text import date_words
from shared.people.models import Student


@dataclass(frozen=True, slots=True)
class SeasonBeside:
    """Events and gym days of the week and of the three days before it."""

    opens: date
    events: list[Event]
    gym: Mapping[date, GymLine]


def beside(student: Student, near: Near) -> SeasonBeside:
    """With the event that only the student's page names."""
    found = [*near.events]
    day = student.next_event
    if day is not None and not any(event.first == day for event in found):
        name = student.next_event_name or "Event"
        found.append(Event(student=student, kind=COMPETITION, name=name, first=day, last=day))
    return SeasonBeside(near.opens, found, near.gym)


def facts_of(
    known: SeasonBeside,
    speed: Iterable[tuple[int, str]],
    *,
    planned_hard: int,
    most: Ceiling | None,
) -> list[str]:
    """Test days, hard swings beyond what the week may ask, and clashes with the gym.

    `speed`: (day of the week from its opening, name) of hard speed work fixed to a day.
    """
    closes = known.opens + WEEK - timedelta(days=1)
    tests = [
        event
        for event in known.events
        if event.kind == Event.Kind.TEST and known.opens <= event.first <= closes
    ]
    facts = [f"Test day: {test.name} on {date_words(test.first)}." for test in tests]
    event = competition_in(known.events, known.opens)
    if most is not None and planned_hard > most.swings:
        over = planned_hard - most.swings
        facts.append(
            f"{planned_hard} hard swings are planned: a suggestion to take out {over} of them."
        )
    golf = [HardGolf(known.opens + timedelta(days=day), name) for day, name in speed]
    golf += [HardGolf(test.first, test.name) for test in tests]
    golf += [HardGolf(event.first, event.name, is_speed=False)] if event else []
    clashes = [c.words for c in clashes_of(known.gym, golf) if c.day >= known.opens]
    return facts + [f"Clash: {words}" for words in clashes]
