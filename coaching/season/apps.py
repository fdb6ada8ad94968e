from django.apps import AppConfig


class SeasonConfig(AppConfig):
    name = "coaching.season"
    label = "season"

    def ready(self) -> None:
        from coaching.season.limits_pages import limits_shown
        from coaching.season.read import competitions_between
        from coaching.season.services import take_over_next_event
        from practice.care import shown
        from practice.compliance import limits
        from shared.people.events import student_changed

        student_changed.append(take_over_next_event)
        shown.sayers.append(limits_shown)
        limits.competitions.append(competitions_between)
