from django.apps import AppConfig


class CheckedConfig(AppConfig):
    name = "practice.checked"
    label = "checked"
