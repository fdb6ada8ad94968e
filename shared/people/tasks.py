"""Celery task; published by beat only."""

from celery import shared_task

from shared.people import undelivered


@shared_task(name="shared.people.returned", ignore_result=True)
def returned_task() -> None:
    undelivered.look_for_returned()
