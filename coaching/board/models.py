"""What the board said of each student when somebody last looked, and whether it still stands."""

from django.db import models

from shared.people.models import Student


class KeptLine(models.Model):
    """One student's line of *Who needs me*, judged once and read until something changes.

    The database itself raises `version` with every row that the judgement reads
    (`coaching.board.watch`): no writer can forget to. The line stands while it was judged at
    this version, by these rules (`lines.rules`), and time has changed nothing yet (`until`).
    Words about pain are not in it: whoever may read them reads them where they were told.
    """

    student = models.OneToOneField(Student, models.CASCADE, related_name="kept_line")
    version = models.BigIntegerField(default=0)
    judged = models.BigIntegerField(null=True)
    rules = models.CharField(max_length=16, blank=True)
    until = models.DateTimeField(null=True)
    line = models.JSONField(null=True)

    class Meta:
        indexes = [models.Index(fields=["until"], name="line_until")]
