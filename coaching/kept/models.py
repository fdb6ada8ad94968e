"""What the board said on Wednesdays and how it came out, and each studio's rhythm of practice."""

from django.db import models
from django.utils import timezone

from shared.people.models import Base, Student, Studio


class WordKept(Base):
    """What was said of one student-week on its Wednesday, and what came of it.

    `said` and the figures beside it are made from what was known `at` that instant
    and never change; the lower half is filled when the week is over.
    """

    student = models.ForeignKey(Student, models.CASCADE, related_name="words_kept", db_index=False)
    opens = models.DateField()
    at = models.DateTimeField("the instant it speaks of")
    said = models.CharField(max_length=20)
    # Chance that `enough` of the asked minutes are credited; null if nothing is asked.
    chance = models.FloatField(null=True)
    # (k + 1) / (n + 2) by the count of past weeks; null if too few count.
    share = models.FloatField(null=True)
    by_forecast = models.BooleanField("the chance gave the word", default=False)
    enough = models.FloatField(default=0.8)
    noted_at = models.DateTimeField(default=timezone.now)

    credit = models.FloatField(null=True)
    reached = models.BooleanField(null=True)
    closed_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["student", "opens"], name="one_word_per_student_week")
        ]
        indexes = [models.Index(fields=["closed_at", "opens"], name="words_to_close")]


class StudioRhythm(models.Model):
    """How a studio practises, made once a week from the weeks before `opens`.

    `figures` is a standing.rhythm.Rhythm, `record` a standing.deciding.Record.
    """

    studio = models.ForeignKey(Studio, models.CASCADE, related_name="rhythms", db_index=False)
    opens = models.DateField()
    made_at = models.DateTimeField(default=timezone.now)
    figures = models.JSONField()
    record = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["studio", "opens"], name="one_rhythm_per_studio_week")
        ]
