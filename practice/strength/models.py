"""Strength of adults who agreed to it being kept. Never of a minor, and nothing is prescribed."""

from django.db import models
from django.db.models import Q
from django.utils import timezone

from shared.people.models import Base, Student, User

MOST_REPS = 10
MOST_MASS = 500.0
BODY_MASS = (25.0, 300.0)


class StrengthConsent(Base):
    """The student's own word that lifts and body mass may be kept, and who sees them."""

    student = models.OneToOneField(Student, models.CASCADE, related_name="strength_consent")
    text_version = models.PositiveSmallIntegerField()
    agreed_at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)


def has_agreed(student: Student) -> bool:
    return StrengthConsent.objects.filter(student=student, withdrawn_at=None).exists()


class StrengthConsentChange(models.Model):
    """One answer of the student: yes or no, when, to which words. Only ever added."""

    consent = models.ForeignKey(StrengthConsent, models.CASCADE, related_name="changes")
    at = models.DateTimeField(default=timezone.now, editable=False)
    text_version = models.PositiveSmallIntegerField()
    agreed = models.BooleanField()


class Lift(Base):
    """One set to near failure, kilograms. `body_mass` is that of the day, if it was told."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="lifts", db_index=False)
    name = models.CharField("lift", max_length=40)
    mass = models.FloatField("kilograms lifted")
    reps = models.PositiveSmallIntegerField()
    body_mass = models.FloatField("body mass in kilograms", null=True, blank=True)
    was_supervised = models.BooleanField(default=False)
    day = models.DateField()
    by = models.ForeignKey(User, models.SET_NULL, related_name="+", null=True)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["student", "day"], name="lift_student_day")]
        constraints = [
            models.CheckConstraint(
                condition=Q(reps__range=(1, MOST_REPS)),
                name="lift_reps_1_to_10",
                violation_error_message=f"Count 1 to {MOST_REPS} repetitions.",
            ),
            models.CheckConstraint(
                condition=Q(mass__gt=0, mass__lte=MOST_MASS), name="lift_mass_up_to_500"
            ),
            models.CheckConstraint(
                condition=Q(body_mass=None) | Q(body_mass__range=BODY_MASS),
                name="lift_body_mass_25_to_300",
            ),
            models.CheckConstraint(
                condition=Q(reps__gt=1) | Q(was_supervised=True),
                name="no_single_lift_alone",
                violation_error_message="A single lift needs somebody qualified there.",
            ),
        ]
