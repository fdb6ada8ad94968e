"""Speed tests of one student: the swings of each day, by what may be put together."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from statistics import median
from typing import Literal, TypeVar
from uuid import UUID

from django.db.models import CharField, Q, QuerySet
from django.db.models.functions import Cast

from practice.drills.models import Area
from practice.measures.usual import UsualPrior
from practice.shots.models import Club, Shot, Sitting, SpeedBlock
from practice.shots.studio_days import usual_days
from shared.people.models import Student

BACK = timedelta(days=731)
MOST_SHOTS = 20_000
MOST_SITTINGS = 1000
COUNTED_SWINGS = 6  # Of a day's test (common practice, no source); fewer are shown only.
Value = TypeVar("Value")
Quantity = Literal["ball_speed", "club_speed"]
QUANTITIES: tuple[Quantity, ...] = ("ball_speed", "club_speed")
_ROOF = {True: "indoors", False: "outdoors", None: ""}


@dataclass(frozen=True, slots=True, order=True)
class JoinedLine:
    """What may be joined: one quantity, device, ball, place, roof and club."""

    quantity: Quantity
    device: str
    ball: str
    place: str
    roof: str
    club: str


@dataclass(frozen=True, slots=True)
class SpeedDay:
    """The counted swings of one day in m/s, mishits included, and their median, the figure."""

    day: date
    swings: tuple[float, ...]
    from_memory: bool = False
    is_seen: bool = False
    figure: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "figure", median(self.swings))

    @property
    def feeds_verdicts(self) -> bool:
        return len(self.swings) >= COUNTED_SWINGS and not self.from_memory


@dataclass(frozen=True, slots=True)
class SpeedFacts:
    """What the speed book is made from: days of each line in time order, lines newest first."""

    lines: tuple[tuple[JoinedLine, tuple[SpeedDay, ...]], ...]
    starts_on: date | None
    aims: dict[Quantity, float]
    elsewhere: int
    is_cut: bool
    usual: UsualPrior


@dataclass(frozen=True, slots=True)
class _Kept:
    """A sitting as far as it is needed."""

    day: date
    where: tuple[str, str, str, str]
    from_memory: bool
    is_seen: bool


def read_speeds(
    student: Student,
    today: date,
    *,
    among: QuerySet[Sitting] | None = None,
    at: datetime | None = None,
    usual: UsualPrior | None = None,
) -> SpeedFacts:
    """The speed tests of the last two years. Six queries, however many swings there are.

    `among` are the student's sittings that count, if not those that count now; a block
    set later than `at` is left out, and what the studio's days tell is of then. Who has read
    that already gives it as `usual`: one query less.

    1 sittings, 2 clubs, 3 the shots, 4 the block, 5 how many swings have a speed, in tests
    or not, 6 how much days here differ. A sitting counts here if its drill is a test of speed.
    """
    since = today - BACK
    if among is None:
        among = Sitting.objects.filter(student=student, counts=True)
    among = among.filter(day__gte=since, day__lte=today)
    sittings = _sittings(among)
    clubs = dict(Club.objects.filter(student=student).values_list("pk", "name"))
    shots, count = _shots(sittings, clubs)
    blocks = SpeedBlock.objects.filter(student=student)
    block = (blocks.filter(set_at__lte=at) if at else blocks).first()
    tested = sum(
        ball is not None or club is not None
        for shot in shots
        for ball, club in zip(shot.ball_speed, shot.club_speed, strict=True)
    )
    return SpeedFacts(
        lines=_lines(shots),
        starts_on=block.starts_on if block else None,
        aims=_aims(block),
        elsewhere=_with_speed(among) - tested,
        is_cut=count == MOST_SHOTS or len(sittings) == MOST_SITTINGS,
        usual=usual or usual_days(student, at),
    )


def _is_test() -> Q:
    return Q(drill__is_test=True, drill__current__area=Area.SPEED)


def _sittings(among: QuerySet[Sitting]) -> dict[UUID, _Kept]:
    rows = among.filter(_is_test()).order_by("-day", "-at", "pk")
    fields = ("pk", "day", "device", "ball", "place", "indoors", "from_memory", "evidence")
    return {
        pk: _Kept(
            day,
            (device, ball, place, _ROOF[indoors]),
            from_memory,
            evidence == Sitting.Evidence.SEEN,
        )
        for pk, day, device, ball, place, indoors, from_memory, evidence in rows.values_list(
            *fields
        )[:MOST_SITTINGS]
    }


@dataclass(frozen=True, slots=True)
class _Speeds:
    """The swings of one sitting with one club, in their order; None where not measured."""

    kept: _Kept
    club: str
    ball_speed: list[float | None]
    club_speed: list[float | None]


def _shots(sittings: dict[UUID, _Kept], clubs: dict[UUID, str]) -> tuple[list[_Speeds], int]:
    """The swings, put together by sitting and club, and how many there are.

    Ids are read as text: making 5,000 of them into UUIDs takes longer than the rest. SQLite
    writes them without dashes, PostgreSQL with.
    """
    rows = Shot.objects.filter(sitting__in=list(sittings)).order_by("sitting", "number")
    values = rows.values_list(
        Cast("sitting_id", CharField()), Cast("club_id", CharField()), "ball_speed", "club_speed"
    )
    kept = _by_text(sittings)
    names = _by_text(clubs)
    found: dict[tuple[str, str | None], _Speeds] = {}
    count = 0
    for sitting, club, ball_speed, club_speed in values[:MOST_SHOTS]:
        count += 1
        speeds = found.get((sitting, club))
        if speeds is None:
            speeds = _Speeds(kept[sitting], names[club] if club else "", [], [])
            found[sitting, club] = speeds
        speeds.ball_speed.append(ball_speed)
        speeds.club_speed.append(club_speed)
    return list(found.values()), count


def _by_text(by_id: dict[UUID, Value]) -> dict[str, Value]:
    return {text: each for pk, each in by_id.items() for text in (pk.hex, str(pk))}


def _lines(shots: list[_Speeds]) -> tuple[tuple[JoinedLine, tuple[SpeedDay, ...]], ...]:
    swings: dict[JoinedLine, dict[tuple[date, bool], list[float]]] = defaultdict(
        lambda: defaultdict(list)
    )
    seen: set[tuple[JoinedLine, date]] = set()
    for shot in shots:
        for quantity, speeds in zip(QUANTITIES, (shot.ball_speed, shot.club_speed), strict=True):
            measured = [speed for speed in speeds if speed is not None]
            if not measured:
                continue
            line = JoinedLine(quantity, *shot.kept.where, shot.club)
            swings[line][shot.kept.day, shot.kept.from_memory] += measured
            if shot.kept.is_seen:
                seen.add((line, shot.kept.day))
    days = {
        line: tuple(
            SpeedDay(day, tuple(found), from_memory, (line, day) in seen)
            for (day, from_memory), found in sorted(by_day.items())
        )
        for line, by_day in swings.items()
    }
    newest_first = sorted(days.items(), key=lambda each: (-each[1][-1].day.toordinal(), each[0]))
    return tuple(newest_first)


def _aims(block: SpeedBlock | None) -> dict[Quantity, float]:
    if block is None:
        return {}
    found: dict[Quantity, float | None] = {
        "ball_speed": block.ball_speed,
        "club_speed": block.club_speed,
    }
    return {quantity: aim for quantity, aim in found.items() if aim is not None}


def _with_speed(among: QuerySet[Sitting]) -> int:
    """Every counting swing with a speed, tests and others."""
    rows = Shot.objects.filter(
        Q(ball_speed__isnull=False) | Q(club_speed__isnull=False),
        sitting__in=among,
    )
    return rows.count()
