"""Celery tasks; published by beat only."""

from celery import shared_task

from coaching.timetable import following, services


@shared_task(name="coaching.timetable.fill", ignore_result=True)
def fill_task() -> None:
    services.fill_all()


@shared_task(name="coaching.timetable.follow", ignore_result=True)
def follow_task() -> None:
    following.tick()
