"""Who is who: users, studios, students, guardians and invitations."""

import secrets
import uuid
from datetime import date, datetime
from typing import Any, ClassVar, NamedTuple
from zoneinfo import ZoneInfo

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.contrib.sessions.base_session import AbstractBaseSession
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.functional import cached_property

from shared.outbox.models import LONGEST_WHY, Outgoing, still_open
from shared.people.fields import TimeZoneField
from shared.site.prepared import Prepared

ADULT_AGE = 18
# RFC 2606: a name that no mail can ever be delivered to.
WITHOUT_MAIL = "child.invalid"


PHONE_NUMBER = r"^\+?[0-9][0-9 ()/.\-]{4,22}$"


class Base(models.Model):
    """A row with an id that says nothing and cannot be guessed."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)

    class Meta:
        abstract = True


class WorkNow(NamedTuple):
    """Somebody's work in a studio, and since when that studio asks for passkeys."""

    role: str
    since: datetime
    studio: uuid.UUID
    passkeys_since: datetime | None


# The columns of a Membership that are told by a WorkNow.
WORK = ("role", "since", "studio", "studio__passkeys_since")
_works = Prepared(
    lambda user: Membership.objects.filter(user=user, ended_at=None).values_list(*WORK),
    user=models.UUIDField,
)


class UserManager(BaseUserManager["User"]):
    def create_user(self, email: str, password: str | None = None, **fields: Any) -> "User":
        """A person with an e-mail address; without a password they sign in by code."""
        if not email:
            raise ValueError("A user needs an e-mail address.")
        user = self.model(email=email.strip().lower(), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> "User":
        return self.create_user(email, password, is_superuser=True, **fields)

    def get_by_natural_key(self, username: str | None) -> "User":
        return self.get(email=(username or "").strip().lower())


class User(Base, AbstractBaseUser, PermissionsMixin):
    """Somebody who can sign in. What they may see is decided in access.py."""

    class Distance(models.TextChoices):
        METRES = "m", "metres"
        YARDS = "yd", "yards"

    class Speed(models.TextChoices):
        METRES_A_SECOND = "mps", "metres a second"
        KILOMETRES_AN_HOUR = "kmh", "kilometres an hour"
        MILES_AN_HOUR = "mph", "miles an hour"

    class Mass(models.TextChoices):
        KILOGRAMS = "kg", "kilograms"
        POUNDS = "lb", "pounds"

    email = models.EmailField("e-mail", unique=True)
    name = models.CharField(max_length=80, blank=True)
    time_zone = TimeZoneField()
    language = models.CharField(max_length=8, default="en")
    distance_unit = models.CharField(
        max_length=2, choices=Distance.choices, default=Distance.METRES
    )
    speed_unit = models.CharField(max_length=3, choices=Speed.choices, default=Speed.MILES_AN_HOUR)
    mass_unit = models.CharField(max_length=2, choices=Mass.choices, default=Mass.KILOGRAMS)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = UserManager()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    def __str__(self) -> str:
        return self.name or self.email

    @property
    def has_mail(self) -> bool:
        """Whether mail reaches this user. It does not reach a child who came by a phone."""
        return not self.email.endswith(f"@{WITHOUT_MAIL}")

    @cached_property
    def roles_by_studio(self) -> "dict[uuid.UUID, set[str]]":
        """The studios in which this user works now, each with the roles there.

        Asked once per object, so once per request: all of a page is decided by one answer.
        """
        roles: dict[uuid.UUID, set[str]] = {}
        for work in self._work_now:
            roles.setdefault(work.studio, set()).add(work.role)
        return roles

    def joined_first(self, roles: tuple[str, ...]) -> "uuid.UUID | None":
        """The studio in which this user has worked longest, in one of these roles."""
        mine = [work for work in self._work_now if work.role in roles]
        return min(mine, key=lambda work: work.since).studio if mine else None

    @cached_property
    def _work_now(self) -> "list[WorkNow]":
        return [WorkNow(*row) for row in _works(user=self.pk)]

    def read_with(self, work: "list[WorkNow]") -> "User":
        """The same user, whose work now was read in one statement with the row."""
        self.__dict__["_work_now"] = work
        return self

    @property
    def passkeys_asked(self) -> "list[tuple[datetime, datetime]]":
        """Since when each studio that asks for passkeys does so, and the user works there."""
        asked = [(work.passkeys_since, work.since) for work in self._work_now]
        return [(since, came) for since, came in asked if since]

    @cached_property
    def pain_needs(self) -> "set[uuid.UUID]":
        """The students whose pain notes this user has said to need, and may read for now."""
        now = self.care_needs.filter(until__gt=timezone.now())
        return set(now.values_list("student", flat=True))

    def get_full_name(self) -> str:
        return str(self)

    def get_short_name(self) -> str:
        return self.name.split(" ")[0] or self.email


class Studio(Base):
    """The tenant: everything belongs to exactly one studio."""

    name = models.CharField(max_length=80)
    time_zone = TimeZoneField()
    first_weekday = models.PositiveSmallIntegerField(
        "the week starts on",
        default=0,
        choices=list(
            enumerate(
                ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
            )
        ),
    )
    safeguarding_contact = models.CharField(max_length=160, blank=True)
    reply_time = models.CharField(max_length=80, default="usually within 2 working days")
    # Screen, mat, spacing and ceiling of every bay: the last day somebody looked at them.
    bays_checked_on = models.DateField(null=True, blank=True)
    # Since when everybody who works here needs a passkey; see second_factor.
    passkeys_since = models.DateTimeField(null=True, blank=True, editable=False)
    is_demo = models.BooleanField(default=False, editable=False)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(first_weekday__range=(0, 6)), name="studio_first_weekday_0_to_6"
            )
        ]

    def __str__(self) -> str:
        return self.name


class Membership(Base):
    """A user's work in a studio. Read on every request; ended, never deleted."""

    class Role(models.TextChoices):
        OWNER = "owner", "owner"
        COACH = "coach", "coach"
        ASSISTANT = "assistant", "assistant coach"
        HELPER = "helper", "strength coach"

    studio = models.ForeignKey(Studio, models.PROTECT, related_name="memberships")
    user = models.ForeignKey(User, models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=10, choices=Role.choices)
    since = models.DateTimeField(default=timezone.now, editable=False)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["user", "studio", "role"],
                condition=Q(ended_at=None),
                name="one_current_membership_per_role",
            )
        ]

    def __str__(self) -> str:
        return f"{self.user}, {self.get_role_display()}"


class Student(Base):
    """Somebody who practises. A minor's row exists only with a guardian's consent."""

    class Hand(models.TextChoices):
        RIGHT = "right", "right-handed"
        LEFT = "left", "left-handed"

    studio = models.ForeignKey(Studio, models.PROTECT, related_name="students")
    lead_coach = models.ForeignKey(User, models.PROTECT, related_name="leads", db_index=True)
    user = models.ForeignKey(
        User, models.PROTECT, related_name="student_places", null=True, blank=True
    )
    name = models.CharField(max_length=80)
    # Year only, and only of minors: least data. None means adult.
    born_year = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1900), MaxValueValidator(9999)]
    )
    # Told by the guardian or the child where it is known, and forgotten once the child is of age.
    turns_18_on = models.DateField(null=True, blank=True, editable=False)
    # Of the student, or of whoever is called for a child.
    phone = models.CharField(
        "phone number",
        max_length=24,
        blank=True,
        validators=[
            RegexValidator(
                PHONE_NUMBER,
                "Write the number with digits, such as +44 20 7946 0000.",
            )
        ],
    )
    hand = models.CharField(max_length=5, choices=Hand.choices, default=Hand.RIGHT)
    plays_seated = models.BooleanField(default=False)
    time_zone = TimeZoneField()
    goal = models.CharField("aim, in the student's words", max_length=200, blank=True)
    joined_on = models.DateField(default=date.today)
    left_on = models.DateField(null=True, blank=True)
    next_lesson = models.DateField(null=True, blank=True)
    # Dated facts for the board: [{"on": "2031-03-01", "name": "Spring cup"}]
    next_event = models.DateField(null=True, blank=True)
    next_event_name = models.CharField(max_length=80, blank=True)
    # Of a child until an adult other than who invited the guardian has said that it is so.
    awaits_second_adult = models.BooleanField(default=False, editable=False)
    confirmed_at = models.DateTimeField(null=True, blank=True, editable=False)
    confirmed_by = models.ForeignKey(
        User, models.SET_NULL, related_name="+", null=True, blank=True, editable=False
    )
    # Those of the studio's strength coaches who keep this student's gym strip.
    strength_coaches = models.ManyToManyField(User, related_name="strengthens", blank=True)

    class Meta:
        indexes = [models.Index(fields=["studio", "left_on"], name="student_of_studio")]
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "user"],
                condition=Q(user__isnull=False),
                name="one_place_per_user_and_studio",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def age_at_most(self, years: int, today: date | None = None) -> bool:
        """Whether the student may still be this young; in doubt, the younger."""
        if self.born_year is None:
            return False
        return (today or timezone.now().date()).year - self.born_year <= years + 1

    @property
    def of_age_on(self) -> date | None:
        """The student's first day as an adult; None for who came as one.

        The birthday where it was told, else the first day on which the year leaves no doubt.
        """
        if self.born_year is None:
            return None
        return self.turns_18_on or date(self.born_year + ADULT_AGE + 1, 1, 1)

    @property
    def call_link(self) -> str:
        """The phone number as a link that calls (RFC 3966); empty without one."""
        digits = "".join(sign for sign in self.phone if sign.isdigit() or sign == "+")
        return f"tel:{digits}" if digits else ""

    @property
    def is_minor(self) -> bool:
        """Whether the student is not of age today, on the student's own calendar."""
        today = timezone.now().astimezone(ZoneInfo(self.time_zone)).date()
        return self.of_age_on is not None and today < self.of_age_on

    @property
    def is_under_16(self) -> bool:
        return self.age_at_most(15)


class StudentWas(models.Model):
    """What a student's row said until a moment, of that which the board reads."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="+", db_index=False)
    until = models.DateTimeField()
    time_zone = TimeZoneField()
    next_lesson = models.DateField(null=True)
    next_event = models.DateField(null=True)
    next_event_name = models.CharField(max_length=80, blank=True)

    class Meta:
        indexes = [models.Index(fields=["student", "until"], name="student_was_until")]


class Guardianship(Base):
    """An adult who consents for a child and sees everything written to or by it."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="guardianships")
    user = models.ForeignKey(User, models.PROTECT, related_name="guardianships")
    consent_text_version = models.PositiveSmallIntegerField()
    consents_to_record = models.BooleanField()
    consents_to_messages = models.BooleanField(default=False)
    consents_to_clips = models.BooleanField(default=False)
    consented_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    # The tie itself is over: the guardian left, was taken off, or the child has grown up.
    ended_at = models.DateTimeField(null=True, blank=True)
    # The owner's reason, where the owner took the guardian off.
    ended_why = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student", "user"], name="one_guardianship_per_student_and_user"
            ),
            models.CheckConstraint(
                condition=Q(consents_to_record=True), name="guardian_consents_to_the_record"
            ),
        ]


class CareNeed(models.Model):
    """Why somebody who is not the lead coach reads a student's pain notes, and until when."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="care_needs")
    user = models.ForeignKey(User, models.PROTECT, related_name="care_needs", db_index=False)
    why = models.CharField(max_length=200)
    at = models.DateTimeField(default=timezone.now, editable=False)
    until = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["user", "until"], name="care_need_of_user")]


class ConsentChange(models.Model):
    """One answer of a guardian: what was agreed to, when, in which words. Only ever added."""

    guardianship = models.ForeignKey(Guardianship, models.CASCADE, related_name="changes")
    at = models.DateTimeField(default=timezone.now, editable=False)
    text_version = models.PositiveSmallIntegerField()
    record = models.BooleanField()
    messages = models.BooleanField()
    clips = models.BooleanField()


class Invitation(Base):
    """A link that lets one person in, once. Its token is signed, never stored."""

    class Kind(models.TextChoices):
        STUDENT = "student", "student"
        GUARDIAN = "guardian", "guardian of a student under 18"
        PARENT = "parent", "another guardian of a student under 18"
        COACH = "coach", "coach"
        ASSISTANT = "assistant", "assistant coach"
        HELPER = "helper", "strength coach"

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="invitations")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    # An adult student's place, waiting for its user; or the child of another guardian. Nothing
    # of a child is stored before its guardian has consented, so the first guardian's has none.
    student = models.ForeignKey(
        Student, models.CASCADE, related_name="invitations", null=True, blank=True
    )
    email = models.EmailField(blank=True)
    name = models.CharField(max_length=80, blank=True)
    nonce = models.CharField(max_length=43)
    invited_by = models.ForeignKey(User, models.PROTECT, related_name="invitations_sent")
    invited_at = models.DateTimeField(default=timezone.now, editable=False)
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(
        User, models.PROTECT, related_name="invitations_accepted", null=True, blank=True
    )
    revoked_at = models.DateTimeField(null=True, blank=True)


class MailedCode(Base):
    """A code that went out by mail: a keyed hash of it, and how often it was tried."""

    purpose = models.CharField(max_length=80)
    email = models.EmailField()
    digest = models.CharField(max_length=64)
    until = models.DateTimeField(db_index=True)
    tries = models.PositiveSmallIntegerField(default=0)


class UserSession(AbstractBaseSession):
    """A browser's session, with whose it is; see shared.people.sessions."""

    user = models.ForeignKey(User, models.CASCADE, related_name="sessions", null=True)
    device = models.CharField(max_length=80, blank=True)
    began_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(default=timezone.now)

    @classmethod
    def get_session_store_class(cls) -> type:
        from shared.people.sessions import SessionStore

        return SessionStore


class AccountMail(Outgoing):
    """A mail that lets somebody in: a code, a new password, an invitation.

    What it says is sealed while it waits, and forgotten when it is known what became of it.
    """

    EMPTIED: ClassVar[dict[str, Any]] = {"sealed": ""}

    address = models.EmailField()
    sealed = models.TextField(blank=True)
    invitation = models.ForeignKey(
        Invitation, models.CASCADE, related_name="mails", null=True, blank=True
    )

    class Meta:
        indexes = [
            still_open("account_mail_open"),
            models.Index(fields=["planned_at"], name="account_mail_planned"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(copies__lte=2), name="account_mail_at_most_two_copies"
            )
        ]

    @property
    def sent_to(self) -> str:
        return self.address


class Undelivered(models.Model):
    """An address at which a mail of ours did not arrive: nothing more is sent there for now."""

    address = models.EmailField(unique=True)
    at = models.DateTimeField(default=timezone.now)
    why = models.CharField(max_length=LONGEST_WHY, blank=True)


class Proved(models.Model):
    """That something was seen to work from outside: see `ready`."""

    class What(models.TextChoices):
        PHONE = "phone", "an address, opened from a phone"
        MAIL = "mail", "a mail server, by a test mail that was opened"

    what = models.CharField(max_length=5, choices=What.choices)
    # The address, or the mail server with the sender's name: another one proves nothing.
    of = models.CharField(max_length=400)
    at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["what", "of"], name="proved_once"),
        ]


def _line_name() -> str:
    return secrets.token_hex(32)


class Ended(models.Model):
    """That something ended, or stands again. Only ever added; see `ends`."""

    class What(models.TextChoices):
        RECORD = "record", "consent to the record"
        MESSAGES = "messages", "consent to messages"
        CLIPS = "clips", "consent to clips"
        TIE = "tie", "a guardian's tie"
        TAKEN_OFF = "off", "a guardian whom the owner took off"
        GROWN = "grown", "a childhood: the student answers alone"
        PLACE = "place", "a place: the student left"
        WORK = "work", "somebody's work here"
        PASSKEY = "passkey", "a passkey that was lost"
        REMOVED = "removed", "a passkey that its user took away"
        PASSWORD = "password", "the passwords before this one"
        KEY = "key", "a phone's key"
        CALENDAR = "calendar", "a calendar's link"
        STRENGTH = "strength", "consent to strength"
        INVITED = "invited", "an invitation that was used or taken back"
        KEPT = "kept", "being kept: erasure was asked for"

    # Its file outside is named by it.
    name = models.CharField(max_length=64, unique=True, default=_line_name, editable=False)
    what = models.CharField(max_length=8, choices=What.choices)
    row = models.CharField(max_length=64)
    whose = models.CharField(max_length=64, blank=True)
    stands = models.BooleanField()
    at = models.DateTimeField(default=timezone.now)
    is_outside = models.BooleanField(default=False)

    class Meta:
        indexes = [
            models.Index(fields=["id"], condition=Q(is_outside=False), name="ended_not_outside")
        ]


class SecurityEvent(models.Model):
    """Something that concerns who may come in or see what. Only ever added; see `security`."""

    class Kind(models.TextChoices):
        SIGNED_IN = "signed_in", "signed in"
        SIGN_IN_FAILED = "failed", "sign-in failed"
        SIGNED_OUT = "signed_out", "signed out"
        WAY_IN_CHANGED = "way_in", "way in changed"
        SESSION_ENDED = "session", "session ended"
        KEY_ENDED = "key", "phone ended"
        INVITED = "invited", "invited"
        JOINED = "joined", "joined"
        WORK_ENDED = "work", "work ended"
        STUDIO_CHANGED = "studio", "studio changed"
        CONSENT = "consent", "consent changed"
        COPIED = "copied", "copy taken"
        ERASING = "erasing", "erasure"
        PAIN_NEEDED = "pain", "pain notes opened"

    at = models.DateTimeField(default=timezone.now, editable=False, db_index=True)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    # Ids alone, so that an event outlives whom it names and says nothing of them then.
    by = models.UUIDField(null=True)
    role = models.CharField(max_length=60, blank=True)
    whom = models.UUIDField(null=True)
    studio = models.UUIDField(null=True, db_index=True)
    what = models.CharField(max_length=120, blank=True)
    # The network only (IPv4 /24, IPv6 /48): enough to see a stranger, too little to find a home.
    network = models.CharField(max_length=50, blank=True)
    device = models.CharField(max_length=80, blank=True)
    request = models.CharField(max_length=64, blank=True)

    def save(self, *args: Any, **kwargs: Any) -> None:
        """A row is written once."""
        if not self._state.adding:
            raise TypeError("A security event is never changed.")
        super().save(*args, **kwargs)
