from django.apps import AppConfig


class ShotsConfig(AppConfig):
    name = "practice.shots"
    label = "shots"
