"""Take the demo away, leaving an empty installation."""

from collections.abc import Iterable
from functools import partial

from django.apps import apps
from django.db import transaction
from django.db.models import Model, ProtectedError, QuerySet

from practice.clips.models import Clip, clip_storage
from practice.drills.models import Drill
from shared.people.models import Studio

PACKAGES = {"shared", "practice", "coaching"}


@transaction.atomic
def remove() -> None:
    """Delete every row of ours. Raises RuntimeError if anything but the demo lives here."""
    if Studio.objects.filter(is_demo=False).exists():
        raise RuntimeError("A real studio lives here: nothing was removed.")
    files = [name for row in Clip.objects.values_list("file", "still") for name in row if name]
    transaction.on_commit(partial(_delete, files))
    Drill.objects.update(current=None)
    ours = [app for app in apps.get_app_configs() if app.name.split(".")[0] in PACKAGES]
    waiting = [model for app in reversed(ours) for model in app.get_models()]
    while waiting:
        protected = []
        for model in waiting:
            try:
                with transaction.atomic():
                    _rows(model).delete()
            except ProtectedError:
                protected.append(model)
        if len(protected) == len(waiting):
            raise RuntimeError(f"These rows keep each other: {protected}")
        waiting = protected


def _delete(files: Iterable[str]) -> None:
    for name in files:
        clip_storage().delete(name)


def _rows(model: type[Model]) -> QuerySet[Model]:
    manager = model._meta.base_manager or model._meta.default_manager  # noqa: SLF001 (documented)
    if manager is None:
        raise RuntimeError(f"{model} has no manager.")
    return manager.all()
