"""Days on which nothing is asked. Told before or after, by whomever; never judged."""

from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils import timezone

from practice.compliance.models import WeekTally
from practice.compliance.tally import keep, take_turns
from practice.weeks.models import Excusal, Week
from shared.kit.refused import Refused
from shared.kit.weeks import week_start
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.people.today import today_of

LONGEST = timedelta(days=92)
BACK = timedelta(days=60)
AHEAD = timedelta(days=366)


@transaction.atomic
def excuse(
    *,
    student: Recordable,
    first: date,
    last: date,
    kind: str = Excusal.Kind.OTHER,
    told_by: User | None,
    told_at: datetime | None = None,
) -> Excusal:
    """Excuse these days, both ends included; what is asked shrinks at once.

    The same words again change nothing. Raises Refused for days that cannot be.
    """
    _check_days(student, first, last)
    if kind not in Excusal.Kind.values:
        raise Refused("Say away, unwell or other.")
    take_turns(student)
    told = {"told_by": told_by, "told_at": told_at or timezone.now()}
    excusal, is_new = Excusal.objects.get_or_create(
        student=student, first=first, last=last, kind=kind, withdrawn_at=None, defaults=told
    )
    if is_new:
        _recompute(student, first, last)
    return excusal


@transaction.atomic
def withdraw_excusal(*, excusal: Excusal) -> None:
    """Take excused days back; what was asked stands again. Twice is the same as once."""
    take_turns(excusal.student)
    still = Excusal.objects.filter(pk=excusal.pk, withdrawn_at=None)
    if still.update(withdrawn_at=timezone.now()):
        _recompute(excusal.student, excusal.first, excusal.last)


def _check_days(student: Student, first: date, last: date) -> None:
    if last < first:
        raise Refused("The last day cannot be before the first.")
    if last - first >= LONGEST:
        raise Refused(f"Excuse at most {LONGEST.days} days at a time.")
    today = today_of(student)
    if first < today - BACK:
        raise Refused(f"Days can be excused up to {BACK.days} days back.")
    if last > today + AHEAD:
        raise Refused("Days can be excused up to a year ahead.")


def _recompute(student: Student, first: date, last: date) -> None:
    """Every week the days touch that has a plan or a tally."""
    since = week_start(first, student.studio.first_weekday)
    known = {"student": student, "opens__gte": since, "opens__lte": last}
    opens = set(Week.objects.filter(**known).values_list("opens", flat=True))
    opens |= set(WeekTally.objects.filter(**known).values_list("opens", flat=True))
    keep(student, opens)
