"""The sweep as a Celery task: a door only. Beat publishes it; nothing else ever does."""

from celery import shared_task

from practice.importing import work


@shared_task(name="practice.importing.read", ignore_result=True)
def read_task() -> None:
    work.read_waiting()
