"""What the next coach must know of a student, on one page for screen and print."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q

from coaching.board.calls import tried_for
from coaching.lessons.cues import CurrentCue, restless_words
from coaching.lessons.current_cues import CueLine, cue_line, cues_of
from coaching.lessons.models import Lesson
from coaching.lessons.taken import otherwise
from coaching.season.limits_pages import LimitsShown, limits_passed_on
from coaching.season.read import stands_now
from practice.care.limits import Limits
from practice.care.work import Work
from practice.compliance.limits import limits_of
from practice.compliance.parts import dose_of
from practice.drills.text import typed_in_short
from practice.weeks.models import Week
from practice.weeks.queries import standing_parts, week_of
from shared.kit.text import date_words, day_words, many
from shared.kit.weeks import practice_day, week_start
from shared.people import access
from shared.people.models import Student, User
from shared.people.today import calendar_day

LESSONS_BACK = timedelta(days=90)
TRIED_WEEKS = 4
LINES = 3


@dataclass(frozen=True, slots=True)
class CoachLine:
    day: str
    by: str
    text: str


@dataclass(frozen=True, slots=True)
class Handover:
    """Strings as the template prints them."""

    facts: list[str]
    goal: str
    cues: list[CueLine]
    restless: list[str]
    limits: LimitsShown
    season: list[str]
    week: str
    parts: list[tuple[str, str]]
    lessons: list[str]
    lines: list[CoachLine]
    tried: list[str]
    # Choices for the week that were not as suggested, with why.
    otherwise: list[str]
    ahead: list[str]


def handover(user: User, student: Student, now: datetime) -> Handover:
    """At most twelve queries, however long the history."""
    # The weeks go by the student's practice day, the words by the day on the coach's wall.
    today, on = practice_day(now, student.time_zone), calendar_day(user, now)
    opens = week_start(today, student.studio.first_weekday)
    cues = cues_of(student, user, today)
    limits = limits_of(student, opens)
    week, parts = _week(student, user, opens, cues, limits)
    lessons = _lessons_read(student, now)
    return Handover(
        facts=_facts(student),
        goal=student.goal,
        cues=[cue_line(cue, on) for cue in cues],
        restless=restless_words(cues),
        # What was told about pain is for those who read Care notes.
        limits=limits_passed_on(student, opens, limits),
        season=_season(student, today),
        week=week,
        parts=parts,
        lessons=_lessons(lessons, user, now),
        lines=_lines(lessons, user),
        tried=tried_for(student, user, opens, TRIED_WEEKS),
        otherwise=otherwise(student, user),
        ahead=_ahead(student, on),
    )


def _facts(student: Student) -> list[str]:
    facts = [student.get_hand_display(), f"lead coach {student.lead_coach}"]
    if student.plays_seated:
        facts.append("plays seated")
    if student.is_minor:
        names = ", ".join(str(guardian) for guardian in access.guardians_of(student)[:4])
        facts.append(f"under 18, guardian {names or 'not known: nothing may be kept'}")
    return facts


def _season(student: Student, today: date) -> list[str]:
    phase, priorities = stands_now(student, today)
    said = [f"{phase.name} until {date_words(phase.last)}"] if phase else []
    for row in priorities:
        stage = f" (stage {row.get_stage_display()})" if row.stage else ""
        said.append(f"{row.place}. {row.name}{stage}")
    return said


def _week(
    student: Student, user: User, opens: date, cues: list[CurrentCue], limits: Limits
) -> tuple[str, list[tuple[str, str]]]:
    """The week that stands, and its parts; of each is told that it is not for now, and of a cue
    of part 1 that it is not the current one."""
    week = week_of(student, opens)
    if week is None or week.state != Week.State.SENT:
        return "No week was sent for these days.", []
    here = {user.pk: user, student.lead_coach_id: student.lead_coach}
    sent = f"{week.opens:%-d %B}, sent by {here.get(week.author_id) or week.author}"
    first = cues[0].cue.strip().casefold() if cues and cues[0].place == 0 else ""
    parts = []
    for part in standing_parts(week):
        words = f"{typed_in_short(part.dose)}; {many(part.sessions, 'visit')}"
        if part.cue:
            words += f", cue “{part.cue}”"
        if part.priority == 1 and part.cue and first and part.cue.strip().casefold() != first:
            words += "; another cue than in the lesson"
        if limits.holds(Work(part.drill_id, dose_of(part.dose), part.revision.area)):
            words += "; not for now"
        parts.append((part.revision.name, words))
    return f"Week of {sent}.", parts


def _lessons_read(student: Student, now: datetime) -> list[Lesson]:
    """Those of ninety days, and the last with a line for the coaches, latest first. One query."""
    mine = Lesson.objects.filter(student=student)
    lines = mine.exclude(private="").order_by("-at").values("pk")[:LINES]
    held = Q(opened_at__range=(now - LESSONS_BACK, now)) | Q(pk__in=lines)
    return list(mine.filter(held).select_related("coach").order_by("-at"))


def _lessons(lessons: Iterable[Lesson], user: User, now: datetime) -> list[str]:
    """Lessons of ninety days by whom, the most first."""
    zone, last, counts = ZoneInfo(user.time_zone), dict[str, datetime](), Counter[str]()
    for row in lessons:
        if row.opened_at is not None and now - LESSONS_BACK <= row.opened_at <= now:
            name = row.coach.name
            counts[name] += 1
            last[name] = max(row.opened_at, last.get(name, row.opened_at))
    return [
        f"{name}: {many(n, 'lesson')}, the last on {date_words(last[name].astimezone(zone).date())}"
        for name, n in counts.most_common()
    ]


def _lines(lessons: Iterable[Lesson], user: User) -> list[CoachLine]:
    """The last lines for the coaches, which no student or guardian reads."""
    zone = ZoneInfo(user.time_zone)
    written = [row for row in lessons if row.private][:LINES]
    return [
        CoachLine(date_words(row.at.astimezone(zone).date()), str(row.coach), row.private)
        for row in written
    ]


def _ahead(student: Student, today: date) -> list[str]:
    said = []
    if student.next_lesson and student.next_lesson >= today:
        said.append(f"Next lesson {day_words(student.next_lesson, today)}")
    if student.next_event and student.next_event >= today:
        name = student.next_event_name or "An event"
        said.append(f"{name} {day_words(student.next_event, today)}")
    return said
