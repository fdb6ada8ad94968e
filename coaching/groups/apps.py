from django.apps import AppConfig


class GroupsConfig(AppConfig):
    name = "coaching.groups"
    label = "groups"
