from django.apps import AppConfig


class KeptConfig(AppConfig):
    name = "coaching.track_record"
    label = "kept"
