"""What the board said on Wednesdays and how it came out."""

from django.db import models
from django.db.models import Q
from django.utils import timezone

from shared.people.models import Base, Student, Studio


class WordKept(Base):
    """What was said of one student-week on its Wednesday, and what came of it.

    `said` and the figures beside it are made from what was known `at` that instant
    and never change; the lower half is filled when the week is over. Of a student who was
    erased it stays as a number: without the student, under the studio, and `was` tells only
    which weeks were of one person.
    """

    student = models.ForeignKey(
        Student, models.CASCADE, related_name="words_kept", db_index=False, null=True
    )
    studio = models.ForeignKey(Studio, models.CASCADE, related_name="+", null=True)
    was = models.UUIDField(null=True)
    opens = models.DateField()
    at = models.DateTimeField("the instant it speaks of")
    said = models.CharField(max_length=20)
    # Chance that `enough` of the asked minutes are credited; null if nothing is asked.
    chance = models.FloatField(null=True)
    # (k + 1) / (n + 2) by the count of past weeks; null if too few count.
    share = models.FloatField(null=True)
    # The same for `enough`, as the chance is: what the two are compared by.
    share_of_line = models.FloatField(null=True)
    by_forecast = models.BooleanField("the chance gave the word", default=False)
    enough = models.FloatField(default=0.8)
    noted_at = models.DateTimeField(default=timezone.now)

    credit = models.FloatField(null=True)
    reached = models.BooleanField(null=True)
    closed_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["student", "opens"], name="one_word_per_student_week"),
            models.CheckConstraint(
                condition=Q(student__isnull=False, studio=None, was=None)
                | Q(student=None, studio__isnull=False, was__isnull=False),
                name="a_word_is_of_a_student_or_a_number",
            ),
        ]
        indexes = [
            models.Index(fields=["closed_at", "opens"], name="words_to_close"),
            models.Index(fields=["opens", "closed_at"], name="words_of_now"),
        ]
