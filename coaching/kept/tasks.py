"""The door for Celery; beat publishes it, nothing else does."""

from celery import shared_task

from coaching.kept import commands


@shared_task(name="coaching.kept.tick", ignore_result=True)
def tick_task() -> None:
    commands.tick()
