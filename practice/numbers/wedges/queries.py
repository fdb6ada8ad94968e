"""Wedge balls of one student: the clubs, and the balls of one series."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet, UUIDField

from practice.measures.usual import UsualPrior
from practice.numbers.wedges.facts import Ball, BallSeries, SeriesCount, WedgeFacts
from practice.shots.models import Club, Shot, Sitting
from practice.shots.studio_days import usual_days
from shared.people.models import Student
from shared.site.prepared import Prepared

MOST_BALLS = 5000
MOST_CLUBS = 40
LEAST_LOFT = 40.0  # Degrees; below it a club is no wedge (common practice, no source).
RECENT = timedelta(days=90)


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
    # A series by what it is told apart by: thousands of balls are of a few.
    alike: dict[tuple[Any, ...], list[Ball]] = defaultdict(list)
    for club, length, carry, side, target, day, evidence, from_memory, *of in rows:
        if not from_memory:
            is_seen = evidence == Sitting.Evidence.SEEN
            alike[tuple(of)].append(Ball(club, length, carry, side, target, day, is_seen))
    told = {
        BallSeries(device, kind, place, _ROOF[indoors]): balls
        for (device, kind, place, indoors), balls in alike.items()
    }
    others = tuple(SeriesCount(it, len(told[it]), told[it][0].day) for it in _in_order(told))
    at_place = chosen if chosen is not None and 0 <= chosen < len(others) else 0
    series = others[at_place].series if others else None
    return WedgeFacts(
        clubs=clubs,
        series=series,
        others=others,
        balls=tuple(told[series]) if series else (),
        from_memory=len(rows) - sum(map(len, told.values())),
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
) -> list[tuple[Any, ...]]:
    ids = [club.pk for club in clubs]
    if not ids:
        return []
    if among is None:
        return _shots_now(student=student.pk, clubs=ids)
    return list(_shots(student.pk, ids, Q(sitting__in=among)))


def _in_order(told: Mapping[BallSeries, Sequence[Ball]]) -> list[BallSeries]:
    """Series by their balls of the last 90 days before the newest ball, most first."""
    if not told:
        return []
    since = max(balls[0].day for balls in told.values()) - RECENT
    recent = {series: sum(ball.day > since for ball in balls) for series, balls in told.items()}
    return sorted(told, key=lambda series: (-recent[series], series))
