"""Celery task; published by beat only."""

from celery import shared_task

from coaching.bring import services


@shared_task(name="coaching.bring.settle", ignore_result=True)
def settle_task() -> None:
    services.settle_waiting()
