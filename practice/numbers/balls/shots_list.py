"""A student's shots, page by page, and the clubs."""

from dataclasses import dataclass, fields
from datetime import date
from uuid import UUID

from practice.shots.models import Club, Shot
from shared.people.models import Student

PAGE = 200
MOST_PAGES = 500
MOST_CLUBS = 200


@dataclass(frozen=True, slots=True)
class ShotRow:
    """One shot with what its sitting says. SI; null is what was not measured."""

    sitting: UUID
    day: date
    number: int
    device: str
    ball: str
    place: str
    indoors: bool | None
    evidence: str
    from_memory: bool
    club: UUID | None
    length: str
    target: float | None
    effort: int | None
    carry: float | None
    total: float | None
    side: float | None
    ball_speed: float | None
    club_speed: float | None
    launch: float | None
    spin: float | None
    is_clean: bool | None


@dataclass(frozen=True, slots=True)
class ShotPage:
    """Newest first. `next` is the page that follows, if any."""

    page: int
    next: int | None
    shots: tuple[ShotRow, ...]


_OF_THE_SITTING = {
    "day": "sitting__day",
    "device": "sitting__device",
    "ball": "sitting__ball",
    "place": "sitting__place",
    "indoors": "sitting__indoors",
    "evidence": "sitting__evidence",
    "from_memory": "sitting__from_memory",
}


def shot_page(student: Student, page: int = 0) -> ShotPage:
    """Shots that count, 200 a page, at most 500 pages. One query."""
    page = min(max(page, 0), MOST_PAGES)
    names = [_OF_THE_SITTING.get(name, name) for name in (f.name for f in fields(ShotRow))]
    shots = Shot.objects.filter(sitting__student=student, sitting__counts=True)
    rows = list(
        shots.order_by("-sitting__day", "-sitting__at", "sitting", "number").values_list(*names)[
            page * PAGE : (page + 1) * PAGE + 1
        ]
    )
    follows = len(rows) > PAGE and page < MOST_PAGES
    return ShotPage(
        page, page + 1 if follows else None, tuple(ShotRow(*row) for row in rows[:PAGE])
    )


@dataclass(frozen=True, slots=True)
class ShotsClubRow:
    """A club; `retired_on` is the day from which it was out of the bag."""

    id: UUID
    name: str
    loft: float | None
    changed_on: date | None
    retired_on: date | None


@dataclass(frozen=True, slots=True)
class Bag:
    clubs: tuple[ShotsClubRow, ...]


def bag(student: Student) -> Bag:
    """All clubs of a student, those in the bag first. One query."""
    rows = Club.objects.filter(student=student).values_list(
        *(each.name for each in fields(ShotsClubRow))
    )
    clubs = [ShotsClubRow(*row) for row in rows.order_by("name")[:MOST_CLUBS]]
    return Bag(tuple(sorted(clubs, key=lambda club: club.retired_on is not None)))
