"""Wedge balls of one student: the clubs, and the balls of one series."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet, UUIDField

from practice.measures.usual import DaySpread, UsualPrior
from practice.shots.models import Club, Shot, Sitting
from practice.shots.studio_days import usual_days
from shared.people.models import Student
from shared.site.prepared import Prepared

MOST_BALLS = 5000
MOST_CLUBS = 40
LEAST_LOFT = 40.0  # Degrees; below it a club is no wedge (common practice, no source).
RECENT = timedelta(days=90)


@dataclass(frozen=True, slots=True, order=True)
class BallSeries:
    """Balls that may be put together: same device, ball and place, same roof."""

    device: str
    ball: str
    place: str
    roof: str

    @property
    def words(self) -> str:
        said = [part for part in (self.device, self.ball, self.place, self.roof) if part]
        return ", ".join(said) or "nothing noted"


@dataclass(frozen=True, slots=True)
class Ball:
    """One ball with its carry in metres; `length` is empty for an in-between swing."""

    club: UUID
    length: str
    carry: float
    side: float | None
    target: float | None
    day: date
    is_seen: bool


@dataclass(frozen=True, slots=True)
class SeriesCount:
    series: BallSeries
    n: int
    newest: date


@dataclass(frozen=True, slots=True)
class WedgeFacts:
    """What the wedge card is made from. `balls` are those of `series`, newest first."""

    clubs: tuple[Club, ...]
    series: BallSeries | None
    others: tuple[SeriesCount, ...]
    balls: tuple[Ball, ...]
    from_memory: int
    is_cut: bool
    usual: DaySpread

    @property
    def names(self) -> dict[UUID, str]:
        return {club.pk: club.name for club in self.clubs}


_ROOF = {True: "indoors", False: "outdoors", None: ""}


def read_wedges(
    student: Student,
    chosen: int | None = None,
    *,
    among: QuerySet[Sitting] | None = None,
    at: datetime | None = None,
    usual: UsualPrior | None = None,
) -> WedgeFacts:
    """The clubs in the bag and the balls of one series of them. Three queries.

    `chosen` is the place of the series in `others`; without it, or with one that is
    not there, the series with the most balls in the 90 days up to the newest ball.
    Balls written from memory are counted and otherwise left out. `among` are the
    student's sittings that count, if not those that count now; what the studio's days tell
    is of `at`, if not of now, or given as `usual` by who has read it.
    """
    clubs = _clubs(student)
    rows = _rows(student, clubs, among)
    told = [(series, ball) for series, ball, from_memory in rows if not from_memory]
    counts = Counter(series for series, _ in told)
    newest = {series: ball.day for series, ball in reversed(told)}
    others = tuple(SeriesCount(s, counts[s], newest[s]) for s in _in_order(told))
    series = None
    if others:
        place = chosen if chosen is not None and 0 <= chosen < len(others) else 0
        series = others[place].series
    return WedgeFacts(
        clubs=clubs,
        series=series,
        others=others,
        balls=tuple(ball for found, ball in told if found == series),
        from_memory=len(rows) - len(told),
        is_cut=len(rows) == MOST_BALLS,
        usual=(usual or usual_days(student, at)).carries,
    )


def _clubs(student: Student) -> tuple[Club, ...]:
    wedges = Q(loft=None) | Q(loft__gte=LEAST_LOFT)
    found = Club.objects.filter(wedges, student=student, retired_on=None)
    clubs = found.order_by("-loft", "name")[:MOST_CLUBS]
    # Clubs without a loft last, on any database.
    return tuple(sorted(clubs, key=lambda club: (club.loft is None, -(club.loft or 0), club.name)))


def _shots(student: UUID, clubs: list[UUID], counting: Q) -> "QuerySet[Shot, Any]":
    """Those of these clubs with a carry, the newest first."""
    # From the newest sittings on, however many balls there are by now.
    shots = Shot.objects.filter(
        counting, sitting__student=student, club__in=clubs, carry__isnull=False
    )
    columns = (
        "club", "length", "carry", "side", "target", "sitting__day", "sitting__evidence",
        "sitting__from_memory", "sitting__device", "sitting__ball", "sitting__place",
        "sitting__indoors",
    )  # fmt: skip
    newest = shots.order_by("-sitting__day", "-sitting__at", "-number")
    return newest.values_list(*columns)[:MOST_BALLS]


_shots_now = Prepared(
    lambda student, clubs: _shots(student, [clubs], Q(sitting__counts=True)),
    student=UUIDField,
    clubs=UUIDField,
)


def _rows(
    student: Student, clubs: tuple[Club, ...], among: QuerySet[Sitting] | None
) -> list[tuple[BallSeries, Ball, bool]]:
    ids = [club.pk for club in clubs]
    if not ids:
        return []
    if among is None:
        values = _shots_now(student=student.pk, clubs=ids)
    else:
        values = list(_shots(student.pk, ids, Q(sitting__in=among)))
    one = cache(BallSeries)  # Thousands of balls are of few, which are compared by identity.
    return [
        (
            one(device, ball, place, _ROOF[indoors]),
            Ball(club, length, carry or 0.0, side, target, day, evidence == Sitting.Evidence.SEEN),
            from_memory,
        )
        for (
            club,
            length,
            carry,
            side,
            target,
            day,
            evidence,
            from_memory,
            device,
            ball,
            place,
            indoors,
        ) in values
    ]


def _in_order(told: list[tuple[BallSeries, Ball]]) -> list[BallSeries]:
    """Series by their balls of the last 90 days before the newest ball, most first."""
    if not told:
        return []
    since = told[0][1].day - RECENT
    recent = Counter(series for series, ball in told if ball.day > since)
    return sorted({series for series, _ in told}, key=lambda s: (-recent[s], s))
