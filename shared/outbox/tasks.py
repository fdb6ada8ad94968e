"""Celery task; published by beat only."""

from celery import shared_task

from shared.outbox import send


@shared_task(name="shared.outbox.send", ignore_result=True)
def send_task() -> None:
    send.send_due()
