from django.apps import AppConfig


class ClipsConfig(AppConfig):
    name = "practice.clips"
    label = "clips"
