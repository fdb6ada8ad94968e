"""The worker's doors: stills are drawn and what is gone is swept. The table says what is due."""

from celery import shared_task

from practice.clips import commands


@shared_task(name="practice.clips.stills", ignore_result=True)
def stills_task() -> None:
    commands.make_stills()


@shared_task(name="practice.clips.sweep", ignore_result=True)
def sweep_task() -> None:
    commands.sweep()
    commands.sweep_strays()
