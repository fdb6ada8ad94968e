"""Everything a phone needs to know for a week, in a constant number of queries."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import DateField, DateTimeField, Exists, OuterRef, Q, UUIDField
from django.urls import reverse
from django.utils import timezone

from practice.care.limits import Limits
from practice.care.models import CautionRead
from practice.care.rules import stopped_words
from practice.care.work import Work
from practice.clips.models import Clip
from practice.clips.queries import copies_asked, length_of
from practice.compliance.limits import limits_asked
from practice.compliance.models import WeekTally
from practice.compliance.parts import dose_of
from practice.drills.dose import Dose
from practice.drills.models import Caution, Drill, DrillRevision
from practice.drills.protocol import in_order
from practice.log import beside_parts
from practice.log.clock import DAYS_BACK
from practice.log.models import Entry, Line
from practice.phone.own_pages import own_pages
from practice.shots import queries as shots
from practice.weeks.given import note_given
from practice.weeks.models import Excusal, Part, Week
from practice.weeks.places import place_words
from practice.weeks.queries import rows_with_parts, spec_of, standing_parts, weeks_from
from shared.kit.refused import Refused
from shared.kit.units import DISTANCE, SPEED
from shared.kit.weeks import day_starts_at, practice_day, week_start
from shared.outbox import push_sender
from shared.people import access
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows, together

MOST_DRILLS = 60
MOST_LINES = 10
MOST_DOCUMENTS = 200
MOST_IDS = 5000
DAYS_OF_DOCUMENTS = 14


@dataclass(frozen=True, slots=True)
class SentWeek:
    """A sent week with the parts that are on it now."""

    week: Week
    parts: list[Part]

    @property
    def opens(self) -> date:
        return self.week.opens


@dataclass(frozen=True, slots=True)
class BundleFacts:
    """What was read once and every part of the bundle looks into."""

    student: Student
    today: date
    tallies: dict[date, dict[str, dict[str, Any]]]
    limits: Limits
    # Of the drills that parts offer instead, by part: those that limits let the student do.
    offered: frozenset[tuple[UUID, str]]
    cautions: dict[Any, list[Caution]]
    read: set[Any]
    to_copy: dict[UUID, Clip]
    # What other apps say of a drill: why it is asked, and what holds now.
    why: dict[UUID, str] = field(default_factory=dict)
    holds: dict[UUID, str] = field(default_factory=dict)
    tests: dict[UUID, str] = field(default_factory=dict)


def bundle(student: Student, writer: User) -> dict[str, Any]:
    """The answer of GET /api/week. The student's studio and lead coach must be loaded.

    Seven queries, however many weeks, parts and entries there are: one for nearly all, the
    cautions with those read, drills, what is usual, wedge balls; and what other apps say: the
    lessons' findings and what a coach screened. One more where a distance is missed, where
    something is stopped (the swaps), after a lesson (the drills of its findings), where a week is
    handed over for the first time, and where a part of an older week was logged.
    """
    now = timezone.now()
    today = practice_day(now, student.time_zone)
    since = today - timedelta(days=DAYS_BACK)
    asked, beside = weeks_asked(student, today), beside_parts.asked(student, writer)
    own, first = _asked(student, since), beside_parts.first_asked(student, writer)
    together(*asked.rows(), *beside.rows(), *own, first)
    entries, excused, lines, clubs, sitting = (each.answer for each in own)
    takes, first_questions = asked.takes.answer, first.answer
    weeks = given_weeks(student, today, takes, asked.weeks.answer)
    facts = _with_sentences(facts_of(student, today, weeks, asked), weeks, beside)
    documents = _documents(entries, today)
    opens = week_start(today, student.studio.first_weekday)
    return {
        "me": {"id": str(student.pk), "name": student.name},
        "writer": {"id": str(writer.pk), "name": str(writer)},
        "childOf": None if student.user_id == writer.pk else {"name": str(writer)},
        "guarded": student.is_minor and student.user_id == writer.pk,
        "now": now.isoformat(),
        "today": today.isoformat(),
        "zone": student.time_zone,
        "since": since.isoformat(),
        "have": [str(row["id"]) for row in entries],
        "entries": documents,
        "weeks": [week_row(week, facts) for week in weeks],
        "cautions": caution_rows(facts),
        "drills": _drill_names(student, weeks),
        "names": _older_names(student, documents, weeks),
        "excused": [{"first": f.isoformat(), "last": last.isoformat()} for f, last in excused],
        # Since when something is stopped for pain: until then what was told stays on top.
        "stops": [stop.since.isoformat() for stop in facts.limits.stops],
        "lines": _lines(lines),
        "pages": own_pages(student, writer, opens, asks_first=not first_questions.is_over),
        "units": _units(writer),
        "clubs": clubs,
        "sitting": sitting,
        "usual": [each._asdict() for each in shots.usual_figures(student)],
        "asks": first_questions.now,
        "push": push_sender.our_point(),
        "card": shots.wedge_swings(student, today).as_row(),
        "takes": {"film": takes.film, "voice": takes.voice},
    }


def link_bundle(student: Student, writer: User) -> dict[str, Any]:
    """What the key of a reminder's link reads, which anybody may hold who holds the mail.

    This week's parts, and what was logged in it by its counts: no note, no message, no pain.
    """
    told = bundle(student, writer)
    weeks = [week for week in told["weeks"] if week["opens"] <= told["today"] <= week["closes"]]
    first = min((week["opens"] for week in weeks), default=told["today"])
    entries = [entry for entry in told["entries"] if entry["day"] >= first]
    return told | {
        "weeks": [_bare(week) for week in weeks],
        "entries": [_without_words(entry) for entry in entries],
        "lines": [],
        "pages": [],  # Each asks for a sign-in, which whoever holds the mail may not have.
        "card": told["card"] | {"swings": []},
        "takes": {"film": False, "voice": False},  # A link's key sends no files.
        "sitting": None,
        "usual": [],
        "names": {},
        "stops": [],
    }


PRIVATE = ("note", "pain")


def _bare(week: dict[str, Any]) -> dict[str, Any]:
    parts = [part | {"why": "", "holds": "", "moved": ""} for part in week["parts"]]
    return week | {"note": "", "parts": parts}


def _without_words(document: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in document.items() if key not in PRIVATE}


def _units(reader: User) -> dict[str, dict[str, Any]]:
    """How whoever holds the phone reads SI: the sign, and what one of it is in SI."""
    pairs = {"m": DISTANCE[reader.distance_unit], "m/s": SPEED[reader.speed_unit]}
    return {si: {"sign": unit.sign, "si": unit.to_si(1)} for si, unit in pairs.items()}


@dataclass(frozen=True, slots=True)
class WeeksAsked:
    """What weeks are handed over with, to be asked with others."""

    weeks: Question[list[SentWeek]]
    takes: Question[access.Taken]
    limits: Question[Limits]
    tallies: Question[dict[date, dict[str, dict[str, Any]]]]
    copies: Question[dict[UUID, Clip]]

    def rows(self) -> tuple[Question[Any], ...]:
        return self.weeks, self.takes, self.limits, self.tallies, self.copies


def weeks_asked(student: Student, today: date) -> WeeksAsked:
    return WeeksAsked(
        _sent_asked(student, today),
        access.taken_asked(student),
        limits_asked(student),
        Question(_by_part, Rows(_tallies, student=student.pk, opens=_around(student, today))),
        copies_asked(student),
    )


def sent_weeks(student: Student, today: date) -> list[SentWeek]:
    """Last week, this week, and the next if it is out already, with their parts."""
    return _sent_asked(student, today).answer


def _around(student: Student, today: date) -> list[date]:
    this = week_start(today, student.studio.first_weekday)
    return [this + timedelta(days=7 * n) for n in (-1, 0, 1)]


def _sent_asked(student: Student, today: date) -> Question[list[SentWeek]]:
    return Question(
        lambda rows: [SentWeek(week, list(standing_parts(week))) for week in weeks_from(rows)],
        Rows(_sent, student=student.pk, opens=_around(student, today)),
    )


_sent = Prepared(
    lambda student, opens: rows_with_parts(
        Week.objects.filter(student=student, state=Week.State.SENT, opens__in=[opens])
    ),
    student=UUIDField,
    opens=DateField,
)
_tallies = Prepared(
    lambda student, opens: WeekTally.objects.filter(student=student, opens__in=[opens]).values_list(
        "opens", "parts"
    ),
    student=UUIDField,
    opens=DateField,
)


def _by_part(
    rows: Iterable[tuple[date, list[dict[str, Any]]]],
) -> dict[date, dict[str, dict[str, Any]]]:
    return {day: {part["part"]: part for part in parts} for day, parts in rows}


def given_weeks(
    student: Student, today: date, takes: access.Taken, read: list[SentWeek] | None = None
) -> list[SentWeek]:
    """The same for whoever practises by them: from now on nobody takes them back unseen. One
    query more where one is new, and nothing is noted of whom nothing more is kept. `read` as
    they were asked for with others."""
    weeks = sent_weeks(student, today) if read is None else read
    if not takes.words:
        return weeks
    while not note_given(each.week for each in weeks):
        weeks = sent_weeks(student, today)
    return weeks


def facts_of(
    student: Student, today: date, weeks: list[SentWeek], asked: WeeksAsked
) -> BundleFacts:
    drills = {part.drill_id for week in weeks for part in week.parts}
    limits = asked.limits.answer
    cautions, read = _cautions(student, drills)
    return BundleFacts(
        student=student,
        today=today,
        tallies=asked.tallies.answer,
        limits=limits,
        offered=_offered(limits, weeks),
        cautions=cautions,
        read=read,
        to_copy=asked.copies.answer,
    )


def _with_sentences(
    facts: BundleFacts, weeks: list[SentWeek], beside: beside_parts.BesideAsked
) -> BundleFacts:
    drills = {part.drill_id for week in weeks for part in week.parts}
    return replace(
        facts,
        why=beside_parts.said(beside.why, drills),
        holds=beside_parts.said(beside.holds, drills),
        tests=beside_parts.said(beside.tests, drills),
    )


def _offered(limits: Limits, weeks: list[SentWeek]) -> frozenset[tuple[UUID, str]]:
    """Swaps that the student may do, by part. No query without a limit."""
    swaps = {str(drill) for week in weeks for part in week.parts for drill in part.swaps}
    by_week = [(limits.in_week(week.opens), week.parts) for week in weeks]
    is_limited = limits.stops or limits.rests or any(each.ceiling for each, _ in by_week)
    if not (swaps and is_limited):
        return frozenset((p.pk, str(d)) for _, parts in by_week for p in parts for d in p.swaps)
    rows = Drill.objects.filter(pk__in=swaps).values_list("pk", "current__dose", "current__area")
    works = {str(pk): Work(pk, dose_of(dose or ""), area or "") for pk, dose, area in rows}
    return frozenset(pair for limits, parts in by_week for pair in _free(limits, parts, works))


def _free(
    limits: Limits, parts: list[Part], works: Mapping[str, Work]
) -> Iterator[tuple[UUID, str]]:
    """Of one week."""
    specs = {part.pk: spec_of(part) for part in parts}
    areas = {part.drill_id: part.revision.area for part in parts}
    week = list(specs.values())
    for part in parts:
        for drill in map(str, part.swaps):
            work = works.get(drill)
            if work and limits.may_stand_in(work, specs[part.pk], week, areas):
                yield part.pk, drill


def _cautions(student: Student, drills: set[Any]) -> tuple[dict[Any, list[Caution]], set[Any]]:
    """The latest version of each drill's caution, unless it was withdrawn, and which of them
    the student has read. One query."""
    mine = CautionRead.objects.filter(student=student, caution=OuterRef("pk"))
    versions = Caution.objects.filter(drill__in=drills).annotate(is_read=Exists(mine))
    latest = {caution.drill_id: caution for caution in versions.order_by("version")}
    standing = [caution for caution in latest.values() if caution.withdrawn_at is None]
    return (
        {caution.drill_id: [caution] for caution in standing},
        {caution.pk for caution in standing if caution.is_read},
    )


def week_row(week: SentWeek, facts: BundleFacts) -> dict[str, Any]:
    return {
        "opens": week.opens.isoformat(),
        "closes": (week.opens + timedelta(days=6)).isoformat(),
        "published": week.week.published_on.isoformat() if week.week.published_on else None,
        "revision": week.week.revision,
        "note": week.week.note,
        "parts": [part_row(part, week, facts) for part in week.parts],
    }


def part_row(part: Part, week: SentWeek, facts: BundleFacts) -> dict[str, Any]:
    wording, dose = part.revision, dose_of(part.dose)
    tally = facts.tallies.get(week.opens, {}).get(str(part.pk), {})
    done = tally.get("sessions_done") or 0
    seated = facts.student.plays_seated and wording.setup_seated
    return {
        "id": str(part.pk),
        "name": wording.name,
        "priority": part.priority,
        "drill": str(part.drill_id),
        "dose": part.dose,
        "steps": step_rows(dose) if dose else [],
        "rounds": dose.rounds if dose else 1,
        "test": part.drill.is_test,
        "why": facts.why.get(part.drill_id, ""),
        "purpose": wording.purpose,
        "holds": facts.holds.get(part.drill_id, ""),
        "moved": facts.tests.get(part.drill_id, ""),
        "sessions": part.sessions,
        "days": [_date(week, n) for n in part.days],
        "at": {_date(week, n): place_words(place) for n, place in part.places.items()},
        "minutes": part.minutes,
        "spr": wording.seconds_per_rep,
        "cue": part.cue or wording.cue,
        "note": part.note,
        "setup": wording.setup_seated if seated else wording.setup,
        "clean": wording.clean_means,
        "log": wording.to_log,
        "short": _short(part, facts),
        "stop": wording.has_stop_rule,
        "total": part.by_total,
        # What `left` is made of; a phone of an older release reads the two below.
        "asked": tally.get("asked_sessions", part.sessions),
        "done": done,
        "left": tally.get("sessions_left", part.sessions),
        "sessionsDone": round(done, 2),
        "cautions": [str(caution.pk) for caution in facts.cautions.get(part.drill_id, [])],
        "stopped": _stopped(part, dose, facts),
        "swaps": [str(drill) for drill in part.swaps if (part.pk, str(drill)) in facts.offered],
        "measures": wording.measures,
        "targets": _targets(wording),
        "rest": wording.rest_seconds,
        "clip": _clip_row(facts.to_copy.get(part.drill_id)),
    }


def _date(week: SentWeek, offset: int | str) -> str:
    return (week.opens + timedelta(days=int(offset))).isoformat()


def _clip_row(clip: Clip | None) -> dict[str, Any] | None:
    """Where the one to copy is; who may not see it gets nothing at its address."""
    if clip is None:
        return None
    return {
        "page": reverse("clips:watch", args=[clip.pk]),
        "at": reverse("clips:file", args=[clip.pk]),
        "still": reverse("clips:still", args=[clip.pk]) if clip.still else "",
        "picture": clip.is_picture,
        "length": length_of(clip),
        "words": clip.words,
    }


def _targets(wording: DrillRevision) -> list[float]:
    """Metres in their order; none if an older release left a text that cannot be read."""
    said = wording.target_order, wording.target_tries, wording.target_seed
    try:
        return list(in_order(wording.targets, *said))
    except Refused:
        return []


def step_rows(dose: Dose) -> list[dict[str, Any]]:
    """One row per step; `n` is the whole session's, all sets and rounds, `each` one set's."""
    return [
        {
            "n": step.total * dose.rounds,
            "sets": step.sets,
            "each": step.amount,
            "u": str(step.unit),
            "e": step.effort,
            "back": step.is_return,
            "label": str(step),
        }
        for step in dose.steps
    ]


def _short(part: Part, facts: BundleFacts) -> dict[str, Any] | None:
    """The short form as steps, with the minutes it takes; None if the drill has none, or if
    the student may not do it now."""
    wording = part.revision
    dose = dose_of(wording.short_form) if wording.short_form else None
    if dose is None or facts.limits.stop_of(Work(part.drill_id, dose, wording.area)):
        return None
    whole = dose_of(part.dose)
    # As long as the coach's minutes of the whole make it, whatever its reps alone would take.
    pace = part.minutes / whole.minutes(wording.seconds_per_rep) if whole else 1
    return {
        "steps": step_rows(dose),
        "minutes": round(dose.minutes(wording.seconds_per_rep) * pace, 1),
    }


def _stopped(part: Part, dose: Dose | None, facts: BundleFacts) -> str | None:
    if facts.limits.stop_of(Work(part.drill_id, dose, part.revision.area)) is None:
        return None
    return stopped_words(facts.student.lead_coach.get_short_name())


def caution_rows(facts: BundleFacts) -> dict[str, dict[str, Any]]:
    return {
        str(caution.pk): {"text": str(caution), "read": caution.pk in facts.read}
        for cautions in facts.cautions.values()
        for caution in cautions
    }


def _drill_names(student: Student, weeks: list[SentWeek]) -> dict[str, str]:
    """Drills offered instead first, then the rest of the shelf."""
    swaps = {str(drill) for week in weeks for part in week.parts for drill in part.swaps}
    shelf = Drill.objects.filter(studio=student.studio_id).filter(
        Q(archived_at=None, is_test=False) | Q(pk__in=swaps)
    )
    rows = shelf.values_list("pk", "current__name").order_by("current__name")[:1000]
    ordered = sorted(rows, key=lambda row: str(row[0]) not in swaps)
    return {str(pk): name or "" for pk, name in ordered[:MOST_DRILLS]}


def _older_names(
    student: Student, documents: list[dict[str, Any]], weeks: list[SentWeek]
) -> dict[str, str]:
    """Names of the parts that these documents tell of and that no week here has any more."""
    here = {str(part.pk) for week in weeks for part in week.parts}
    told = {block.get("p") for document in documents for block in document.get("b") or ()}
    older = told - here - {None}
    if not older:
        return {}
    rows = Part.objects.filter(week__student=student, pk__in=older).values_list(
        "pk", "revision__name"
    )
    return {str(pk): name for pk, name in rows}


def _asked(student: Student, since: date) -> tuple[Question[Any], ...]:
    """Entries, days away, lines, clubs, and the setting of the last sitting."""
    arrived = day_starts_at(since - timedelta(days=1), student.time_zone)
    own = {"student": student.pk}
    return (
        Question(_entries, Rows(_recent, **own, since=since, arrived=arrived)),
        Rows(_excused, **own, since=since),
        Rows(_newest_lines, **own),
        shots.clubs_asked(student),
        shots.setting_asked(student),
    )


_excused = Prepared(
    lambda student, since: (
        Excusal.objects.filter(student=student, withdrawn_at=None, last__gte=since)
        .order_by("first")
        .values_list("first", "last")[:50]
    ),
    student=UUIDField,
    since=DateField,
)
_newest_lines = Prepared(
    lambda student: (
        Line.objects.filter(student=student)
        .select_related("author", "about")
        .order_by("-at")[:MOST_LINES]
    ),
    student=UUIDField,
)


def _lines(lines: Iterable[Line]) -> list[dict[str, Any]]:
    """The newest lines; `about` is the first entry of the session that one answers."""
    return [
        {
            "id": str(line.pk),
            "by": str(line.author),
            "text": line.text,
            "at": line.at.isoformat(),
            "about": str(line.about.root) if line.about else None,
            "new": line.seen_at is None,
        }
        for line in lines
    ]


RECENT = ("id", "day", "counts", "document")
# Every entry the phone could still compare: its day or its arrival is recent enough.
_recent = Prepared(
    lambda student, since, arrived: (
        Entry.objects.filter(
            Q(day__gte=since) | Q(received_at__gte=arrived),
            student=student,
        )
        .order_by("-received_at")
        .values_list(*RECENT)[:MOST_IDS]
    ),
    student=UUIDField,
    since=DateField,
    arrived=DateTimeField,
)


def _entries(rows: Iterable[tuple[Any, ...]]) -> list[dict[str, Any]]:
    return [dict(zip(RECENT, row, strict=True)) for row in rows]


def _documents(entries: list[dict[str, Any]], today: date) -> list[dict[str, Any]]:
    first = today - timedelta(days=DAYS_OF_DOCUMENTS)
    recent = [row["document"] for row in entries if row["counts"] and row["day"] >= first]
    return recent[:MOST_DOCUMENTS]
