"""What the care pages read. Pain notes only for those whom access lets read them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from uuid import UUID

from django.conf import settings
from django.db.models import BooleanField, ExpressionWrapper, F, Q, QuerySet

from practice.care.models import CautionRead, PainNote, Stop
from practice.care.queries import told_last
from practice.care.rules import sign_words
from practice.compliance.limits import limits_of_many
from practice.drills.queries import current_cautions
from practice.weeks.models import Part, Week
from shared.kit.text import capital, date_words, listed
from shared.kit.weeks import practice_day, week_start
from shared.people import access
from shared.people.models import Student, User

MOST_NOTES = 100
MOST_STOPS = 50
MOST_ON_ROSTER = 200
# Of stops of one day that of all hard work comes first, then drills by name.
OPEN_FIRST = ExpressionWrapper(Q(cleared_at=None), BooleanField()).desc()
WITHIN_A_DAY = F("drill__current__name").asc(nulls_first=True), "pk"


@dataclass(frozen=True, slots=True)
class StopRow:
    id: UUID
    limit: str
    since: str
    told: str
    cleared: str = ""


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """Pain at one place of the body, newest first."""

    where: str
    told: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CautionRow:
    drill: str
    text: str
    is_read: bool


@dataclass(frozen=True, slots=True)
class CareNotes:
    reads_pain: bool
    may_need: bool
    open: tuple[StopRow, ...]
    cleared: tuple[StopRow, ...]
    places: tuple[PlaceRow, ...]
    cautions: tuple[CautionRow, ...]
    has_older: bool
    keeps_words: bool
    fades_after: int


def stops_named(student: Student, ids: Iterable[str]) -> list[Stop]:
    """The student's own stops among these ids, whatever else is in them. One query."""
    stops = Stop.objects.filter(student=student).order_by(OPEN_FIRST, "-since")
    wanted = set(ids)
    found = stops.select_related("student__studio")[:MOST_STOPS]
    return [stop for stop in found if str(stop.pk) in wanted]


def care_notes(user: User, student: Student, now: datetime) -> CareNotes:
    """One student's stops, pain and cautions. At most seven queries."""
    roles = access.roles_by_studio(user).get(student.studio_id, set())
    reads = access.reads_pain(user, roles, student.pk, student.lead_coach_id)
    stops = _stops(student)
    pains = list(_pains(student)[: MOST_NOTES + 1]) if reads else []
    return CareNotes(
        reads_pain=reads,
        may_need=not reads and access.may_need_pain(roles),
        open=tuple(_stop_row(stop, reads=reads) for stop in stops if stop.cleared_at is None),
        cleared=tuple(_stop_row(stop, reads=reads) for stop in stops if stop.cleared_at),
        places=_places(pains[:MOST_NOTES]),
        cautions=_cautions(student, now),
        has_older=len(pains) > MOST_NOTES,
        keeps_words=any(pain.is_kept for pain in pains),
        fades_after=settings.KEEP_DAYS["pain"],
    )


def _stops(student: Student) -> list[Stop]:
    stops = Stop.objects.filter(student=student).order_by(OPEN_FIRST, "-since", *WITHIN_A_DAY)
    return list(stops.select_related("drill__current", "pain", "cleared_by")[:MOST_STOPS])


def _pains(student: Student) -> QuerySet[PainNote]:
    notes = PainNote.objects.filter(student=student, level__gt=0).order_by("-day", "-told_at")
    return told_last(notes).select_related("drill__current")


def _stop_row(stop: Stop, *, reads: bool) -> StopRow:
    return StopRow(
        id=stop.pk,
        limit=limit_words(stop.drill.current.name if stop.drill and stop.drill.current else ""),
        since=date_words(stop.since),
        told=_pain_words(stop.pain) if reads and stop.pain else "",
        cleared=_cleared(stop, reads=reads),
    )


def limit_words(drill: str) -> str:
    return f"No {drill}" if drill else "No hard swings"


def _cleared(stop: Stop, *, reads: bool) -> str:
    if stop.cleared_on is None:
        return ""
    by = f" by {stop.cleared_by}" if stop.cleared_by else ""
    said = f": {stop.clearing_words}" if reads and stop.clearing_words else ""
    return f"cleared {date_words(stop.cleared_on)}{by}{said}"


def _pain_words(pain: PainNote) -> str:
    return ", ".join((f"{pain.where or 'pain'} {pain.level}/10", *sign_words(pain.signs)))


def _places(pains: Iterable[PainNote]) -> tuple[PlaceRow, ...]:
    """By place, the place told last first."""
    latest: dict[str, date] = {}
    for pain in pains:
        latest.setdefault(_place(pain), pain.day)
    ordered = sorted(pains, key=lambda pain: (-latest[_place(pain)].toordinal(), _place(pain)))
    return tuple(
        PlaceRow(capital(place), tuple(_told(pain) for pain in told))
        for place, told in groupby(ordered, key=_place)
    )


def _place(pain: PainNote) -> str:
    return pain.where.strip().lower() or "place not named"


def _told(pain: PainNote) -> str:
    words = [f"{date_words(pain.day)}: {pain.level}/10", *sign_words(pain.signs)]
    words.append("new" if pain.is_new else "known before")
    if pain.drill and pain.drill.current:
        words.append(f"with {pain.drill.current.name}")
    return ", ".join(words)


def _cautions(student: Student, now: datetime) -> tuple[CautionRow, ...]:
    """Cautions on the drills of the present week and of later ones sent, and whether read."""
    opens = week_start(practice_day(now, student.time_zone), student.studio.first_weekday)
    parts = Part.objects.filter(
        week__student=student,
        week__opens__gte=opens,
        week__state=Week.State.SENT,
        removed_at=None,
    )
    names = dict(parts.values_list("drill", "revision__name"))
    current = current_cautions(names)
    read = set(CautionRead.objects.filter(student=student).values_list("caution", flat=True))
    return tuple(
        CautionRow(names[drill], str(caution), caution.pk in read)
        for drill, cautions in current.items()
        for caution in cautions
    )


# --- the roster ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CareRow:
    student: UUID
    name: str
    limits: str
    since: str
    told: str


@dataclass(frozen=True, slots=True)
class CareRoster:
    rows: tuple[CareRow, ...]
    is_cut: bool


def care_roster(user: User) -> CareRoster:
    """Students with an open stop, the longest first, then those who rest. Four queries."""
    roles = access.roles_by_studio(user)
    stops = Stop.objects.filter(cleared_at=None, student__in=access.students_taught_by(user))
    stops = stops.select_related("student", "drill__current", "pain")
    found = list(stops.order_by("since", "student__name", *WITHIN_A_DAY)[: MOST_ON_ROSTER + 1])
    by_student: dict[UUID, list[Stop]] = {}
    for stop in found[:MOST_ON_ROSTER]:
        by_student.setdefault(stop.student_id, []).append(stop)
    rows = [_care_row(user, roles, stops) for stops in by_student.values()]
    rows += _resting(user, roles, set(by_student))
    return CareRoster(tuple(rows), len(found) > MOST_ON_ROSTER)


def _resting(user: User, roles: dict[UUID, set[str]], others: set[UUID]) -> list[CareRow]:
    """Who rests from hard swings and has no stop. Two queries."""
    taught = access.students_taught_by(user).select_related("studio").order_by("name")
    students = {student.pk: student for student in taught[:MOST_ON_ROSTER]}
    limits = limits_of_many(students.values())
    return [
        CareRow(pk, student.name, "Rest from hard swings", "", _why_resting(user, roles, student))
        for pk, student in students.items()
        if pk not in others and limits[pk].rests
    ]


def _why_resting(user: User, roles: dict[UUID, set[str]], student: Student) -> str:
    here = roles.get(student.studio_id, set())
    reads = access.reads_pain(user, here, student.pk, student.lead_coach_id)
    return "Something hurts, after many more hard swings than usual." if reads else ""


def _care_row(user: User, roles: dict[UUID, set[str]], stops: list[Stop]) -> CareRow:
    student = stops[0].student
    here = roles.get(student.studio_id, set())
    reads = access.reads_pain(user, here, student.pk, student.lead_coach_id)
    rows = [_stop_row(stop, reads=reads) for stop in stops]
    told = dict.fromkeys(row.told for row in rows if row.told)
    return CareRow(
        student=student.pk,
        name=student.name,
        limits=listed([rows[0].limit, *(f"no{row.limit[2:]}" for row in rows[1:])]),
        since=rows[0].since,
        told=", ".join(told),
    )
