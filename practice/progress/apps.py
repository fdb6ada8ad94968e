from django.apps import AppConfig


class ProgressConfig(AppConfig):
    name = "practice.progress"
    label = "progress"
