from django.apps import AppConfig


class WordsConfig(AppConfig):
    name = "coaching.messages"
    label = "words"
