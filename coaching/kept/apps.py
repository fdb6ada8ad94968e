from django.apps import AppConfig


class KeptConfig(AppConfig):
    name = "coaching.kept"
    label = "kept"
