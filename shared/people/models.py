"""Who is who: users, studios, students, guardians and invitations."""

import uuid
from datetime import date
from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.functional import cached_property

from shared.people.fields import TimeZoneField

ADULT_AGE = 18


class Base(models.Model):
    """A row with an id that says nothing and cannot be guessed."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)

    class Meta:
        abstract = True


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

    @cached_property
    def roles_by_studio(self) -> "dict[uuid.UUID, set[str]]":
        """The studios in which this user works now, each with the roles there.

        Asked once per object, so once per request: all of a page is decided by one answer.
        """
        roles: dict[uuid.UUID, set[str]] = {}
        for studio_id, role in self.memberships.filter(ended_at=None).values_list("studio", "role"):
            roles.setdefault(studio_id, set()).add(role)
        return roles

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
    def is_minor(self) -> bool:
        return self.age_at_most(ADULT_AGE - 1)

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

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student", "user"], name="one_guardianship_per_student_and_user"
            ),
            models.CheckConstraint(
                condition=Q(consents_to_record=True), name="guardian_consents_to_the_record"
            ),
        ]


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
        COACH = "coach", "coach"
        ASSISTANT = "assistant", "assistant coach"
        HELPER = "helper", "strength coach"

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="invitations")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    # An adult student's place, waiting for its user. Nothing of a child is
    # stored before its guardian has consented, so a guardian's has none.
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
