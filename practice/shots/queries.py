"""What is known of a student's shots. Metres throughout."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Q, UUIDField

from practice.shots.models import Club, Shot, Sitting
from practice.shots.odd import OF_CLUBS, OF_SWINGS, UsualFigure, usual_of
from shared.people.models import Student
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

MOST_CLUBS = 40
MOST_WEDGE_BALLS = 2000
MOST_KNOWN, NEWEST = 4000, 60  # Balls looked at of a whole group, and of each.
MOST_OF_ONE = 1500
WEDGE_DAYS = timedelta(days=180)
ONE_TIME = timedelta(days=90)
LEAST_LOFT = 40.0  # Degrees; below it a club is no wedge (common practice, no source).
LEAST_BALLS = 5
SETTING = ("device", "ball", "place", "indoors")


def club_names(student: Student) -> list[str]:
    """The clubs in the bag, the most lofted first, those without a loft last."""
    return clubs_asked(student).answer


def clubs_asked(student: Student) -> Question[list[str]]:
    """The same, to be asked with others."""
    return Question(
        lambda clubs: [name for name, _ in sorted(clubs, key=lambda club: -(club[1] or 0))],
        Rows(_clubs, student=student.pk),
    )


_clubs = Prepared(
    lambda student: (
        Club.objects.filter(student=student, retired_on=None)
        .order_by("name")
        .values_list("name", "loft")[:MOST_CLUBS]
    ),
    student=UUIDField,
)


def setting_asked(student: Student) -> Question[dict[str, Any] | None]:
    """Device, ball, place and roof of the newest sitting, to be asked with others; None if there is
    none."""
    return Question(
        lambda rows: dict(zip(SETTING, rows[0], strict=True)) if rows else None,
        Rows(_settings, student=student.pk),
    )


_settings = Prepared(
    lambda student: (
        Sitting.objects.filter(student=student, counts=True)
        .order_by("-day", "-at")
        .values_list(*SETTING)[:1]
    ),
    student=UUIDField,
)


@dataclass(frozen=True, slots=True)
class KeptCell:
    """One cell of the card: mean carry and spread of its balls in metres.

    `miss` is the spread that an expected miss is reckoned with, drawn towards that of
    the whole card; None, as `spread`, where the balls are too few to choose by.
    """

    club: str
    length: str
    carry: float
    spread: float | None
    miss: float | None
    n: int
    newest: date


@dataclass(frozen=True, slots=True)
class WedgeSwings:
    """The wedge card as the phone looks it up: the swings of one series, shortest first.

    `need` is how many balls a swing must have before it is chosen.
    """

    series: str
    need: int
    swings: tuple[KeptCell, ...]

    def as_row(self) -> dict[str, Any]:
        rows = [asdict(swing) | {"newest": swing.newest.isoformat()} for swing in self.swings]
        return {"series": self.series, "need": self.need, "swings": rows}


class _Ball(NamedTuple):
    club: str
    length: str
    carry: float
    changed_on: date | None
    day: date
    # As SETTING names it.
    series: tuple[Any, ...]


def wedge_swings(student: Student, today: date) -> WedgeSwings:
    """Stock swings with their carries, from one query of the newest 2,000 balls of 180 days.

    House rules: of one device, ball, place and roof, the one with the most balls in the
    90 days before the newest; balls written from memory, of a club before its loft was
    changed, or more than 90 days older than the newest of their swing are left out.
    """
    balls = _wedge_balls(student, today)
    if not balls:
        return WedgeSwings("", LEAST_BALLS, ())
    since = balls[0].day - ONE_TIME
    recent = Counter(ball.series for ball in balls if ball.day > since)
    # Of equals the one that was used last, which comes first.
    series = max(recent, key=lambda each: recent[each])
    groups: dict[tuple[str, str], list[_Ball]] = defaultdict(list)
    for ball in balls:
        if ball.series == series and not (ball.changed_on and ball.day < ball.changed_on):
            groups[ball.club, ball.length].append(ball)
    cells = {key: _of_one_time(group) for key, group in groups.items()}
    swings = sorted(_swings(cells), key=lambda swing: (swing.carry, swing.club, swing.length))
    return WedgeSwings(_series_words(series), LEAST_BALLS, tuple(swings))


def _wedge_balls(student: Student, today: date) -> list[_Ball]:
    """Newest first."""
    wedges = Q(club__loft=None) | Q(club__loft__gte=LEAST_LOFT)
    shots = Shot.objects.filter(
        wedges,
        sitting__student=student,
        carry__isnull=False,
        club__isnull=False,
        club__retired_on=None,
        sitting__counts=True,
        sitting__from_memory=False,
        sitting__day__gt=today - WEDGE_DAYS,
    ).exclude(length="")
    fields = ("club__name", "length", "carry", "club__changed_on", "sitting__day")
    setting = [f"sitting__{name}" for name in SETTING]
    rows = shots.order_by("-sitting__day", "-sitting__at", "-number", "pk")
    found: Any = rows.values_list(*fields, *setting)[:MOST_WEDGE_BALLS]
    return [
        _Ball(club, length, carry, changed_on, day, tuple(series))
        for club, length, carry, changed_on, day, *series in found
    ]


def _of_one_time(balls: Sequence[_Ball]) -> list[_Ball]:
    since = balls[0].day - ONE_TIME
    return [ball for ball in balls if ball.day > since]


def _swings(cells: dict[tuple[str, str], list[_Ball]]) -> list[KeptCell]:
    # NumPy, which a worker needs for nothing else here.
    from practice.measures.answers import TooLittle
    from practice.measures.wedges import Cell, best_swings

    carries = {
        Cell(*key): [ball.carry for ball in balls]
        for key, balls in cells.items()
        if len(balls) >= LEAST_BALLS
    }
    # At any distance: here only each swing's own mean and spread are of interest.
    found = best_swings(carries, 1.0, most=len(carries))
    chosen = () if isinstance(found, TooLittle) else found
    misses = {(each.cell.club, each.cell.length): each.spread for each in chosen}
    return [_swing(key, balls, misses.get(key)) for key, balls in cells.items()]


def _swing(key: tuple[str, str], balls: Sequence[_Ball], miss: float | None) -> KeptCell:
    from statistics import fmean, stdev

    carries = [ball.carry for ball in balls]
    return KeptCell(
        club=key[0],
        length=key[1],
        carry=fmean(carries),
        spread=None if miss is None else stdev(carries),
        miss=miss,
        n=len(balls),
        newest=balls[0].day,
    )


def _series_words(series: tuple[Any, ...]) -> str:
    *named, indoors = series
    roof = {True: "indoors", False: "outdoors", None: ""}[indoors]
    return ", ".join(filter(None, (*named, roof))) or "device, ball and place not noted"


def known_figures(
    students: Iterable[Student], measure: str, **swing: Any
) -> dict[UUID, list[float]]:
    """The newest measured figures of each, by what they were hit with. One query."""
    shots = Shot.objects.filter(
        student__in=list(students), sitting__counts=True, **swing, **{f"{measure}__isnull": False}
    ).order_by("-sitting__day", "-pk")
    found: dict[UUID, list[float]] = defaultdict(list)
    for student, figure in shots.values_list("student", measure)[:MOST_KNOWN]:
        if len(found[student]) < NEWEST:
            found[student].append(figure)
    return found


def usual_figures(student: Student) -> list[UsualFigure]:
    """What this student usually has, by measure, club and swing, where six balls are known.

    From the newest 1,500 balls, and of those the newest 60 of each: what is typed is asked
    about beside them. One query.
    """
    shots = Shot.objects.filter(sitting__student=student, sitting__counts=True)
    rows = shots.order_by("-sitting__day", "-pk").values_list(
        "club__name", "length", *OF_SWINGS, *OF_CLUBS
    )
    known: dict[tuple[str, str, str], list[float]] = defaultdict(list)
    for club, length, *figures in rows[:MOST_OF_ONE]:
        for of, figure in zip((*OF_SWINGS, *OF_CLUBS), figures, strict=True):
            for key in _alike(of, club or "", length) if figure is not None else ():
                known[key].append(figure)
    middles = {key: usual_of(figures[:NEWEST]) for key, figures in known.items()}
    return [UsualFigure(*key, round(middle, 2)) for key, middle in middles.items() if middle]


def _alike(of: str, club: str, length: str) -> list[tuple[str, str, str]]:
    """What a ball is compared with: the same swing, or the same club and every club."""
    if of in OF_SWINGS:
        return [(of, club, length)] if club else []
    return [(of, name, "") for name in {club, ""}]
