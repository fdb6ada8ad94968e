from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "shared.jobs"
    label = "jobs"
