from django.apps import AppConfig


class CheckedConfig(AppConfig):
    name = "practice.coach_counts"
    label = "checked"
