"""What other packages want to do when something happens to people.

`shared` may not import what stands on it; those packages put a function here instead.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from django.http import HttpRequest

from shared.checkup import CheckFinding
from shared.people.access import Recordable
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
student_changed: list[Callable[[Recordable], None]] = []

# What other packages know of a studio that its owner should: consents missing, mails refused.
house_findings: list[Callable[[Studio], Iterable[CheckFinding]]] = []

# How long what is kept, a sentence each: the owner's page prints them.
how_long: list[str] = []

# Called with the request of somebody who signs out, while they are still signed in.
signing_out: list[Callable[[HttpRequest], None]] = []

# Called with the request and the record of a grown child who has just taken it over.
took_over: list[Callable[[HttpRequest, Student], None]] = []

# Called when whoever follows a student looks at what was written to them: notes on a page
# or the phone, reports, clips, or the week out of a mail.
looked_at: list[Callable[[User, Student], None]] = []

# What the first page offers beside making a studio, while there is none.
first_run_offers: list[Callable[[], Sequence[Offer]]] = []

# Ways in without a sign-in of one's own, for somebody who is not signed in.
walk_ins: list[Callable[[], Sequence[Offer]]] = []

# Where somebody who teaches starts now; the first that answers wins, '' leaves it to the next.
landings: list[Callable[[User], str]] = []


def landing_of(user: User) -> str:
    return next(filter(None, (land(user) for land in landings)), "")


def tell_looked_at(user: User, student: Student) -> None:
    for tell in looked_at:
        tell(user, student)


def offers(hooks: Sequence[Callable[[], Sequence[Offer]]]) -> list[Offer]:
    return [offer for hook in hooks for offer in hook()]
