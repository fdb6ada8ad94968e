"""What somebody ended must stay ended, also when an older backup is brought back.

Each end, and each time what had ended stands again, is one line. It names nobody: rows have
random ids, and a line holds digests of them. Whoever ends something notes it here in the same
transaction; coaching.records.ends keeps the lines outside the database and asks them again.
"""

import hashlib
from collections.abc import Callable, Iterable
from uuid import UUID

from shared.people.models import Ended

What = Ended.What
# What others let end with it, in the same transaction: called with what, its row, and whose it is.
followers: list[Callable[[str, UUID, UUID | None], None]] = []


def note(what: str, row: UUID, *, stands: bool, whose: UUID | None = None) -> None:
    """`whose`: the student whose tie it is, or who asked. Call it in the transaction that ends."""
    about = digest_of(whose) if whose is not None else ""
    Ended.objects.create(what=what, row=digest_of(row), whose=about, stands=stands)
    for follow in () if stands else followers:
        follow(what, row, whose)


def note_all(what: str, rows: Iterable[UUID], *, stands: bool = False) -> None:
    Ended.objects.bulk_create(Ended(what=what, row=digest_of(row), stands=stands) for row in rows)


def note_print(what: str, row: str, about: str = "") -> None:
    """The same of something without an id of its own, by a print of it."""
    Ended.objects.create(what=what, row=row, whose=about, stands=False)


def print_of(user: UUID, of: str) -> str:
    """Of something of a user's: nobody who does not know the user's id finds it out."""
    return hashlib.sha256(user.bytes + of.encode()).hexdigest()


def digest_of(ident: UUID) -> str:
    """An id has 122 random bits: nobody finds it from its digest."""
    return hashlib.sha256(ident.bytes).hexdigest()
