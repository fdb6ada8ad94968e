"""What happens elsewhere that reminders must know of at once. Other packages know none of it."""

from typing import Any

from django.db.models.signals import post_save
from django.dispatch import receiver

from coaching.reminders import commands, plan
from practice.care.models import PainNote
from practice.care.rules import is_serious
from practice.weeks.models import Week
from shared.people.access import TEACHING
from shared.people.models import Membership, Student, User


@receiver(post_save, sender=Student)
def student_saved(instance: Student, created: bool, raw: bool = False, **kwargs: Any) -> None:
    if raw:
        return
    if created:
        commands.ensure_rule(instance)
    else:
        # The zone may have changed, or a lesson been moved to tomorrow.
        commands.reckon_anew(instance)


@receiver(post_save, sender=User)
def user_saved(instance: User, created: bool, raw: bool = False, **kwargs: Any) -> None:
    fields = kwargs.get("update_fields")
    if not raw and not created and (fields is None or "time_zone" in fields):
        commands.reckon_summary_anew(instance)


@receiver(post_save, sender=Membership)
def membership_saved(instance: Membership, raw: bool = False, **kwargs: Any) -> None:
    if not raw and instance.role in TEACHING and instance.ended_at is None:
        commands.ensure_summary(instance.user)


@receiver(post_save, sender=Week)
def week_saved(instance: Week, raw: bool = False, **kwargs: Any) -> None:
    fields = kwargs.get("update_fields")
    if not raw and instance.state == Week.State.SENT and (fields is None or "sent_at" in fields):
        commands.look_soon(instance.student)


@receiver(post_save, sender=PainNote)
def pain_noted(instance: PainNote, created: bool, raw: bool = False, **kwargs: Any) -> None:
    if created and not raw and is_serious(instance.level, instance.signs):
        plan.tell_of_pain(instance)
