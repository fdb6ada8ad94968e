"""The jobs that are done again and again, and the rows that wait after an error."""

from django.db import models
from django.utils import timezone

LONGEST_WHY = 300


class Sweep(models.Model):
    """One job: who is at it, at which row, and when it last came to its end."""

    name = models.CharField(max_length=40, primary_key=True)
    claim = models.UUIDField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    # What is being done now: a worker that dies at it leaves the row's name behind.
    row = models.CharField(max_length=100, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)


class Retry(models.Model):
    """A row that could not be done, why, and when it is tried again."""

    sweep = models.CharField(max_length=40)
    row = models.CharField(max_length=100)
    tries = models.PositiveIntegerField(default=0)
    since = models.DateTimeField(default=timezone.now)
    next_try_at = models.DateTimeField()
    why = models.CharField(max_length=LONGEST_WHY)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sweep", "row"], name="one_retry_per_row")]
