"""Clips, pictures and voice notes: of whom, by whom, to which drill or entry, and until when."""

import uuid
from datetime import date, timedelta

from django.core.files.storage import Storage, storages
from django.db import models
from django.utils import timezone

from practice.drills.models import Drill
from practice.log.models import Entry
from shared.people.models import Base, Student, User

KEPT_FOR = timedelta(days=365)
KEPT_FOR_MINORS = timedelta(days=180)
SUFFIXES = {
    "image/jpeg": "jpg",
    "video/mp4": "mp4",
    "video/webm": "webm",
    "audio/mp4": "m4a",
    "audio/webm": "weba",
}


def clip_storage() -> Storage:
    """Local disk by default; any S3-compatible store by setting."""
    return storages["clips"]


def generated_name(clip: "Clip", _given: str) -> str:
    """A name of our own: nothing of what the sender called it reaches the disk."""
    return f"{clip.student_id}/{uuid.uuid4().hex}.{clip.suffix}"


def generated_still(clip: "Clip", _given: str) -> str:
    return f"{clip.student_id}/{uuid.uuid4().hex}.still.jpg"


class Clip(Base):
    """One clip, picture or voice note.

    Its id may be made on the phone, so that sending again adds nothing.
    """

    class Kind(models.TextChoices):
        JPEG = "image/jpeg", "picture"
        MP4 = "video/mp4", "clip"
        WEBM = "video/webm", "clip (WebM)"
        M4A = "audio/mp4", "voice note"
        WEBA = "audio/webm", "voice note (WebM)"

    student = models.ForeignKey(Student, models.CASCADE, related_name="clips", db_index=False)
    author = models.ForeignKey(User, models.PROTECT, related_name="+")
    drill = models.ForeignKey(Drill, models.SET_NULL, related_name="+", null=True, blank=True)
    entry = models.ForeignKey(Entry, models.SET_NULL, related_name="+", null=True, blank=True)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    words = models.CharField(max_length=200, blank=True)
    file = models.FileField(storage=clip_storage, upload_to=generated_name, max_length=120)
    size = models.PositiveIntegerField()
    seconds = models.FloatField(null=True, blank=True)
    digest = models.CharField("SHA-256 of what was sent", max_length=64)
    # A picture's own, made small; of a film what the sender's browser drew. May be none.
    still = models.FileField(
        storage=clip_storage, upload_to=generated_still, max_length=120, blank=True
    )
    made_at = models.DateTimeField(default=timezone.now)
    expires_on = models.DateField()
    # When somebody of the student's side first looked at what another had sent.
    seen_at = models.DateTimeField(null=True, blank=True)
    # The one to copy.
    is_model = models.BooleanField("the one to copy", default=False)
    # Who may see it no longer may; the file goes with the next sweep.
    removed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["student", "made_at"], name="clip_of_student"),
            models.Index(fields=["expires_on"], name="clip_expires"),
        ]

    @property
    def suffix(self) -> str:
        return SUFFIXES[self.kind]

    @property
    def is_sound(self) -> bool:
        return self.kind.startswith("audio/")

    @property
    def is_picture(self) -> bool:
        return self.kind == self.Kind.JPEG


def expiry(student: Student, today: date) -> date:
    return today + (KEPT_FOR_MINORS if student.is_minor else KEPT_FOR)
