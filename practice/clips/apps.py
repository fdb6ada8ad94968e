from django.apps import AppConfig


class ClipsConfig(AppConfig):
    name = "practice.clips"
    label = "clips"

    def ready(self) -> None:
        from practice.clips.services import forget_without_file
        from shared.backups.services import brought_back

        brought_back.append(forget_without_file)
