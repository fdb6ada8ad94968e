from django.apps import AppConfig


class CareConfig(AppConfig):
    name = "practice.care"
    label = "care"

    def ready(self) -> None:
        from practice.care import screening
        from practice.log import beside_parts

        beside_parts.why.append(screening.cautions_asked)
