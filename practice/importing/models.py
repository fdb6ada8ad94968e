"""A file that somebody sent, the rows it could not take, and the columns kept for the next one.

The file itself lies in pieces in the database until it is read, so that any worker on
any machine finds it and none is left over on a disk.
"""

from django.db import models
from django.utils import timezone

from practice.shots.models import Club, Sitting
from shared.people.models import Base, Student, Studio, User


class ShotFile(Base):
    """One file of shots on its way in. The database alone says what is to do with it."""

    class State(models.TextChoices):
        COLUMNS = "columns", "columns to be named"
        WAITING = "waiting", "waiting"
        READING = "reading", "being read"
        DONE = "done", "in"
        FAILED = "failed", "could not be read"
        TAKEN_BACK = "back", "taken back"

    student = models.ForeignKey(Student, models.CASCADE, related_name="shot_files")
    sent_by = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    sent_at = models.DateTimeField(default=timezone.now)
    name = models.CharField(max_length=120)
    size = models.PositiveIntegerField("size in bytes")
    kind = models.JSONField()
    header_row = models.PositiveIntegerField(null=True, blank=True)
    has_units_row = models.BooleanField(default=False)
    header = models.JSONField(default=list)
    plan = models.JSONField(default=dict)
    state = models.CharField(max_length=8, choices=State.choices, default=State.COLUMNS)
    why = models.CharField(max_length=300, blank=True)
    # How far it has come: rows looked at, of how many (None: not known yet).
    rows_done = models.PositiveIntegerField(default=0)
    rows_total = models.PositiveIntegerField(null=True, blank=True)
    shots_new = models.PositiveIntegerField(default=0)
    shots_known = models.PositiveIntegerField(default=0)
    rows_refused = models.PositiveIntegerField(default=0)
    # Times it was taken up without coming any further.
    tries = models.PositiveSmallIntegerField(default=0)
    claim = models.UUIDField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["student", "-sent_at"], name="files_of_student"),
            models.Index(
                fields=["sent_at"],
                name="files_to_read",
                condition=models.Q(state__in=("waiting", "reading")),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Piece(models.Model):
    """Some bytes of a file, in order."""

    file = models.ForeignKey(ShotFile, models.CASCADE, related_name="pieces", db_index=False)
    number = models.PositiveIntegerField()
    content = models.BinaryField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["file", "number"], name="piece_once_per_file")
        ]


class RefusedRow(models.Model):
    """A row that could not be taken, as it was, and why."""

    file = models.ForeignKey(ShotFile, models.CASCADE, related_name="refused", db_index=False)
    number = models.PositiveIntegerField("row in the file")
    reason = models.CharField(max_length=500)
    cells = models.JSONField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["file", "number"], name="refused_row_once_per_file")
        ]


class Brought(models.Model):
    """A sitting that a file brought; it goes when the file is taken back."""

    file = models.ForeignKey(ShotFile, models.CASCADE, related_name="brought", db_index=False)
    key = models.CharField(max_length=64)
    sitting = models.OneToOneField(Sitting, models.CASCADE, related_name="brought_by")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["file", "key"], name="sitting_once_per_file")
        ]


class BroughtClub(models.Model):
    """A club that a file was the first to name; it goes with the file, if nothing else is hit
    with it by then."""

    file = models.ForeignKey(ShotFile, models.CASCADE, related_name="brought_clubs")
    club = models.OneToOneField(Club, models.CASCADE, related_name="brought_by")


class KeptColumns(Base):
    """What the columns of files with this header are, as somebody of the studio named them."""

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="+", db_index=False)
    user = models.ForeignKey(User, models.CASCADE, related_name="+")
    header = models.CharField("fingerprint of the header", max_length=32)
    plan = models.JSONField()
    kept_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "header", "user"], name="columns_once_per_user_and_header"
            )
        ]
