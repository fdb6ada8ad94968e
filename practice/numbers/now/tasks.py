"""The worker's door: beat publishes it, nothing else does. The tables say what is due."""

from celery import shared_task

from practice.numbers.now import reckoning, studio_reckoning


@shared_task(name="practice.progress.reckon", ignore_result=True)
def reckon_task() -> None:
    studio_reckoning.sweep()
    reckoning.sweep()
