from django.apps import AppConfig


class DrillsConfig(AppConfig):
    name = "practice.drills"
    label = "drills"

    def ready(self) -> None:
        from practice.drills.shipped import stock_shelf
        from shared.people.events import studio_made

        if stock_shelf not in studio_made:
            studio_made.append(stock_shelf)
