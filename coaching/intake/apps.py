from django.apps import AppConfig


class IntakeConfig(AppConfig):
    name = "coaching.intake"
    label = "intake"

    def ready(self) -> None:
        from coaching.intake.services import asks
        from practice.log import beside_parts

        beside_parts.asks.append(asks)
