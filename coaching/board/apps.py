from django.apps import AppConfig


class BoardConfig(AppConfig):
    name = "coaching.board"
    label = "board"

    def ready(self) -> None:
        from coaching.board import watch
        from coaching.board.models import KeptLine
        from practice.compliance import heard
        from shared.people import events

        heard.counts.append(lambda who: KeptLine.objects.filter(student=who).values("version"))
        events.before_migrating.append(watch.take_down)
        events.after_migrating.append(watch.put_up)
