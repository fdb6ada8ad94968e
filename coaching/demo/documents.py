"""The entries a phone would have sent for a week of the story."""

import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from coaching.demo.cast import CastMember, CastWork
from coaching.demo.story import Progress, StoryDay, WeekStory, steps_done
from practice.drills.models import Drill
from practice.weeks.models import Part, Week

Shelf = dict[str, Drill]


@dataclass(frozen=True, slots=True)
class Sent:
    """One document and the moment it reached the server."""

    document: dict[str, Any]
    received_at: datetime


def documents_of(
    person: CastMember, story: WeekStory, week: Week, shelf: Shelf, random: Random
) -> Iterator[Sent]:
    """One document per day with practice, written that evening or, for some, days later."""
    parts = list(week.parts.order_by("priority"))
    progress = [Progress() for _ in story.parts]
    for day in story.days:
        practised_on = week.opens + timedelta(days=day.offset)
        written_on = practised_on
        if person.style == "written later":
            written_on = week.opens + timedelta(days=6)
        moment = time(person.hour, random.randrange(60))
        at = datetime.combine(written_on, moment, ZoneInfo(person.zone))
        blocks = [
            _block(work, story, parts, shelf=shelf, progress=progress, random=random)
            for work in day.works
        ]
        if person.says and day is story.days[0]:
            _time(blocks[0], person.says, is_asked=week.opens.toordinal() // 7 % 2 == 0)
        document = {
            "id": str(uuid.UUID(int=random.getrandbits(128), version=4)),
            "v": 1,
            "k": "log",
            "who": str(week.student_id),
            "day": practised_on.isoformat(),
            "at": at.isoformat(),
            "b": blocks,
            "felt": random.choice((3, 4, 5, 5, 6)),
            "note": day.remark.note if day.remark else "",
            "pain": _pain(day, parts),
        }
        yield Sent(document, at + timedelta(minutes=random.choice((0, 1, 1, 2, 40))))


def _time(block: dict[str, Any], says: float, *, is_asked: bool) -> None:
    """The week's first visit went by the clock; each other week its minutes were said before."""
    block["t"] = round(block["min"])
    if is_asked:
        block["g"] = 5 * max(1, round(block["min"] * says / 5))


def _pain(day: StoryDay, parts: list[Part]) -> dict[str, Any] | None:
    if day.remark is None or not day.remark.pain:
        return None
    return {
        "lvl": day.remark.pain,
        "where": day.remark.where,
        "signs": [],
        "new": False,
        "p": str(parts[day.remark.part].pk),
    }


def _block(
    work: CastWork,
    story: WeekStory,
    parts: list[Part],
    *,
    shelf: Shelf,
    progress: list[Progress],
    random: Random,
) -> dict[str, Any]:
    if work.part < 0:
        return {
            "p": None,
            "w": work.what,
            "s": [],
            "min": work.minutes,
            "balls": work.balls,
            "hard": work.hard,
        }
    asked = story.parts[work.part]
    minutes = work.minutes
    if minutes is None:
        minutes = max(1.0, round(work.share * asked.minutes * 2) / 2)
    return {
        "p": str(parts[work.part].pk),
        "d": str(shelf[work.swap].pk) if work.swap else None,
        "s": steps_done(asked, work.share, progress[work.part], random),
        "min": minutes,
        "as": work.share == 1.0 and asked.clean == (1.0,),
    }
