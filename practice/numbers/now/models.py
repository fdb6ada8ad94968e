"""What the newest tests of a student say, kept so that a page of many students can read it."""

from django.db import models

from shared.people.models import Student


class NumbersNow(models.Model):
    """One row per student with counting sittings; made anew from them and never edited.

    `figures` is a practice.numbers.now.values.Numbers with a NumbersTold beside it, `sittings` how
    many counted.
    """

    student = models.OneToOneField(Student, models.CASCADE, related_name="numbers_now")
    figures = models.JSONField()
    sittings = models.PositiveIntegerField()
    reckoned_at = models.DateTimeField(db_index=True)
