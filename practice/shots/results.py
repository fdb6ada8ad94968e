"""Results of tests and measured drills beside earlier ones, as rows of text.

A test's day says how many balls, their median and their spread, and shows each ball:
a median alone hides how it came about.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median, stdev

from django.db.models import Prefetch

from practice.drills.models import Measures
from practice.shots.models import Shot, Sitting
from shared.kit import units
from shared.people.models import Student, User

MOST_SITTINGS = 60
EACH = 6
LEAST_FOR_SPREAD = 5


@dataclass(frozen=True, slots=True)
class MeasuredDay:
    """One sitting: with what it was measured, its figures, and every ball as it was hit."""

    day: str
    with_what: str
    figures: list[str]
    balls: str


@dataclass(frozen=True, slots=True)
class MeasuredTest:
    """One test, its newest days first."""

    name: str
    days: list[MeasuredDay]


def results_of_tests(student: Student, reader: User) -> list[MeasuredTest]:
    """The last six sittings of each measured drill, in the reader's units. Two queries."""
    shots = Shot.objects.select_related("club").order_by("number")
    sittings = (
        Sitting.objects.filter(student=student, counts=True, drill__current__isnull=False)
        .exclude(drill__current__measures="")
        .select_related("drill__current")
        .prefetch_related(Prefetch("shots", shots))
        .order_by("-day", "-at", "pk")[:MOST_SITTINGS]
    )
    by_drill: dict[object, list[Sitting]] = defaultdict(list)
    for sitting in sittings:
        by_drill[sitting.drill_id].append(sitting)
    return [_results(found[:EACH], reader) for found in by_drill.values()]


def _results(sittings: Sequence[Sitting], reader: User) -> MeasuredTest:
    drill = sittings[0].drill
    wording = drill.current if drill else None
    assert wording is not None  # noqa: S101 (only such were asked for)
    measure = Measures(wording.measures)
    return MeasuredTest(
        name=wording.name,
        days=[_day(sitting, measure, reader) for sitting in sittings],
    )


SPEEDS = {Measures.BALL_SPEED: Measures.CLUB_SPEED, Measures.CLUB_SPEED: Measures.BALL_SPEED}


def _day(sitting: Sitting, measure: Measures, reader: User) -> MeasuredDay:
    shots = list(sitting.shots.all())
    of, other = "", SPEEDS.get(measure)
    if other and all(getattr(shot, measure) is None for shot in shots):
        # A device may tell the one speed and not the one that was asked for.
        of, measure = f"{other.label} ", other
    groups: dict[str, list[float]] = defaultdict(list)
    for shot in shots:
        value = getattr(shot, measure)
        if value is None:
            continue
        if measure == Measures.CARRY and shot.target is not None:
            groups["off the target"].append(abs(value - shot.target))
        else:
            groups[_swing(shot)].append(value)
    return MeasuredDay(
        day=f"{sitting.day:%a} {sitting.day.day} {sitting.day:%b %Y}",
        with_what=", ".join(_setting(sitting)),
        figures=[
            _figure((of + name).strip(), values, measure, reader) for name, values in groups.items()
        ],
        balls=", ".join(_ball(shot, measure, reader) for shot in shots),
    )


def _swing(shot: Shot) -> str:
    return " ".join(filter(None, (str(shot.club or ""), shot.get_length_display())))


def _setting(sitting: Sitting) -> Iterable[str]:
    yield from filter(None, (sitting.device, sitting.ball, sitting.place))
    if sitting.indoors is not None:
        yield "indoors" if sitting.indoors else "outdoors"
    yield str(sitting.get_evidence_display())
    if sitting.from_memory:
        yield "from memory"


def _figure(name: str, values: Sequence[float], measure: Measures, reader: User) -> str:
    n = len(values)
    words = f"median {_said(median(values), measure, reader)}"
    if n < LEAST_FOR_SPREAD:
        words += ", too few balls for a spread"
    else:
        words += f", spread {_said(stdev(values), measure, reader)}"
    count = f"{n} ball{'' if n == 1 else 's'}"
    return f"{name}: {words}, {count}" if name else f"{words}, {count}"


def _said(value: float, measure: Measures, reader: User) -> str:
    if measure == Measures.CARRY:
        return units.distance(value, reader.distance_unit, 1)
    return units.speed(value, reader.speed_unit)


def _ball(shot: Shot, measure: Measures, reader: User) -> str:
    value = getattr(shot, measure)
    words = "not measured" if value is None else _said(value, measure, reader)
    if shot.target is not None:
        words += f" at {units.distance(shot.target, reader.distance_unit)}"
    return words
