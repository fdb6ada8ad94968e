from django.apps import AppConfig


class WordsConfig(AppConfig):
    name = "coaching.words"
    label = "words"
