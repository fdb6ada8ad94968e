from django.apps import AppConfig


class BoardConfig(AppConfig):
    name = "coaching.board"
    label = "board"

    def ready(self) -> None:
        from coaching.board import watch
        from coaching.board.models import KeptLine
        from practice.compliance import heard
        from shared.site import triggers

        heard.counts.append(lambda who: KeptLine.objects.filter(student=who).values("version"))
        triggers.known.append(watch.TRIGGERS)
