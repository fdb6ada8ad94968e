from django.apps import AppConfig


class BackupsConfig(AppConfig):
    name = "shared.backups"
    label = "backups"

    def ready(self) -> None:
        from shared import checkup
        from shared.backups import findings

        checkup.checks.append(findings.age)
