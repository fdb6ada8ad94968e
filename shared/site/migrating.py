"""Migrations forward: what a new table needs of the models, and no more."""

from functools import partial
from typing import Any

from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.state import ModelState, ProjectState

_django_adds = ProjectState.add_model


class Executor(MigrationExecutor):
    """Django renders every model that is related to a new one again, by any number of steps: here
    nearly all, for each table of a new database, three quarters of its first start."""

    def migrate(
        self,
        targets: Any,
        plan: Any = None,
        state: ProjectState | None = None,
        *more: Any,
        **fake: Any,
    ) -> ProjectState:
        if state is not None:
            state.add_model = partial(add_model, state)  # type: ignore[method-assign]
        return super().migrate(targets, plan, state, *more, **fake)


def add_model(state: ProjectState, new: ModelState) -> None:
    """The others learn of it when it is rendered. They are the same classes in the states before
    it too, to which only the way back returns; Django goes that way without this `state`."""
    apps = state.__dict__.pop("apps", None)
    _django_adds(state, new)
    if apps is not None:
        state.__dict__["apps"] = apps
        apps.render_multiple([new])
