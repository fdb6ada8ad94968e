from django.apps import AppConfig


class TimetableConfig(AppConfig):
    name = "coaching.timetable"
    label = "timetable"

    def ready(self) -> None:
        from coaching.timetable import feeds
        from shared.people import ends

        ends.followers.append(feeds.end_with)
