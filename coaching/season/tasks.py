"""What follows the calendar by itself. A door only; beat publishes it."""

from celery import shared_task

from coaching.season import gate_sweep
from coaching.season.services import follow_all


@shared_task(name="coaching.season.follow", ignore_result=True)
def follow_task() -> None:
    follow_all()


@shared_task(name="coaching.season.gates", ignore_result=True)
def gates_task() -> None:
    gate_sweep.sweep()
