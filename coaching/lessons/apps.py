from django.apps import AppConfig


class LessonsConfig(AppConfig):
    name = "coaching.lessons"
    label = "lessons"

    def ready(self) -> None:
        from coaching.lessons.landing import landing
        from coaching.lessons.why import why_asked
        from practice.log import beside_parts
        from shared.people import events

        events.landings.append(landing)
        beside_parts.why.append(why_asked)
