from django.apps import AppConfig


class LessonsConfig(AppConfig):
    name = "coaching.lessons"
    label = "lessons"
