"""Entries, lines and counted figures as rows of text, for pages that only print them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Prefetch
from django.utils import timezone

from practice.care.models import PainNote, Stop
from practice.care.queries import told_last
from practice.care.rules import sign_words
from practice.compliance.models import WeekTally
from practice.compliance.note_text import sentences, spread_words
from practice.drills.dose import HARD_EFFORT
from practice.log.clock import open_until
from practice.log.models import Entry, Line, Result
from shared.kit.text import in_minutes, of_asked, whole_percent
from shared.people.models import Student, User
from shared.people.today import today_of

PAGE = 7  # About a week of visits; older ones are a tap away.
WHAT = {
    "range": "range balls",
    "round": "a round",
    "group": "a group session",
    "lesson": "a lesson",
    "other": "other practice",
}


@dataclass(frozen=True, slots=True)
class EntryRow:
    root: UUID
    is_open: bool
    day: str
    blocks: list[str]
    facts: str
    note: str
    writer: str


@dataclass(frozen=True, slots=True)
class CoachLineRow:
    by: str
    at: str
    text: str


@dataclass(frozen=True, slots=True)
class PlainCareRow:
    day: str
    text: str
    stopped: str


@dataclass(frozen=True, slots=True)
class PlainStepRow:
    label: str
    asked: str
    done: str
    counted: str


@dataclass(frozen=True, slots=True)
class PartRow:
    name: str
    percent: str
    sessions: str
    sentence: str
    steps: list[PlainStepRow]
    notes: list[str]


@dataclass(frozen=True, slots=True)
class CountedWeek:
    """What counted in one week. `percent` is None where nothing was asked."""

    opens: date
    closes: str
    percent: str | None
    sentence: str
    parts: list[PartRow]
    facts: list[str]
    # When it was done, apart from how much.
    spread: str


def day_words(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def percent(share: float) -> str:
    """Whole percents, rounded down: 100 only when all of it was done."""
    return f"{whole_percent(share)} %"


def amount(value: float) -> str:
    return f"{value:g}" if value == int(value) else f"{value:.1f}"


def entries_of(student: Student, *, page: int = 0) -> tuple[list[EntryRow], bool]:
    """A page of what counts, latest day first, and whether there is an older one. Two queries."""
    start, today = page * PAGE, today_of(student)
    results = Result.objects.select_related("part__revision", "drill__current")
    found = (
        Entry.objects.filter(student=student, counts=True)
        .select_related("writer")
        .prefetch_related(Prefetch("results", results))
        .order_by("-day", "-at", "pk")[start : start + PAGE + 1]
    )
    rows = [_entry_row(entry, student, today) for entry in found]
    return rows[:PAGE], len(rows) > PAGE


def _entry_row(entry: Entry, student: Student, today: date) -> EntryRow:
    results = sorted(entry.results.all(), key=lambda result: result.position)
    return EntryRow(
        root=entry.root,
        is_open=today <= open_until(entry.day, entry.received_at, student.time_zone),
        day=day_words(entry.day),
        blocks=[_block_words(result) for result in results],
        facts=" · ".join(_facts(entry)),
        note=entry.note,
        writer=entry.writer_words(student),
    )


def _facts(entry: Entry) -> Iterable[str]:
    if entry.minutes is not None:
        yield f"{in_minutes(entry.minutes)} min"
    if entry.felt is not None:
        yield f"felt {entry.felt} of 10"
    if entry.from_memory:
        yield "from memory"
    if entry.kind == Entry.Kind.CHANGE:
        yield "changed"


def _block_words(result: Result) -> str:
    words = [_name(result)]
    if result.steps:
        words.append(", ".join(_step_words(step, result) for step in result.steps))
    if result.as_asked:
        words.append("as asked")
    if result.minutes is not None:
        words.append(f"{in_minutes(result.minutes)} min")
    if result.stopped:
        words.append("stopped by the stop rule")
    if result.filed == Result.Filed.UNPLANNED and result.part_id:
        words.append("not counted for a week")
    return " · ".join(words)


def _name(result: Result) -> str:
    if result.part is not None and result.drill_id == result.part.drill_id:
        return result.part.revision.name
    if result.drill is not None:
        instead = f" instead of {result.part.revision.name}" if result.part else ""
        return f"{result.drill}{instead}"
    return WHAT.get(result.what, "practice")


def _step_words(step: dict[str, Any], result: Result) -> str:
    """Of what was told “as asked” nobody counted the clean ones, as the ladder has it too."""
    n, clean = step["n"], step.get("clean")
    made = f"{n} done" if clean is None or result.as_asked else f"{clean} of {n} clean"
    return made if step.get("effort") is None else f"{made} at {step['effort']} %"


def lines_of(student: Student, most: int = PAGE) -> list[CoachLineRow]:
    lines = Line.objects.filter(student=student).select_related("author").order_by("-at")[:most]
    return [
        CoachLineRow(str(line.author), f"{timezone.localtime(line.at):%a %d %b, %H:%M}", line.text)
        for line in lines
    ]


def care_of(student: Student, most: int = PAGE) -> list[PlainCareRow]:
    """Pain as it was told, latest first, with what stopped for it."""
    notes = (
        told_last(PainNote.objects.filter(student=student))
        .select_related("drill__current")
        .prefetch_related("stops__drill__current", "stops__cleared_by")
        .order_by("-day", "-told_at")[:most]
    )
    return [_care_row(note) for note in notes]


def _care_row(note: PainNote) -> PlainCareRow:
    words = [f"{note.where or 'Pain'} {note.level} of 10", "new" if note.is_new else "known"]
    words += sign_words(note.signs)
    if note.drill:
        words.append(f"at {note.drill}")
    stops = [_stop_words(stop) for stop in note.stops.all()]
    return PlainCareRow(day_words(note.day), " · ".join(words), "; ".join(stops))


def _stop_words(stop: Stop) -> str:
    what = str(stop.drill) if stop.drill else f"all work at {HARD_EFFORT} or harder"
    if stop.cleared_on is None:
        return f"{what} stopped since {day_words(stop.since)}"
    words = f" “{stop.clearing_words}”" if stop.clearing_words else ""
    return f"{what}: cleared {day_words(stop.cleared_on)} by {stop.cleared_by}{words}"


def counted_in(student: Student, opens: date) -> CountedWeek | None:
    """What counted in the week that opens on this day; None if nothing is known of it."""
    tally = WeekTally.objects.filter(student=student, opens=opens).first()
    if tally is None:
        return None
    share = tally.credit
    minutes = (
        f"{in_minutes(tally.credited_minutes)} of {in_minutes(tally.asked_minutes)} asked minutes"
    )
    return CountedWeek(
        opens=opens,
        closes=day_words(date.fromordinal(opens.toordinal() + 6)),
        percent=None if share is None else f"{percent(share)} · {minutes}",
        sentence=f"{minutes} counted: each part’s share of its own minutes, added up.",
        parts=[_part_row(part, opens, _asked_by(tally)) for part in tally.parts],
        spread=spread_words(tally.minutes_by_day, tally.planned_by_day, opens, today_of(student)),
        facts=[
            f"Days: {of_asked(tally.days_done, tally.days_asked) or tally.days_done}",
            f"Minutes, asked or not: {in_minutes(tally.minutes)}",
            f"Balls: {tally.balls}",
            f"Hard swings: {tally.hard_swings}",
        ],
    )


def _asked_by(tally: WeekTally) -> dict[str, str]:
    """Names of those who put parts on the week, where there was more than one. One query."""
    who = {part["by"] for part in tally.parts if part.get("by")}
    users = User.objects.filter(pk__in=who) if len(who) > 1 else ()
    return {str(user.pk): str(user) for user in users}


def _part_row(part: dict[str, Any], opens: date, names: dict[str, str]) -> PartRow:
    credit = part["credit"]
    steps = part.get("steps", [])
    return PartRow(
        name=part["name"],
        percent="left out" if credit is None else percent(credit),
        sessions=_sessions(part),
        sentence=_part_sentence(part, steps),
        steps=[_step_row(step) for step in steps],
        notes=[*_from(part, names), *sentences(part, opens)],
    )


def _from(part: dict[str, Any], names: dict[str, str]) -> list[str]:
    name = names.get(part.get("by", ""))
    return [f"Asked by {name}."] if name else []


def _sessions(part: dict[str, Any]) -> str:
    if part["credit"] is None:
        return ""
    asked = amount(part["asked_sessions"])
    return f"{amount(part['sessions_done'])} of {asked} {'visit' if asked == '1' else 'visits'}"


def _part_sentence(part: dict[str, Any], steps: list[dict[str, Any]]) -> str:
    if part["credit"] is None:
        return "Excused this week, so it is neither done nor missing."
    counted, asked = (sum(step[name] or 0 for step in steps) for name in ("credited", "asked"))
    rule = (
        "Counted by total, on whichever days."
        if part["by_total"]
        else "One day counts one and a half times the dose at most."
    )
    stop = (
        " It stopped for pain. That day’s work counts as done, and the rest is excused."
        if part.get("stopped")
        else ""
    )
    return f"{amount(counted)} counted of {amount(asked)} asked. {rule}{stop}"


def _step_row(step: dict[str, Any]) -> PlainStepRow:
    unit = f" {step['unit']}" if step.get("unit") not in (None, "reps") else ""
    return PlainStepRow(
        label=str(step["label"]),
        asked=f"{amount(step['asked'] or 0)}{unit}",
        done=amount(step["done"] or 0),
        counted=amount(step["credited"] or 0),
    )
