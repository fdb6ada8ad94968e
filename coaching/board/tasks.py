"""The door for Celery; beat publishes it, nothing else does."""

from celery import shared_task

from coaching.board import tending


@shared_task(name="coaching.board.tend", ignore_result=True)
def tend_task() -> None:
    tending.sweep()
