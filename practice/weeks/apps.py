from django.apps import AppConfig


class WeeksConfig(AppConfig):
    name = "practice.weeks"
    label = "weeks"

    def ready(self) -> None:
        from practice.weeks.starter import stock_templates
        from shared.people.events import studio_made

        # After the shelf: the app of the drills stands before this one.
        if stock_templates not in studio_made:
            studio_made.append(stock_templates)
