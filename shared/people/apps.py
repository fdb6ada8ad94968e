from django.apps import AppConfig
from django.core.checks import register


class PeopleConfig(AppConfig):
    name = "shared.people"
    label = "people"

    def ready(self) -> None:
        from shared.people.checks import check_sqlite

        register(check_sqlite)
