from django.apps import AppConfig


class WeeksConfig(AppConfig):
    name = "practice.weeks"
    label = "weeks"
