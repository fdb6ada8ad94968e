"""Drawing a try-out, once, and ending one."""

import uuid
from collections.abc import Sequence
from datetime import date, timedelta
from random import Random, SystemRandom

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from practice.care.work import Work
from practice.compliance.limits import limits_of
from practice.drills.dose import DoseError, parse
from practice.drills.models import Area, Drill, DrillRevision
from practice.tryouts.models import MOST_PAIRS, MOST_STARTS, MOST_TOGETHER, TryOut
from shared.kit.refused import Refused
from shared.people.access import Recordable
from shared.people.models import Student, User

WEEK = timedelta(weeks=1)
SINCE = 4 * WEEK  # After the last possible start, until it is judged (house rule).
LEAST_PAIRS = 3
LIGHT_WEEKS = 2  # A light fortnight.
MOST_SEED = 2**31 - 1
SYSTEM = SystemRandom()  # Nobody can foretell it; the demo hands its own.


@transaction.atomic
def draw(
    *,
    students: Sequence[Recordable],
    drill: Drill,
    test: Drill,
    first: date,
    starts: int,
    by: User,
    chance: Random = SYSTEM,
) -> list[TryOut]:
    """Draw who begins when; a try-out each, in the order of the students.

    One student: a week among `starts`, from `first` on. Several: as many windows of so many
    weeks, one after the other, shared out by the draw. Raises Refused.
    """
    from practice.measures.drawn import draw_starts

    _check(students, drill, test, starts)
    for student in students:
        _check_free(student, drill, test)
    windows = [(place * starts, starts) for place in range(len(students))]
    seed = chance.randrange(MOST_SEED)
    together = uuid.uuid4()
    last = first + (len(students) * starts - 1) * WEEK
    return [
        TryOut.objects.create(
            student=student,
            drill=drill,
            test=test,
            together=together,
            of=len(students),
            first=first + windows[place][0] * WEEK,
            starts=starts,
            begins=first + week * WEEK,
            judged_on=last + SINCE,
            seed=seed,
            made_by=by,
        )
        for student, (place, week) in zip(students, draw_starts(windows, seed), strict=True)
    ]


@transaction.atomic
def draw_turns(
    *,
    student: Recordable,
    drill: Drill,
    other: Drill | None,
    test: Drill,
    first: date,
    pairs: int,
    by: User,
    chance: Random = SYSTEM,
) -> TryOut:
    """Draw which drill has which week; without another, which fortnights are light.

    Raises Refused.
    """
    from practice.measures import drawn

    if not LEAST_PAIRS <= pairs <= MOST_PAIRS:
        raise Refused(f"Choose {LEAST_PAIRS} to {MOST_PAIRS} pairs.")
    if other == drill:
        raise Refused("Choose another drill, or none for light fortnights.")
    both = [drill, other] if other else [drill]
    for each in both:
        _check_shelf([student], each, test)
        _check_free(student, each, test)
    seed = chance.randrange(MOST_SEED)
    weeks = 1 if other else LIGHT_WEEKS
    return TryOut.objects.create(
        design=TryOut.Design.TURNS,
        student=student,
        drill=drill,
        other=other,
        test=test,
        first=first,
        starts=pairs,
        begins=first,
        weeks=weeks,
        turns=drawn.draw_turns(pairs, seed),
        judged_on=first + 2 * pairs * weeks * WEEK,
        seed=seed,
        made_by=by,
    )


def end(*, student: Recordable, try_out: TryOut, why: str) -> None:
    """It is not judged, and stays listed. Ending it twice changes nothing."""
    TryOut.objects.filter(pk=try_out.pk, student=student, ended_at=None).update(
        ended_at=timezone.now(), ended_why=why.strip()[:120]
    )


def _check(students: Sequence[Student], drill: Drill, test: Drill, starts: int) -> None:
    if not 1 <= len(students) <= MOST_TOGETHER:
        raise Refused(f"Choose one to {MOST_TOGETHER} students.")
    if not 1 <= starts <= MOST_STARTS or len(students) * starts < 2:
        raise Refused(f"Choose 2 to {MOST_STARTS} possible weeks.")
    if len(students) * starts > MOST_STARTS:
        raise Refused(f"Together that takes more than {MOST_STARTS} weeks. Choose fewer.")
    _check_shelf(students, drill, test)


def _check_shelf(students: Sequence[Student], drill: Drill, test: Drill) -> None:
    studios = {student.studio_id for student in students} | {drill.studio_id, test.studio_id}
    if len(studios) > 1 or drill.is_test or not test.is_test:
        raise Refused("Choose a drill and a test of your own shelf.")


def _check_free(student: Student, drill: Drill, test: Drill) -> None:
    rows = TryOut.objects.filter(Q(drill=drill) | Q(other=drill), student=student, ended_at=None)
    if rows.exists():
        raise Refused(f"{student.name} has a try-out of this drill. It was drawn already.")
    if not may_begin(student, drill):
        raise Refused(f"“{drill}” is not for {student.name} now. Ask the lead coach.")
    if student.is_minor and _words(test).area == Area.SPEED:
        raise Refused(f"{student.name} is growing, and speed grows too. Choose another test.")


def may_begin(student: Student, drill: Drill, opens: date | None = None) -> bool:
    """Whether no limit of the week that opens then (the present one) and no age stands against it.
    One query."""
    limits = limits_of(student, opens)
    return limits.may_offer(work_of(drill)) and not limits.is_too_young(_words(drill).min_age)


def work_of(drill: Drill) -> Work:
    """The drill as it is written down, as limits judge it."""
    words = _words(drill)
    try:
        dose = parse(words.dose)
    except DoseError:
        dose = None
    return Work(drill.pk, dose, words.area)


def _words(drill: Drill) -> DrillRevision:
    if drill.current is None:
        raise Refused("This drill has no words yet. Choose another.")
    return drill.current
