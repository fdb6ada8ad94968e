"""Celery task; published by beat only."""

from celery import shared_task

from coaching.timetable import services


@shared_task(name="coaching.timetable.fill", ignore_result=True)
def fill_task() -> None:
    services.fill_all()
