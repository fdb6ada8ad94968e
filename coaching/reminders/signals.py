"""What happens elsewhere that reminders must know of at once. Other packages know none of it."""

from typing import Any

from django.db.models.signals import post_save
from django.dispatch import receiver

from coaching.reminders import plan, services
from coaching.reminders.written import is_question
from coaching.reports.models import Report
from practice.care.models import PainNote
from practice.care.rules import is_serious
from practice.clips.models import Clip
from practice.log.models import Line
from practice.weeks.models import Week
from shared.people import access
from shared.people.models import Membership, Student, User


@receiver(post_save, sender=Student)
def student_saved(instance: Student, created: bool, raw: bool = False, **kwargs: Any) -> None:
    # A child has no consent yet at this moment; the hourly look adopts it.
    if created and not raw and (student := access.recordable_or_none(instance)):
        services.ensure_rule(student)


@receiver(post_save, sender=User)
def user_saved(instance: User, created: bool, raw: bool = False, **kwargs: Any) -> None:
    fields = kwargs.get("update_fields")
    if not raw and not created and (fields is None or "time_zone" in fields):
        services.reckon_summary_anew(instance)


@receiver(post_save, sender=Membership)
def membership_saved(instance: Membership, raw: bool = False, **kwargs: Any) -> None:
    if not raw and instance.role in access.TEACHING and instance.ended_at is None:
        services.ensure_summary(instance.user)


@receiver(post_save, sender=Week)
def week_saved(instance: Week, raw: bool = False, **kwargs: Any) -> None:
    fields = kwargs.get("update_fields")
    if raw or instance.state != Week.State.SENT or not (fields is None or "sent_at" in fields):
        return
    if student := access.recordable_or_none(instance.student):
        services.look_soon(student)


@receiver(post_save, sender=Week)
def week_changed(instance: Week, raw: bool = False, **kwargs: Any) -> None:
    if raw or instance.amended_at is None or "amended_at" not in (kwargs["update_fields"] or ()):
        return
    if student := access.recordable_or_none(instance.student):
        services.look_for_written(student)


@receiver(post_save, sender=Line)
def line_written(instance: Line, created: bool, raw: bool = False, **kwargs: Any) -> None:
    if not created or raw or not (student := access.recordable_or_none(instance.student)):
        return
    look = services.look_for_answer if is_question(instance.about) else services.look_for_written
    look(student)


@receiver(post_save, sender=Report)
@receiver(post_save, sender=Clip)
def something_made(instance: Report | Clip, raw: bool = False, **kwargs: Any) -> None:
    """Whether it is for this student's readers is asked when the tick looks."""
    is_draft = isinstance(instance, Report) and instance.sent_at is None
    if not raw and not is_draft and (student := access.recordable_or_none(instance.student)):
        services.look_for_written(student)


@receiver(post_save, sender=PainNote)
def pain_noted(instance: PainNote, created: bool, raw: bool = False, **kwargs: Any) -> None:
    if created and not raw and is_serious(instance.level, instance.signs):
        plan.tell_of_pain(instance)
