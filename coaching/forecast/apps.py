from django.apps import AppConfig


class StandingConfig(AppConfig):
    name = "coaching.forecast"
    label = "standing"
