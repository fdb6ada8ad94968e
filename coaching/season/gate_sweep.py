"""Keep what is said of the gate before priority 1: the tables tell for whom it is due."""

from datetime import datetime, timedelta

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.utils import timezone

from coaching.season.gates import near
from coaching.season.models import GateNow, Priority, Stage
from practice.coach_counts.models import CheckedCount
from practice.log.models import Entry
from shared.jobs.in_turn import those_next
from shared.jobs.sweep import sweep as run
from shared.kit.weeks import practice_day
from shared.people.access import Recordable, recordable_students
from shared.people.models import Student

AT_ONCE = 50  # Students a sweep says it of; the rest wait for the next one.
AT_ONE_LOOK = 4000  # Students it looks at: a larger house is gone through in several sweeps.
LOOKED_UP_TO = "gates-looked-up-to"
AT_LEAST_EVERY = timedelta(days=1)
BY_STEPS = (Stage.SHAPE, Stage.FLOW)  # The later gates are test days.


def sweep(now: datetime | None = None) -> int:
    """Say anew what is due, and forget who has no such gate. Returns how many were done."""
    now = now or timezone.now()
    these = those_next(LOOKED_UP_TO, Student.objects.all(), AT_ONE_LOOK)
    done = run(
        "gates",
        lambda: due(now).filter(these),
        lambda student: reckon(student, now),
        most=AT_ONCE,
    )
    gone = GateNow.objects.filter(~Exists(with_a_gate().filter(pk=OuterRef("student"))))
    if these:
        gone = gone.filter(student__in=Student.objects.filter(these))
    gone.delete()
    return len(done)


def with_a_gate() -> QuerySet[Recordable]:
    """Present students whose first priority is before a gate that steps of a ladder open."""
    return recordable_students().filter(
        season_plan__priorities__place=1,
        season_plan__priorities__stage__in=BY_STEPS,
        season_plan__priorities__drill__isnull=False,
    )


def due(now: datetime) -> QuerySet[Recordable]:
    """Those of whom something was logged, counted or planned since, and everybody once a day;
    who waits longest first. One query."""
    made = F("gate_now__reckoned_at")
    since = {"student": OuterRef("pk")}
    logged = Entry.objects.filter(
        **since, received_at__gt=OuterRef("gate_now__reckoned_at"), received_at__lte=now
    )
    counted = CheckedCount.objects.filter(
        **since, at__gt=OuterRef("gate_now__reckoned_at"), at__lte=now
    )
    return (
        with_a_gate()
        .filter(
            Q(gate_now=None)
            | Q(season_plan__changed_at__gt=made, season_plan__changed_at__lte=now)
            | Q(gate_now__reckoned_at__lte=now - AT_LEAST_EVERY)
            | Exists(logged)
            | Exists(counted)
        )
        .order_by(made.asc(nulls_first=True), "pk")
    )


def reckon(student: Recordable, now: datetime) -> None:
    """Say where one student's first priority stands. Twelve queries, however much was logged."""
    from practice.numbers.ladder.queries import read_ladders
    from practice.numbers.ladder.table import ladders

    today = practice_day(now, student.time_zone)
    first = Priority.objects.filter(plan__student=student, place=1).first()
    words = ""
    if first is not None:
        found = ladders(read_ladders(student, today), today).drills
        steps = [step for each in found if each.drill_id == first.drill_id for step in each.steps]
        said = {step.effort: (step.word, step.clean, step.reps) for step in steps}
        stands = near(first.stage, said)
        words = f"{first.name}. {stands}" if stands else ""
    GateNow.objects.update_or_create(student=student, defaults={"words": words, "reckoned_at": now})
