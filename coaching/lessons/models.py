"""The lesson: what was found in it, and how it ended for the week that follows."""

from django.db import models
from django.db.models import Q
from django.utils import timezone

from coaching.lessons.balls import MOST_TEXT
from practice.clips.models import Clip
from practice.drills.models import Drill
from practice.weeks.models import Week
from shared.people.models import Base, Student, User

MOST_FINDINGS = 3
# What is typed, by field, and how much it can hold.
OF_FINDING = {
    "fault": 120,
    "cause": 120,
    "feel": 200,
    "real": 200,
    "cue": 160,
    "rehearsal": 200,
    "evidence": 300,
}
WHY_LENGTH = 160
OF_LESSON = {"place": 60, "private": 600}


class Lesson(Base):
    """One lesson of one student: planned, then open while it is written, then closed.

    It cannot be closed without saying what becomes of the week: sent, later today,
    or no practice this week.
    """

    class State(models.TextChoices):
        PLANNED = "planned", "planned"
        OPEN = "open", "open"
        CLOSED = "closed", "closed"

    class Ending(models.TextChoices):
        SENT = "sent", "sent"
        LATER = "later", "later today"
        NONE = "none", "no practice this week"

    student = models.ForeignKey(Student, models.CASCADE, related_name="lessons", db_index=False)
    coach = models.ForeignKey(User, models.PROTECT, related_name="lessons_given", db_index=False)
    at = models.DateTimeField()
    place = models.CharField(max_length=OF_LESSON["place"], blank=True)
    state = models.CharField(max_length=7, choices=State.choices, default=State.PLANNED)
    ending = models.CharField(max_length=5, choices=Ending.choices, blank=True)
    week = models.ForeignKey(Week, models.SET_NULL, related_name="+", null=True, blank=True)
    # For the coaches of the studio; neither the student nor a guardian reads it.
    private = models.TextField("line for the coaches", max_length=OF_LESSON["private"], blank=True)
    opened_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    # When its time was changed last, which a calendar that reads it wants to know.
    moved_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["student", "at"], name="lesson_student_at"),
            models.Index(fields=["coach", "at"], name="lesson_coach_at"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state="closed") | ~Q(ending=""),
                name="a_closed_lesson_says_what_becomes_of_the_week",
            ),
            models.UniqueConstraint(
                fields=["student"], condition=Q(state="open"), name="one_open_lesson_per_student"
            ),
        ]


class Finding(Base):
    """One priority of a lesson: the fault and its cause, the feel and what it really is."""

    lesson = models.ForeignKey(Lesson, models.CASCADE, related_name="findings")
    position = models.PositiveSmallIntegerField(default=0)
    fault = models.CharField(max_length=OF_FINDING["fault"], blank=True)
    cause = models.CharField(max_length=OF_FINDING["cause"], blank=True)
    feel = models.CharField(
        "feels like, in the student's words", max_length=OF_FINDING["feel"], blank=True
    )
    real = models.CharField("really is", max_length=OF_FINDING["real"], blank=True)
    cue = models.CharField(max_length=OF_FINDING["cue"], blank=True)
    rehearsal = models.CharField(max_length=OF_FINDING["rehearsal"], blank=True)
    evidence = models.CharField("numbers, a clip", max_length=OF_FINDING["evidence"], blank=True)
    drills = models.ManyToManyField(Drill, related_name="+", blank=True)
    # Balls counted clean or not, as coaching.lessons.balls reads them.
    balls = models.CharField(max_length=MOST_TEXT, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(
                fields=["lesson", "position"], name="finding_position_per_lesson"
            ),
            models.CheckConstraint(
                condition=Q(position__lt=MOST_FINDINGS), name="three_findings_at_most"
            ),
        ]


class LessonClip(models.Model):
    """A clip or picture taken in a lesson, as its evidence."""

    lesson = models.ForeignKey(Lesson, models.CASCADE, related_name="taken")
    clip = models.OneToOneField(Clip, models.CASCADE, related_name="+")


class CarryKept(models.Model):
    """What was suggested for a part of the next week when a lesson was closed, and what the
    coach chose. `suggested` and `chosen` are words of coaching.lessons.carry.Carry."""

    lesson = models.ForeignKey(Lesson, models.CASCADE, related_name="carried")
    drill = models.ForeignKey(Drill, models.CASCADE, related_name="+")
    # The week that it was for.
    opens = models.DateField()
    suggested = models.CharField(max_length=10)
    chosen = models.CharField(max_length=10)
    reason = models.CharField("why it was suggested", max_length=300, blank=True)
    why = models.CharField("why otherwise", max_length=WHY_LENGTH, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["lesson", "drill"], name="one_choice_per_part")
        ]
