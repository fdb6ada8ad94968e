"""The week on paper, for those without a phone, and writing in what was ticked on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from django.conf import settings
from django.core import signing
from django.http import Http404
from django.urls import reverse
from django.utils.safestring import SafeString

from practice.compliance.dates import first_week_of
from practice.drills.dose import DoseError, parse
from practice.drills.text import in_words
from practice.flows.coach_logging import log_beside
from practice.log.models import Result
from practice.phone import queries
from practice.phone.queries import PlainWeek
from practice.weeks.models import Part
from shared.kit import text
from shared.kit.weeks import DAY_NAMES, DAYS_IN_WEEK
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.people.pictures import qr_code

SALT = "practice.phone.paper"
# Paper lies about, and its codes open for anybody: nothing of pain stands on either.
NOT_FOR_NOW = "Not for now. Ask your coach before you go on. Nothing is lost."
# A sheet of paper is found again on the fridge some weeks later; then it is over.
CARD_GOOD_FOR = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class PaperPart:
    """One part as it stands on the sheet, with a box for each time it is asked."""

    number: int
    id: str
    name: str
    cue: str
    dose: str
    minutes: str
    setup: str
    clean: str
    cautions: tuple[str, ...]
    stopped: str
    boxes: range
    when: str
    qr: SafeString


@dataclass(frozen=True, slots=True)
class PaperWeek:
    days: str
    note: str
    parts: tuple[PaperPart, ...]


@dataclass(frozen=True, slots=True)
class WriteInBox:
    """A day of a part; `is_open`: it may be ticked, `is_done`: it is written down already."""

    field: str
    day: str
    is_open: bool
    is_done: bool


@dataclass(frozen=True, slots=True)
class WriteInRow:
    """One part with its seven boxes."""

    name: str
    stopped: str
    boxes: tuple["WriteInBox", ...]


@dataclass(frozen=True, slots=True)
class WriteInWeek:
    title: str
    heads: tuple[str, ...]
    rows: tuple[WriteInRow, ...]


def paper_weeks(student: Student, *, given: bool = True) -> list[PaperWeek]:
    """The sheets of this week and of the next, of those that are sent. As many queries as the
    phone's week."""
    weeks = queries.weeks_to_log(student, given=given)
    return [_sheet(week, weeks.cautions) for week in (weeks.this, weeks.next) if week]


def _sheet(week: PlainWeek, cautions: dict[str, dict[str, Any]]) -> PaperWeek:
    parts = (_part(number, row, cautions) for number, row in enumerate(week.parts, 1))
    return PaperWeek(week.days, week.note, tuple(parts))


def _part(number: int, row: dict[str, Any], cautions: dict[str, dict[str, Any]]) -> PaperPart:
    days = [DAY_NAMES[date.fromisoformat(day).weekday()] for day in row["days"]]
    dose, minutes = dose_words(row["dose"]), text.minutes(row["minutes"])
    link = settings.SITE_URL + reverse("log:part_card", args=[signing.dumps(row["id"], salt=SALT)])
    return PaperPart(
        number,
        row["id"],
        row["name"],
        row["cue"],
        dose,
        "each time" if dose == f"{minutes} minutes" else f"about {minutes} min each time",
        row["setup"],
        row["clean"],
        tuple(cautions[pk]["text"] for pk in row["cautions"] if pk in cautions),
        NOT_FOR_NOW if row["stopped"] else "",
        range(row["sessions"]),
        " and ".join(days),
        qr_code(link),
    )


def dose_words(dose: str) -> str:
    """The dose as it is said aloud; as it was typed where it is no dose of ours."""
    try:
        return in_words(parse(dose))
    except DoseError:
        return dose


def card_or_404(token: str) -> PaperPart:
    """The part that a code on the sheet opens, on anybody's phone: of the drill, nobody's name."""
    try:
        part_id = signing.loads(token, salt=SALT, max_age=CARD_GOOD_FOR)
    except signing.BadSignature as error:
        raise Http404 from error
    part = Part.objects.select_related("week__student__studio").filter(pk=part_id).first()
    student = part and access.recordable_or_none(part.week.student)
    parts = (each for week in paper_weeks(student) for each in week.parts) if student else ()
    card = next((each for each in parts if each.id == part_id), None)
    if card is None:
        raise Http404
    return card


def write_in_weeks(student: Student, *, given: bool = True) -> list[WriteInWeek]:
    """The weeks that can be written in now, this one first; days to come cannot be ticked."""
    weeks = queries.weeks_to_log(student, given=given)
    named = (("This week", weeks.this), ("Last week", weeks.last))
    done = _done(student, weeks.today)
    return [_table(title, week, weeks.today, done) for title, week in named if week is not None]


def _done(student: Student, today: date, *, besides: Sequence[UUID] = ()) -> set[str]:
    """The boxes of parts that are written down already, by anybody; without these entries.

    A paper is looked at twice: a day that stands in the log must not be written in again. Days
    before last week have no box.
    """
    since = today - timedelta(days=2 * DAYS_IN_WEEK)
    found = Result.objects.filter(
        student=student,
        part__isnull=False,
        opens__gte=first_week_of(since),
        entry__counts=True,
        entry__day__gte=since,
    )
    found = found.exclude(entry__root__in=besides)
    return {f"{part}:{day}" for part, day in found.values_list("part_id", "entry__day")}


def _days(week: PlainWeek) -> list[date]:
    return [week.opens + timedelta(days=n) for n in range(DAYS_IN_WEEK)]


def _table(title: str, week: PlainWeek, today: date, done: set[str]) -> WriteInWeek:
    days = _days(week)
    rows = (
        WriteInRow(
            row["name"],
            NOT_FOR_NOW if row["stopped"] else "",
            tuple(
                WriteInBox(
                    field := field_of(row, day),
                    DAY_NAMES[day.weekday()],
                    is_open=day <= today and field not in done,
                    is_done=field in done,
                )
                for day in days
            ),
        )
        for row in week.parts
    )
    heads = tuple(f"{DAY_NAMES[day.weekday()][:2]} {day.day}." for day in days)
    return WriteInWeek(f"{title}, {week.days}", heads, tuple(rows))


def field_of(row: dict[str, Any], day: date) -> str:
    return f"{row['id']}:{day}"


def write_in(
    *, student: Recordable, by: User, form_id: UUID, ticked: Sequence[str], now: datetime
) -> tuple[int, list[str]]:
    """Each ticked box as the part done as asked, one entry a day; how many days, what was refused.

    The same form again adds nothing, nor does another for what is written down already. A part
    that has stopped is not written in.
    """
    weeks = queries.weeks_to_log(student, given=False)
    days = [day for week in (weeks.this, weeks.last) if week for day in _days(week)]
    boxes = set(ticked) - _done(
        student, weeks.today, besides=[uuid5(form_id, str(day)) for day in days]
    )
    kept, refused = 0, []
    for week in (weeks.this, weeks.last):
        if week is None:
            continue
        for day in _days(week):
            blocks = [
                _as_asked(row, is_last=week.is_last)
                for row in week.parts
                if field_of(row, day) in boxes and not row["stopped"] and day <= weeks.today
            ]
            if not blocks:
                continue
            receipt = log_beside(
                student=student, by=by, entry=uuid5(form_id, str(day)), day=day, at=now,
                blocks=blocks, minutes=sum(block["min"] for block in blocks), from_paper=True,
            )  # fmt: skip
            if receipt.sentence:
                refused.append(f"{DAY_NAMES[day.weekday()]}: {receipt.sentence}")
            else:
                kept += 1
    return kept, refused


def _as_asked(row: dict[str, Any], *, is_last: bool) -> dict[str, Any]:
    steps = [{"n": step["n"], "c": None, "e": None} for step in row["steps"]]
    return {
        "p": row["id"], "d": None, "s": steps, "min": row["minutes"], "as": True, "stop": False,
        "last": is_last,
    }  # fmt: skip
