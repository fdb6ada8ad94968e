"""Celery task; published by beat only."""

from celery import shared_task

from coaching.reminders import plan


@shared_task(name="coaching.reminders.plan", ignore_result=True)
def plan_task() -> None:
    plan.tick()
