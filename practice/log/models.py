"""What students logged: immutable entries, their results, and the keys that may add more."""

import uuid

from django.db import models
from django.db.models import Q
from django.utils import timezone

from practice.drills.models import Drill
from practice.weeks.models import Part
from shared.people.access import Recordable
from shared.people.models import Base, Student, User


class LogKey(Base):
    """A device's right to add entries for one student, and to read that student's week.

    Only the SHA-256 of the key is kept. It outlives a sign-in, so that an
    expired session never strands what was logged without signal.
    """

    student = models.ForeignKey(Student, models.CASCADE, related_name="log_keys")
    user = models.ForeignKey(User, models.CASCADE, related_name="log_keys")
    digest = models.CharField(max_length=64, unique=True)
    device = models.CharField(max_length=80, blank=True)
    # The browser it was made in (known_devices): signing out there ends it.
    browser = models.CharField(max_length=32, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    last_used_at = models.DateTimeField(null=True, blank=True)
    expires_at = models.DateTimeField()
    # The guardian who made this device a child's own phone.
    made_by = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True, blank=True)
    # Whether using it moves its end; a reminder link's key ends with its week.
    is_lasting = models.BooleanField(default=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    # The student, once in a request it was asked whether its holder may log now (keys.find_key).
    opened_for: "Recordable | None" = None


class PhoneOffer(Base):
    """A guardian's offer to make a device a child's own phone: taken once, within minutes.

    By a link or by six digits typed on the device; only their hashes are kept.
    """

    student = models.ForeignKey(Student, models.CASCADE, related_name="+")
    made_by = models.ForeignKey(User, models.CASCADE, related_name="+")
    link_digest = models.CharField(max_length=64, unique=True)
    code_digest = models.CharField(max_length=64, db_index=True)
    until = models.DateTimeField(db_index=True)
    taken_at = models.DateTimeField(null=True, blank=True)


class Entry(models.Model):
    """One document from a phone, kept as it came. A change is a new entry.

    `root` is the first entry of a chain of changes; of the chain the latest
    *received* counts (`counts`), and all are kept. A taken-back chain counts
    nothing but stays, so that the phone never sends it again. Words that are no
    practice (a caution understood, days excused) are kept here too, for the same
    reason, and never count.
    """

    class Kind(models.TextChoices):
        LOG = "log", "log"
        CHANGE = "change", "change"
        TAKE_BACK = "back", "taken back"
        READ = "read", "caution understood"
        AWAY = "away", "days excused"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    # The composite indexes below serve every read.
    student = models.ForeignKey(Student, models.CASCADE, related_name="entries", db_index=False)
    writer = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    key = models.ForeignKey(LogKey, models.SET_NULL, related_name="entries", null=True)
    kind = models.CharField(max_length=6, choices=Kind.choices, default=Kind.LOG)
    root = models.UUIDField(db_index=True)
    counts = models.BooleanField(default=True)
    # The student's own practice day, and where that was.
    day = models.DateField()
    at = models.DateTimeField()
    utc_offset_minutes = models.SmallIntegerField(default=0)
    received_at = models.DateTimeField(default=timezone.now)
    from_memory = models.BooleanField("written more than 48 hours after", default=False)
    minutes = models.FloatField(null=True, blank=True)
    felt = models.PositiveSmallIntegerField("how hard it felt, 0 to 10", null=True, blank=True)
    note = models.TextField(max_length=2000, blank=True)
    document = models.JSONField()
    fingerprint = models.CharField(max_length=64)

    class Meta:
        indexes = [
            models.Index(fields=["student", "day", "at"], name="entry_student_day_at"),
            models.Index(fields=["student", "received_at"], name="entry_student_received"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["root"], condition=Q(counts=True), name="one_counting_entry_per_root"
            ),
            models.CheckConstraint(condition=Q(felt=None) | Q(felt__lte=10), name="felt_0_to_10"),
        ]

    def writer_words(self, student: Student) -> str:
        """'written by Ana Coach' of this student's entry; empty where the student wrote it."""
        if self.writer is None or self.writer_id == student.user_id:
            return ""
        from_paper = self.document.get("paper")
        return (
            f"written in by {self.writer}, from paper"
            if from_paper
            else f"written by {self.writer}"
        )


class Result(models.Model):
    """One block of an entry: what was done of one part, or practice nobody asked for."""

    class Filed(models.TextChoices):
        IN_WEEK = "week", "in its week"
        EARLY = "early", "early start"
        MAKE_UP = "makeup", "for last week"
        UNPLANNED = "extra", "not asked for"

    entry = models.ForeignKey(Entry, models.CASCADE, related_name="results")
    student = models.ForeignKey(Student, models.CASCADE, related_name="+", db_index=False)
    position = models.PositiveSmallIntegerField(default=0)
    # The opening day of the week it belongs to, whether it earns credit there or not.
    opens = models.DateField()
    filed = models.CharField(max_length=6, choices=Filed.choices, default=Filed.UNPLANNED)
    part = models.ForeignKey(Part, models.PROTECT, related_name="results", null=True, blank=True)
    drill = models.ForeignKey(Drill, models.PROTECT, related_name="+", null=True, blank=True)
    # For practice without a drill: range, round, group, lesson.
    what = models.CharField(max_length=20, blank=True)
    # Per step of the part's dose, in its order: {"n": 10, "clean": 8, "effort": 50}
    steps = models.JSONField(default=list, blank=True)
    minutes = models.FloatField(null=True, blank=True)
    # By the clock of the practice screen, and what the student said before it was shown.
    timed_minutes = models.FloatField(null=True, blank=True)
    guessed_minutes = models.FloatField(null=True, blank=True)
    balls = models.PositiveIntegerField(default=0)
    hard_swings = models.PositiveIntegerField(default=0)
    as_asked = models.BooleanField(default=False)
    stopped = models.BooleanField("ended by the stop rule", default=False)

    class Meta:
        indexes = [models.Index(fields=["student", "opens"], name="result_student_week")]


class AcceptedSwap(Base):
    """Work that was on no list of swaps, and that a coach lets count for a part afterwards.

    It names the session by the root of its chain and the work by its drill or kind,
    so that a later correction of the counts keeps it.
    """

    student = models.ForeignKey(Student, models.CASCADE, related_name="accepted_swaps")
    root = models.UUIDField()
    # The id of its drill, or one of practice.log.document.WHAT.
    work = models.CharField(max_length=36)
    part = models.ForeignKey(Part, models.CASCADE, related_name="accepted_swaps")
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["root", "work"],
                condition=Q(withdrawn_at=None),
                name="one_accepted_swap_per_work",
            )
        ]


class Line(Base):
    """A few words to a student about their practice. Guardians see every one."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="lines")
    author = models.ForeignKey(User, models.PROTECT, related_name="+")
    text = models.TextField(max_length=600)
    about = models.ForeignKey(Entry, models.SET_NULL, related_name="lines", null=True, blank=True)
    at = models.DateTimeField(default=timezone.now)
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["student", "at"], name="line_of_student")]
