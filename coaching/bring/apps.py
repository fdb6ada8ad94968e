from django.apps import AppConfig


class BringConfig(AppConfig):
    name = "coaching.bring"
    label = "bring"
