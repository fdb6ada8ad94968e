from django.apps import AppConfig


class ImportingConfig(AppConfig):
    name = "practice.importing"
    label = "importing"
