from django.apps import AppConfig


class TryoutsConfig(AppConfig):
    name = "practice.tryouts"
    label = "tryouts"
