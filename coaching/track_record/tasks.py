"""The door for Celery; beat publishes it, nothing else does."""

from celery import shared_task

from coaching.track_record import services


@shared_task(name="coaching.kept.tick", ignore_result=True)
def tick_task() -> None:
    services.tick()
