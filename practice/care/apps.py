from django.apps import AppConfig


class CareConfig(AppConfig):
    name = "practice.care"
    label = "care"
