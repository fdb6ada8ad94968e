from django.apps import AppConfig


class BoardConfig(AppConfig):
    name = "coaching.board"
    label = "board"

    def ready(self) -> None:
        from coaching.board import watch
        from shared.people import events

        events.before_migrating.append(watch.take_down)
        events.after_migrating.append(watch.put_up)
