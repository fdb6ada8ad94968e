from django.apps import AppConfig


class StandingConfig(AppConfig):
    name = "coaching.standing"
    label = "standing"
