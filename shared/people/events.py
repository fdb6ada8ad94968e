"""What other packages want to do when something happens to people.

`shared` may not import what stands on it; those packages put a function here instead.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from shared.people.models import Student, Studio, User


@dataclass(frozen=True, slots=True)
class Offer:
    """A button on the first page: what it says, and where it posts which fields."""

    url: str
    text: str
    explains: str = ""
    fields: dict[str, str] = field(default_factory=dict)


# Called in order, inside the transaction that makes the studio.
studio_made: list[Callable[[Studio, User], None]] = []

# Called inside the transaction in which a coach has changed what is known of a student.
student_changed: list[Callable[[Student], None]] = []

# What the first page offers beside making a studio, while there is none.
first_run_offers: list[Callable[[], Sequence[Offer]]] = []

# Ways in without a sign-in of one's own, for somebody who is not signed in.
walk_ins: list[Callable[[], Sequence[Offer]]] = []


def offers(hooks: Sequence[Callable[[], Sequence[Offer]]]) -> list[Offer]:
    return [offer for hook in hooks for offer in hook()]
