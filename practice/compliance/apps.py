from django.apps import AppConfig


class ComplianceConfig(AppConfig):
    name = "practice.compliance"
    label = "compliance"
