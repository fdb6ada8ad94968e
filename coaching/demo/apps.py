from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "coaching.demo"
    label = "demo"

    def ready(self) -> None:
        """Offer the demo on the first page, and its people once it is loaded."""
        from coaching.demo import offers
        from shared.people import events

        events.first_run_offers.append(offers.to_load)
        events.walk_ins.append(offers.to_walk_in)
