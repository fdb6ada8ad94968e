from django.apps import AppConfig


class TransferConfig(AppConfig):
    name = "coaching.transfer"
    label = "transfer"
