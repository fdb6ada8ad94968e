"""Every kind of record that is kept: whose it is, what leaves with whom, and how it ends.

One list, in an order in which each kind refers only to those before it. It drives the file
of a studio that moves (coaching.transfer), the copy that a person takes along (`copy`),
erasure (`erase`) and what is kept for how long (`retention`). A model in no line is a test
that fails.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from decimal import Decimal
from enum import Enum
from typing import Any
from uuid import UUID

from allauth.account.models import EmailAddress, EmailConfirmation
from allauth.mfa.models import Authenticator
from django.contrib.auth.models import Group as AuthGroup
from django.contrib.auth.models import Permission
from django.contrib.contenttypes.models import ContentType
from django.contrib.sessions.models import Session
from django.db.models import AutoField, BigAutoField, Field, Model, Q, QuerySet

from coaching.board.models import KeptLine
from coaching.bring.models import Batch, Listed, Remembered
from coaching.forecast.models import BoardLook, StudioRhythm, StudioThresholds, Tried
from coaching.groups.models import Attended, Group, GroupSession
from coaching.intake.models import Intake
from coaching.lessons.models import CarryKept, Finding, Lesson, LessonClip
from coaching.messages.models import KeptWords, NoteSeen
from coaching.records.models import Erased, Erasure
from coaching.reminders.models import (
    EveningRule,
    Heard,
    Notice,
    ReminderRule,
    Silence,
    SummaryRule,
    Told,
)
from coaching.reports.models import Report
from coaching.season.models import (
    AreaRamp,
    Event,
    GateNow,
    GymDay,
    Phase,
    PracticeDay,
    Priority,
    SeasonPlan,
    SeasonTemplate,
)
from coaching.timetable.models import (
    Feed,
    Followed,
    FollowedEvent,
    Holiday,
    Occurrence,
    ReadIn,
    Series,
)
from coaching.track_record.models import WordKept
from practice.care.models import CautionRead, EarlierHurt, PainLook, PainNote, Screening, Stop
from practice.clips.models import Clip
from practice.coach_counts.models import CheckedCount
from practice.compliance.models import WeekTally
from practice.drills.models import Caution, Drill, DrillRevision
from practice.importing.models import Brought, BroughtClub, KeptColumns, Piece, RefusedRow, ShotFile
from practice.log.models import AcceptedSwap, Entry, Line, LogKey, PhoneOffer, Result
from practice.numbers.now.models import NumbersNow
from practice.phone.models import PushDevice
from practice.shots.models import Club, Shot, Sitting, SpeedBlock, StudioDays
from practice.strength.models import Lift, StrengthConsent, StrengthConsentChange
from practice.tryouts.models import TryOut
from practice.weeks.models import Excusal, Part, Week, WeekTemplate
from shared.jobs.models import Retry, Sweep
from shared.people.models import (
    AccountMail,
    CareNeed,
    ConsentChange,
    Ended,
    Guardianship,
    Invitation,
    MailedCode,
    Membership,
    Proved,
    SecurityEvent,
    Student,
    StudentWas,
    Studio,
    Undelivered,
    User,
    UserSession,
)


class Whose(Enum):
    """Whose a record is. A student's goes with the student, and a user's with the user."""

    STUDENT = "a student's"
    USER = "a user's"
    STUDIO = "a studio's"
    HOUSE = "nobody's"


@dataclass(frozen=True, slots=True)
class RecordKind:
    """One kind of record.

    `path` leads from a row to whose it is; `by` orders rows that have no id of their own;
    `secret` are fields that never leave. `stays` says why it does not move with a studio, and
    `not_copied` why it is not in a person's copy; `hidden` are fields that are not in it, and
    `also` what of other rows it takes to read it. `is_counted`: the row is kept as a number
    without the person. `kept` names the rule of `retention` by which it ends before its owner.
    """

    name: str
    model: type[Model]
    whose: Whose
    path: str
    by: tuple[str, ...] = ("pk",)
    secret: frozenset[str] = frozenset()
    hidden: frozenset[str] = frozenset()
    also: tuple[str, ...] = ()
    stays: str = ""
    not_copied: str = ""
    is_counted: bool = False
    kept: str = ""

    @property
    def label(self) -> str:
        return self.model._meta.label  # noqa: SLF001 (documented)

    @property
    def fields(self) -> "tuple[Field[Any, Any], ...]":
        """Concrete fields that may leave, ids that the database made up left out."""
        return tuple(
            field
            for field in self.model._meta.concrete_fields  # noqa: SLF001 (documented)
            if not isinstance(field, AutoField | BigAutoField) and field.attname not in self.secret
        )

    @property
    def to_studio(self) -> str:
        """The lookup from a row to its studio; empty for users, who may have several."""
        if self.model is Student:
            return "studio"
        if self.whose is Whose.STUDENT:
            return f"{self.path}__studio"
        return self.path if self.whose is Whose.STUDIO else ""

    def all(self) -> QuerySet[Any]:
        return self.model._default_manager.all()  # noqa: SLF001 (documented)

    def of(self, owner: UUID | str) -> QuerySet[Any]:
        """Rows of one student, user or studio, by its id."""
        return self.all().filter(**{self.path: owner}).order_by(*self.by)

    def of_user(self, user: User) -> QuerySet[Any]:
        """The same of a user, whom some rows name by the address."""
        return self.of(user.email if self.path in {"address", "email"} else user.pk)

    def of_studio(self, studio: UUID) -> QuerySet[Any]:
        """Rows that move with a studio."""
        if self.whose is not Whose.USER:
            return self.all().filter(**{self.to_studio: studio}).order_by(*self.by)
        people = User.objects.filter(_people_of(studio))
        return self.all().filter(**{f"{self.path}__in": people.values("pk")}).order_by(*self.by)


def _people_of(studio: UUID) -> Q:
    """Whoever works or worked in the studio, practises in it, or answers for a child in it."""
    return (
        Q(memberships__studio=studio)
        | Q(student_places__studio=studio)
        | Q(leads__studio=studio)
        | Q(guardianships__student__studio=studio)
    )


SWAPS = Drill.swaps.through
IN_THE_GYM = Student.strength_coaches.through
IN_GROUP = Group.students.through
DRILLS_OF_SCREENING = Screening.drills.through
DRILLS_OF_FINDING = Finding.drills.through

HERE = "this installation's own"
ANEW = "made anew from what was logged"
A_FILE = "clips are files, which a studio's lines do not hold"
ON_ITS_WAY = "of a file on its way in; the shots that came of it move"
STATE = frozenset({"claim", "lease_until", "message_id", "next_try_at", "copies", "tries"})


def _studios(name: str, model: Any, path: str = "studio", **more: Any) -> RecordKind:
    return RecordKind(name, model, Whose.STUDIO, path, **more)


def _students(name: str, model: Any, path: str = "student", **more: Any) -> RecordKind:
    return RecordKind(name, model, Whose.STUDENT, path, **more)


def _users(name: str, model: Any, path: str = "user", **more: Any) -> RecordKind:
    return RecordKind(name, model, Whose.USER, path, **more)


def _houses(name: str, model: Any, **more: Any) -> RecordKind:
    return RecordKind(name, model, Whose.HOUSE, "", **({"stays": HERE} | more))


KINDS = (
    _houses("content_type", ContentType),
    _houses("permission", Permission),
    _houses("auth_group", AuthGroup),
    _houses("auth_group_permission", AuthGroup.permissions.through),
    _houses("django_session", Session, stays="never used: sessions are ours"),
    # Whether passkeys are asked for is this installation's; the next owner says it again.
    _studios("studio", Studio, "pk", secret=frozenset({"passkeys_since"})),
    _studios("lines_of_studio", StudioThresholds, by=("studio",)),
    _users(
        "user", User, "pk", secret=frozenset({"password", "last_login", "is_superuser"}),
        kept="people without a place",
    ),
    _users("user_group", User.groups.through, stays=HERE, not_copied="never used"),
    _users("user_permission", User.user_permissions.through, stays=HERE, not_copied="never used"),
    _users("address", EmailAddress, stays=HERE),
    _users("address_code", EmailConfirmation, "email_address__user", stays=HERE,
           not_copied="never used"),
    _users("passkey", Authenticator, stays="opens this installation and no other",
           secret=frozenset({"data"})),
    _users("session", UserSession, stays="a sign-in to this installation", kept="sign-ins",
           secret=frozenset({"session_key", "session_data"})),
    _studios("membership", Membership),
    _students("student", Student, "pk", kept="students who left"),
    _students("student_shared", IN_THE_GYM, by=("student", "user")),
    _students("student_was", StudentWas, by=("student", "until", "pk")),
    _students("guardianship", Guardianship),
    _students("consent_change", ConsentChange, "guardianship__student",
              by=("guardianship", "at", "pk")),
    # Of an adult by their place. Of a guardian, who has none yet, by the address.
    _students("invitation", Invitation, secret=frozenset({"nonce"}), kept="invitations",
              stays="a link that was signed with this installation's key"),
    _users("account_mail", AccountMail, "address", stays="on its way from this installation",
           secret=frozenset({"sealed"}), hidden=STATE, kept="mails to sign in"),
    _users("undelivered", Undelivered, "address", stays="what became of mails from here",
           kept="addresses out of reach"),
    _users("mailed_code", MailedCode, "email", kept="codes",
           stays="a code that this installation mailed a moment ago",
           not_copied="a code that holds for some minutes"),
    _houses("security_event", SecurityEvent, kept="security events"),
    _houses("proved", Proved),
    _houses("sweep", Sweep),
    _houses("retry", Retry),
    _houses("heard", Heard, stays="of whom something was written since the last minute"),
    _studios("drill", Drill),
    _studios("drill_revision", DrillRevision, "drill__studio", by=("drill", "number", "pk")),
    _studios("drill_swap", SWAPS, "from_drill__studio", by=("from_drill", "to_drill")),
    _studios("caution", Caution, "drill__studio"),
    _studios("week_template", WeekTemplate),
    _studios("season_template", SeasonTemplate),
    _students("week", Week, hidden=frozenset({"typed", "given_revision"})),
    _students("part", Part, "week__student"),
    _students("excusal", Excusal),
    _students("log_key", LogKey, stays="a phone's key opens this installation and no other",
              secret=frozenset({"digest", "browser"}), kept="phones"),
    _students("push_device", PushDevice, "key__student", kept="phones",
              stays="a browser that this installation nudges",
              secret=frozenset({"endpoint", "p256dh", "auth"})),
    _students("phone_offer", PhoneOffer, stays="an offer that holds for some minutes",
              not_copied="an offer that holds for some minutes", kept="codes"),
    # A phone's key stays behind.
    _students("entry", Entry, secret=frozenset({"key_id"})),
    _students("result", Result, by=("entry", "position", "pk")),
    _students("accepted_swap", AcceptedSwap),
    _students("line", Line),
    _students("pain_note", PainNote, kept="words about pain"),
    _students("pain_look", PainLook, stays="who read of pain on this installation",
              kept="who read of pain"),
    _students("care_need", CareNeed, stays="who read of pain on this installation",
              kept="who needed to read of pain"),
    _students("earlier_hurt", EarlierHurt, by=("student",), kept="what hurt before"),
    _students("screening", Screening, by=("student", "day", "pk")),
    _students("screening_drill", DRILLS_OF_SCREENING, "screening__student",
              by=("screening", "drill")),
    _students("stop", Stop),
    _students("caution_read", CautionRead, by=("student", "caution", "pk")),
    _students("tally", WeekTally, stays=ANEW, hidden=frozenset({"so_far", "heard"})),
    _students("club", Club),
    _students("sitting", Sitting),
    _students("shot", Shot, by=("sitting", "number")),
    _students("speed_block", SpeedBlock, by=("student",)),
    _students("numbers_now", NumbersNow, stays=ANEW),
    _studios("studio_days", StudioDays, by=("studio", "made_at", "pk"), stays=ANEW),
    _students("shot_file", ShotFile, stays=ON_ITS_WAY,
              hidden=frozenset({"claim", "lease_until", "tries"})),
    _students("file_piece", Piece, "file__student", stays=ON_ITS_WAY,
              not_copied="the file itself, which goes once it was read"),
    _students("refused_row", RefusedRow, "file__student", by=("file", "number"),
              stays=ON_ITS_WAY, kept="refused rows"),
    _students("file_brought", Brought, "file__student", stays=ON_ITS_WAY,
              not_copied="says only which file brought which shots"),
    _students("file_brought_club", BroughtClub, "file__student", stays=ON_ITS_WAY,
              not_copied="says only which file named which club first"),
    _studios("kept_columns", KeptColumns, stays=ON_ITS_WAY),
    _students("checked_count", CheckedCount),
    _students("try_out", TryOut, by=("student", "drawn_at", "pk")),
    _students("clip", Clip, stays=A_FILE, kept="clips"),
    _students("lesson", Lesson, hidden=frozenset({"private"})),
    _students("finding", Finding, "lesson__student", by=("lesson", "pk")),
    _students("finding_drill", DRILLS_OF_FINDING, "finding__lesson__student",
              by=("finding", "drill")),
    _students("lesson_clip", LessonClip, "lesson__student", stays=A_FILE),
    _students("carry_kept", CarryKept, "lesson__student", by=("lesson", "drill"),
              hidden=frozenset({"why"})),
    _students("season_plan", SeasonPlan),
    _students("phase", Phase, "plan__student", by=("plan", "first", "pk")),
    _students("season_priority", Priority, "plan__student", by=("plan", "place", "pk")),
    _studios("read_in", ReadIn, stays="a calendar that was read in here"),
    _students("series", Series, secret=frozenset({"read_in_id"})),
    _students("series_day", Occurrence, "series__student", by=("series", "day")),
    _studios("holiday", Holiday),
    _students("feed", Feed, secret=frozenset({"digest"}), stays="a link into this installation"),
    _users("followed", Followed, "by", secret=frozenset({"address", "etag", "modified"}),
           stays="a calendar that is read from here"),
    _students("followed_event", FollowedEvent, stays="a calendar that is read from here"),
    _studios("batch", Batch, stays="a list that was brought here"),
    _students("listed", Listed, stays="a list that was brought here",
              by=("batch", "pk"), not_copied="says only with whom somebody was entered"),
    _students("remembered", Remembered, by=("student", "day", "pk"),
              secret=frozenset({"batch_id"})),
    _students("intake", Intake, by=("student",)),
    _students("event", Event, by=("student", "first", "pk")),
    _students("ramp", AreaRamp, "plan__student", by=("plan", "area", "opens", "pk")),
    _students("gym_day", GymDay, by=("student", "day", "pk")),
    _students("practice_day", PracticeDay, by=("student", "weekday", "pk")),
    _students("kept_line", KeptLine, by=("student",), stays=ANEW),
    _students("gate_now", GateNow, stays="made anew from what was counted"),
    _studios("group", Group),
    _students("in_group", IN_GROUP, by=("group", "student")),
    _studios("group_session", GroupSession, "group__studio"),
    _students("attended", Attended, by=("session", "student"), also=("session__day",)),
    # What coaches note for each other about calls is theirs.
    _students("tried", Tried, hidden=frozenset({"note"})),
    _students("word_kept", WordKept, is_counted=True),
    _studios("rhythm", StudioRhythm, by=("studio", "opens", "pk")),
    _users("board_look", BoardLook, stays="when each coach last looked, on this installation"),
    _students("note_seen", NoteSeen, by=("student", "root", "by", "pk")),
    _students("kept_words", KeptWords),
    _students("report", Report),
    _students("strength_consent", StrengthConsent),
    _students("strength_consent_change", StrengthConsentChange, "consent__student",
              by=("consent", "at", "pk")),
    _students("lift", Lift),
    _students("reminder_rule", ReminderRule, by=("student",)),
    _users("summary_rule", SummaryRule, by=("user",)),
    _users("evening_rule", EveningRule, by=("user",)),
    _students("silence", Silence, by=("student", "user", "pk")),
    _students("notice", Notice, stays="what was sent, and what is on its way from here",
              hidden=STATE | {"key"}, kept="reminders sent"),
    _students("told", Told, path="notice__student", by=("notice", "item"),
              stays="goes with the notice", kept="reminders sent"),
    _students("erasure", Erasure, stays="asked for here, and done here"),
    # The ledger: digests of ids that are gone.
    _houses("erased", Erased),
    _houses("ended", Ended, kept="what was ended"),
)  # fmt: skip
BY_NAME = {kind.name: kind for kind in KINDS}


def _of(whose: Whose) -> tuple[RecordKind, ...]:
    return tuple(kind for kind in KINDS if kind.whose is whose)


OF_STUDENT, OF_USER = _of(Whose.STUDENT), _of(Whose.USER)
MOVING = tuple(kind for kind in KINDS if not kind.stays)


def not_listed(models: Iterable[type[Model]]) -> list[str]:
    """Which of these are in no line of the list."""
    listed = {kind.model for kind in KINDS}
    return sorted(model._meta.label for model in models if model not in listed)  # noqa: SLF001 (documented)


def plain(value: object) -> str:
    """What JSON has no form for."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, UUID | Decimal):
        return str(value)
    raise TypeError(f"No form for {type(value).__name__} in a studio's file.")
