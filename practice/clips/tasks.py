"""Celery task; published by beat only."""

from celery import shared_task

from practice.clips import services


@shared_task(name="practice.clips.sweep", ignore_result=True)
def sweep_task() -> None:
    services.sweep()
    services.sweep_strays()
