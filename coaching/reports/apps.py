from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "coaching.reports"
    label = "reports"
