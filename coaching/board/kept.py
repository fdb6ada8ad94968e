"""The lines of the board: read where they stand, judged where something changed, and kept."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import connection, transaction
from django.db.models import QuerySet, TextField, UUIDField
from django.db.models.functions import Cast, Greatest

from coaching.board.lines import BoardLine, from_text, line_of, rules, stands_until, to_json
from coaching.board.models import KeptLine
from coaching.board.read import LESSONS_BACK, hour_of, judged_from, people_of
from coaching.board.rows import JudgedStudent, judge_student
from coaching.board.rules.order import OrderPlace
from coaching.board.weighing import facts_of
from coaching.lessons.models import Lesson
from shared.kit.weeks import practice_day
from shared.people.models import Student
from shared.site.prepared import Prepared
from shared.site.together import Rows

ROW = ("pk", "name", "studio", "lead_coach", "time_zone", "next_lesson")
KEPT: tuple[Any, ...] = (
    *(f"kept_line__{name}" for name in ("version", "judged", "rules", "until")),
    Cast("kept_line__line", TextField()),
)


@dataclass(frozen=True, slots=True)
class Standing:
    """A student as the board lists one."""

    id: UUID
    # The same as text.
    who: str
    name: str
    studio: UUID
    lead_coach: UUID
    zone: str
    next_lesson: date | None
    # Of the student's own calendar.
    day: date
    line: BoardLine

    @property
    def place(self) -> OrderPlace:
        lesson = self.next_lesson
        ahead = lesson if lesson and lesson >= self.day else None
        return OrderPlace(self.line.need, ahead, self.name, self.who)


def standings(students: QuerySet[Student], now: datetime) -> list[Standing]:
    """In the order of the query. One query, and twelve more where a line does not stand."""
    return standings_from(list(students.values_list(*ROW, *KEPT)), now)


def standings_asked(students: Collection[UUID]) -> Rows:
    """The rows of `standings_from`, to be asked with others."""
    return Rows(_rows, students=list(students))


_rows = Prepared(
    lambda students: Student.objects.filter(pk__in=[students]).values_list(*ROW, *KEPT),
    students=UUIDField,
)


def standings_from(rows: Sequence[Sequence[Any]], now: datetime) -> list[Standing]:
    """The same of rows that are read. No query, and twelve where a line does not stand."""
    lines = {row[0]: from_text(row[-1]) for row in rows if is_standing(row[len(ROW) :], now)}
    lines |= judge([row[0] for row in rows if row[0] not in lines], now)
    days: dict[str, date] = {}
    found = []
    for pk, name, studio, lead, zone, lesson, *_ in rows:
        day = days.get(zone) or days.setdefault(zone, _calendar_day(now, zone))
        found.append(Standing(pk, str(pk), name, studio, lead, zone, lesson, day, lines[pk]))
    return found


def _calendar_day(now: datetime, zone: str) -> date:
    day = practice_day(now, zone)
    return day + timedelta(days=int(hour_of(now, day, zone) >= 24))


def is_standing(kept: Sequence[Any], now: datetime) -> bool:
    version, judged, made_by, until, _ = kept
    return judged is not None and judged == version and made_by == rules() and now < until


def judge(students: Collection[UUID], now: datetime) -> dict[UUID, BoardLine]:
    """These students judged from scratch, and kept.

    The version is read before what is judged: what changes meanwhile raises it, and the line
    is judged again the next time.
    """
    if not students:
        return {}
    versions = _versions(students)
    if new := [pk for pk in students if pk not in versions]:
        rows = [KeptLine(student_id=pk) for pk in new]
        KeptLine.objects.bulk_create(rows, ignore_conflicts=True)
        versions |= _versions(new)
    judged, lessons = from_scratch(students, now), _lessons_to_come(students, now)
    lines = {each.person.id: line_of(each) for each in judged}
    _keep(
        [
            (lines[each.person.id], versions[each.person.id],
             stands_until(each, lessons[each.person.id]), each.person.id)
            for each in judged
        ]
    )  # fmt: skip
    return lines


def _versions(students: Collection[UUID]) -> dict[UUID, int]:
    rows = KeptLine.objects.filter(student__in=students)
    return dict(rows.values_list("student", "version"))


def from_scratch(students: Collection[UUID], now: datetime) -> list[JudgedStudent]:
    persons = people_of(students, now)
    raw = judged_from(persons, now)
    return [judge_student(p, raw[p.id], facts_of(p, raw[p.id])) for p in persons]


def different(students: Collection[UUID], now: datetime) -> list[UUID]:
    """Of these, whose kept line stands and is not what would be judged now."""
    rows = Student.objects.filter(pk__in=students).values_list("pk", *KEPT)
    lines = {pk: from_text(kept[-1]) for pk, *kept in rows if is_standing(kept, now)}
    return [
        each.person.id
        for each in from_scratch(lines, now)
        if line_of(each) != lines[each.person.id]
    ]


def _lessons_to_come(students: Collection[UUID], now: datetime) -> dict[UUID, list[datetime]]:
    """When lessons that are written down already will count as held."""
    found: dict[UUID, list[datetime]] = defaultdict(list)
    coming = (
        Lesson.objects.filter(student__in=students, at__gte=now - LESSONS_BACK)
        .exclude(opened_at=None)
        .annotate(held=Greatest("at", "opened_at"))
        .filter(held__gt=now)
    )
    for student, held in coming.values_list("student", "held"):
        found[student].append(held)
    return found


KEEP = (
    "UPDATE board_keptline SET line = %s, judged = %s, rules = %s, until = %s"
    " WHERE student_id = %s AND version = %s"
)


def _keep(rows: list[tuple[BoardLine, int, datetime, UUID]]) -> None:
    """In one go, past whoever writes of a student just now: what they change is judged again."""
    field = {f.name: f.get_db_prep_save for f in KeptLine._meta.concrete_fields}  # noqa: SLF001 (documented)
    with transaction.atomic(), connection.cursor() as cursor:
        free = KeptLine.objects.select_for_update(skip_locked=True).order_by("pk")
        free = free.filter(student__in=[row[-1] for row in rows])
        mine = set(free.values_list("student", flat=True))
        cursor.executemany(
            KEEP,
            [
                (
                    field["line"](to_json(line), connection),
                    version,
                    rules(),
                    field["until"](until, connection),
                    field["student"](student, connection),
                    version,
                )
                for line, version, until, student in rows
                if student in mine
            ],
        )
