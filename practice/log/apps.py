from django.apps import AppConfig


class LogConfig(AppConfig):
    name = "practice.log"
    label = "log"
