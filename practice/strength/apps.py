from django.apps import AppConfig


class StrengthConfig(AppConfig):
    name = "practice.strength"
    label = "strength"
