"""Celery task; published by beat only."""

from celery import shared_task

from shared.backups import services


@shared_task(name="shared.backups.make", ignore_result=True, time_limit=7200)
def make_task() -> None:
    services.make_if_due()
