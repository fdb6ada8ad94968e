from datetime import datetime

from django.apps import AppConfig


class RemindersConfig(AppConfig):
    name = "coaching.reminders"
    label = "reminders"

    def ready(self) -> None:
        from coaching.reminders import signals  # noqa: F401 (connects them)
        from shared.health import last_ticks

        last_ticks.append(last_plan)
        last_ticks.append(last_send)


def last_plan() -> datetime | None:
    return _last("plan")


def last_send() -> datetime | None:
    return _last("send")


def _last(name: str) -> datetime | None:
    from coaching.reminders.models import Heartbeat

    return Heartbeat.objects.filter(name=name).values_list("at", flat=True).first()
