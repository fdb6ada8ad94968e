"""The answers to the first questions. Days are kept as the student's own days, pain as pain."""

from django.db import models
from django.utils import timezone

from shared.people.models import Student, User

MEASURES = {
    "carry": "how far each ball flies",
    "ball_speed": "ball speed",
    "club_speed": "club speed",
    "film": "a film of a swing",
    "balls": "how many balls, and how many were clean",
}


class Intake(models.Model):
    """What one student, or the guardian of a child, has answered; a coach has looked or not yet."""

    student = models.OneToOneField(Student, models.CASCADE, related_name="intake")
    aim = models.CharField("what for, in the student's words", max_length=200, blank=True)
    measures = models.JSONField(default=list, blank=True)  # Of MEASURES.
    answered_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    answered_at = models.DateTimeField(default=timezone.now)
    reviewed_by = models.ForeignKey(User, models.PROTECT, related_name="+", null=True, blank=True)
    reviewed_at = models.DateTimeField(null=True, blank=True)
