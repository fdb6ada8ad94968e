from functools import partial

from django.apps import AppConfig


class OutboxConfig(AppConfig):
    name = "shared.outbox"
    label = "outbox"

    def ready(self) -> None:
        from shared.jobs.sweep import last_ended
        from shared.outbox.send import SENDING
        from shared.site.health import last_ticks

        last_ticks.append(partial(last_ended, SENDING))
