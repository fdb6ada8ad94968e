"""Work as limits judge it: what is asked, what stops it, and why it is held. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from uuid import UUID

from practice.drills.dose import Dose
from practice.drills.hard import is_hard
from practice.weeks.plan import PartSpec


@dataclass(frozen=True, slots=True)
class Work:
    """What limits judge: a drill, one session of it, and its area."""

    drill: UUID
    dose: Dose | None
    area: str = ""


def covers(drill: UUID | None, work: Work) -> bool:
    """Whether a stop of this drill (None: of all hard work) stops the work."""
    return drill == work.drill if drill else is_hard(work.dose, work.area)


@dataclass(frozen=True, slots=True)
class Stopped:
    """A stop that stands. Without a drill it stops all hard work, and has no name."""

    id: UUID
    drill: UUID | None
    name: str
    since: date

    @property
    def what(self) -> str:
        return self.name or "hard swings"


class Held(StrEnum):
    """Why nothing may offer some work now."""

    STOPPED = "stopped"
    RESTS = "rests"
    EVENT = "event"


def work_of(spec: PartSpec, areas: Mapping[UUID, str]) -> Work:
    return Work(spec.drill, spec.dose, areas.get(spec.drill, ""))
