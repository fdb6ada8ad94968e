"""What a studio is made of when it moves: every kind of record, in the order of the file.

The file is JSON Lines in UTF-8. The first line is a heading:

    {"format": "between-lessons studio", "version": 2, "studio": "…", "name": "…"}

Every other line is one record: its kind under "is", then every field under the name that
the model gives it (a reference ends in `_id`). Days and times are ISO 8601, instants in
UTC, decimals are strings. Records that have no id of their own (results, shots …) carry
none. The last line counts the lines before it and has their SHA-256:

    {"end": 1234, "sha256": "…"}

A version is the set of kinds and fields below. Whoever adds a field to one of these models
raises VERSION and says in CAME_WITH what a record from before has in it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import AutoField, BigAutoField, Field, Model, Q, QuerySet

from coaching.groups.models import Attended, Group, GroupSession
from coaching.kept.models import StudioRhythm, WordKept
from coaching.lessons.models import CarryKept, Finding, Lesson
from coaching.reminders.models import ReminderRule, Silence, SummaryRule
from coaching.reports.models import Report
from coaching.season.models import (
    AreaRamp,
    Event,
    GymDay,
    Phase,
    PracticeDay,
    Priority,
    SeasonPlan,
)
from coaching.standing.models import StudioThresholds, Tried
from coaching.words.models import KeptWords, NoteSeen
from practice.care.models import CautionRead, PainNote, Stop
from practice.checked.models import CheckedCount
from practice.drills.models import Caution, Drill, DrillRevision
from practice.log.models import AcceptedSwap, Entry, Line, Result
from practice.shots.models import Club, Shot, Sitting, SpeedBlock
from practice.strength.models import Lift, StrengthConsent, StrengthConsentChange
from practice.weeks.models import Excusal, Part, Week, WeekTemplate
from shared.people.models import (
    ConsentChange,
    Guardianship,
    Membership,
    Student,
    StudentWas,
    Studio,
    User,
)

FORMAT = "between-lessons studio"
VERSION = 2
# Fields by the version they came with: of which kind, and what an older record has in them.
CAME_WITH: dict[int, dict[str, dict[str, Any]]] = {
    2: {
        "part": {"places": {}},
        "finding": {"balls": ""},
        "studio": {"bays_checked_on": None},
    }
}


@dataclass(frozen=True, slots=True)
class Table:
    """One kind of record. `to_studio` leads from a row to its studio; `by` orders rows
    that have no id of their own; `without` are fields that never leave."""

    kind: str
    model: type[Model]
    to_studio: str
    by: tuple[str, ...] = ("pk",)
    without: frozenset[str] = frozenset()

    @property
    def fields(self) -> "tuple[Field[Any, Any], ...]":
        """Concrete fields that are written, ids that the database made up left out."""
        return tuple(
            field
            for field in self.model._meta.concrete_fields  # noqa: SLF001 (documented)
            if not isinstance(field, AutoField | BigAutoField) and field.attname not in self.without
        )

    def rows(self, studio: UUID) -> QuerySet[Any]:
        manager = self.model._default_manager  # noqa: SLF001 (documented)
        if self.model is User:
            return manager.filter(_people_of(studio)).distinct().order_by("pk")
        if self.to_studio == OF_USER:
            people = User.objects.filter(_people_of(studio))
            return manager.filter(user__in=people.values("pk")).order_by(*self.by)
        return manager.filter(**{self.to_studio: studio}).order_by(*self.by)


def _people_of(studio: UUID) -> Q:
    """Whoever works or worked in the studio, practises in it, or answers for a child in it."""
    return (
        Q(memberships__studio=studio)
        | Q(student_places__studio=studio)
        | Q(leads__studio=studio)
        | Q(guardianships__student__studio=studio)
    )


OF_STUDENT = "student__studio"
OF_USER = "user"  # Of everybody who leaves with the studio.
SECRET = frozenset({"password", "last_login", "is_superuser"})
SWAPS = Drill.swaps.through
IN_THE_GYM = Student.strength_coaches.through
IN_GROUP = Group.students.through

TABLES = (
    Table("studio", Studio, "pk"),
    Table("lines_of_studio", StudioThresholds, "studio", ("studio",)),
    Table("user", User, "", without=SECRET),
    Table("membership", Membership, "studio"),
    Table("student", Student, "studio"),
    Table("student_shared", IN_THE_GYM, OF_STUDENT, ("student", "user")),
    Table("student_was", StudentWas, OF_STUDENT, ("student", "until", "pk")),
    Table("guardianship", Guardianship, OF_STUDENT),
    Table(
        "consent_change",
        ConsentChange,
        "guardianship__student__studio",
        ("guardianship", "at", "pk"),
    ),
    Table("drill", Drill, "studio"),
    Table("drill_revision", DrillRevision, "drill__studio", ("drill", "number", "pk")),
    Table("drill_swap", SWAPS, "from_drill__studio", ("from_drill", "to_drill")),
    Table("caution", Caution, "drill__studio"),
    Table("week_template", WeekTemplate, "studio"),
    Table("week", Week, OF_STUDENT),
    Table("part", Part, "week__student__studio"),
    Table("excusal", Excusal, OF_STUDENT),
    # A phone's key stays behind: it opens this installation and no other.
    Table("entry", Entry, OF_STUDENT, without=frozenset({"key_id"})),
    Table("result", Result, OF_STUDENT, ("entry", "position", "pk")),
    Table("accepted_swap", AcceptedSwap, OF_STUDENT),
    Table("line", Line, OF_STUDENT),
    Table("pain_note", PainNote, OF_STUDENT),
    Table("stop", Stop, OF_STUDENT),
    Table("caution_read", CautionRead, OF_STUDENT, ("student", "caution", "pk")),
    Table("club", Club, OF_STUDENT),
    Table("sitting", Sitting, OF_STUDENT),
    Table("shot", Shot, OF_STUDENT, ("sitting", "number")),
    Table("speed_block", SpeedBlock, OF_STUDENT, ("student",)),
    Table("checked_count", CheckedCount, OF_STUDENT),
    Table("lesson", Lesson, OF_STUDENT),
    Table("finding", Finding, "lesson__student__studio", ("lesson", "pk")),
    Table(
        "carry_kept",
        CarryKept,
        "lesson__student__studio",
        ("lesson", "drill"),
    ),
    Table("season_plan", SeasonPlan, OF_STUDENT),
    Table("phase", Phase, "plan__student__studio", ("plan", "first", "pk")),
    Table("season_priority", Priority, "plan__student__studio", ("plan", "place", "pk")),
    Table("event", Event, OF_STUDENT, ("student", "first", "pk")),
    Table("ramp", AreaRamp, "plan__student__studio", ("plan", "area", "opens", "pk")),
    Table("gym_day", GymDay, OF_STUDENT, ("student", "day", "pk")),
    Table("practice_day", PracticeDay, OF_STUDENT, ("student", "weekday", "pk")),
    Table("group", Group, "studio"),
    Table("in_group", IN_GROUP, "group__studio", ("group", "student")),
    Table("group_session", GroupSession, "group__studio"),
    Table("attended", Attended, "session__group__studio", ("session", "student")),
    Table("tried", Tried, OF_STUDENT),
    Table("word_kept", WordKept, OF_STUDENT),
    Table("rhythm", StudioRhythm, "studio", ("studio", "opens", "pk")),
    Table("note_seen", NoteSeen, OF_STUDENT, ("student", "root", "by", "pk")),
    Table("kept_words", KeptWords, OF_STUDENT),
    Table("report", Report, OF_STUDENT),
    Table("strength_consent", StrengthConsent, OF_STUDENT),
    Table(
        "strength_consent_change",
        StrengthConsentChange,
        "consent__student__studio",
        ("consent", "at", "pk"),
    ),
    Table("lift", Lift, OF_STUDENT),
    Table("reminder_rule", ReminderRule, OF_STUDENT, ("student",)),
    Table("summary_rule", SummaryRule, OF_USER, ("user",)),
    Table("silence", Silence, OF_STUDENT, ("student", "user", "pk")),
)
BY_KIND = {table.kind: table for table in TABLES}

# Of a studio, and left behind on purpose.
LEFT_BEHIND = {
    "people.Invitation": "a link that was signed with this installation's key",
    "log.LogKey": "a phone's key opens this installation and no other",
    "compliance.WeekTally": "made anew from what was logged",
    "progress.NumbersNow": "made anew from the shots",
    "season.GateNow": "made anew from what was counted",
    "reminders.Notice": "what was sent, and what is on its way from here",
    "importing.*": "files of shots on their way in; the shots that came of them move",
    "lessons.LessonClip": "names a clip, and clips are files",
    "clips.*": "pictures and films are files; they move with the folder of uploads",
}


def kinds() -> Iterable[str]:
    return BY_KIND
