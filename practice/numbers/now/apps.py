from django.apps import AppConfig


class ProgressConfig(AppConfig):
    name = "practice.numbers.now"
    label = "progress"

    def ready(self) -> None:
        from practice.log import beside_parts
        from practice.numbers.ladder.holding import holds_of
        from practice.numbers.now.beside import said_by_tests

        beside_parts.holds.append(holds_of)
        beside_parts.tests.append(said_by_tests)
