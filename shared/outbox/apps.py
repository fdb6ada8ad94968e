from django.apps import AppConfig


class OutboxConfig(AppConfig):
    name = "shared.outbox"
    label = "outbox"

    def ready(self) -> None:
        from shared.outbox.send import SENDING
        from shared.site.health import tickers

        tickers.append(SENDING)
