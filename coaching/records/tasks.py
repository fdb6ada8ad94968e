"""The door for Celery; beat publishes it, nothing else does."""

from celery import shared_task

from coaching.records import ends, retention


@shared_task(name="coaching.records.forget", ignore_result=True, time_limit=3600)
def forget_task() -> None:
    retention.forget()


@shared_task(name="coaching.records.ends", ignore_result=True, time_limit=600)
def ends_task() -> None:
    ends.bring_outside()
