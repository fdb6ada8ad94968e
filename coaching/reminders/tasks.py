"""The two sweeps as Celery tasks: doors only. Beat publishes them; nothing else ever does."""

from celery import shared_task

from coaching.reminders import plan, send


@shared_task(name="coaching.reminders.plan", ignore_result=True)
def plan_task() -> None:
    plan.tick()


@shared_task(name="coaching.reminders.send", ignore_result=True)
def send_task() -> None:
    send.send_due()
