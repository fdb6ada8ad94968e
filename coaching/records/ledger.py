"""The ledger: who was erased and what was ended, kept outside the database too.

So no backup brings back anybody who was erased, nor opens what was ended. Each line is a file
of its own, in DATA_DIR and in the store of backups: lines are only ever added, and two that add
at once cannot lose each other's. What was ended is brought outside by the tick.
"""

import hashlib
import json
import secrets
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, Storage
from django.db.models import Model
from django.utils import timezone

from coaching.records.models import Erased
from shared.backups.store import store
from shared.people.models import Ended
from shared.site.kept_secret import make_private

DIGITS = 64


@dataclass(frozen=True, slots=True)
class Book:
    """One kind of line: the folder of its files, the field that names each, and the others."""

    folder: str
    model: type[Model]
    name: str
    says: dict[str, Callable[[Any], Any]]

    def lines_here(self) -> dict[str, Any]:
        return {getattr(line, self.name): line for line in self.model._default_manager.all()}  # noqa: SLF001 (documented)

    def lines_outside(self, but: Collection[str] = ()) -> dict[str, Any]:
        """By name; those named are known, and not read."""
        lines: dict[str, Any] = {}
        for place in _places():
            for name in set(self.names_in(place)) - lines.keys() - set(but):
                lines[name] = self._line(name, place)
        return lines

    def names_in(self, place: Storage) -> list[str]:
        try:
            # Whoever adds a line that is there by now gets another name for it.
            return [name for name in place.listdir(self.folder)[1] if len(name) == DIGITS]
        except FileNotFoundError:
            return []

    def put(self, line: Any, place: Storage) -> None:
        said = {name: getattr(line, name) for name in self.says}
        content = json.dumps(said, default=lambda value: value.isoformat())
        path = f"{self.folder}/{getattr(line, self.name)}"
        if not place.exists(path):
            place.save(path, ContentFile(content.encode()))

    def _line(self, name: str, place: Storage) -> Any:
        with place.open(f"{self.folder}/{name}") as file:
            said = json.loads(file.read())
        values = {field: read(said[field]) for field, read in self.says.items()}
        return self.model(**{self.name: name}, **values)


ERASED = Book("erasures", Erased, "digest", {"salt": str, "kind": str, "on": date.fromisoformat})
ENDED = Book(
    "ends", Ended, "name",
    {"what": str, "row": str, "whose": str, "stands": bool, "at": datetime.fromisoformat},
)  # fmt: skip


def note(ident: UUID, kind: str) -> None:
    """Add a line. Call it in the transaction that erases, and `copy_out` after it."""
    salt = secrets.token_hex(16)
    Erased.objects.create(
        salt=salt, digest=digest_of(salt, ident), kind=kind, on=timezone.now().date()
    )


def digest_of(salt: str, ident: UUID) -> str:
    return hashlib.sha256(bytes.fromhex(salt) + ident.bytes).hexdigest()


def copy_out() -> None:
    """Bring every line to every place. May be repeated; a place that is away raises."""
    for book in (ERASED, ENDED):
        here = book.lines_here()
        outside = book.lines_outside(but=here)
        book.model._default_manager.bulk_create(outside.values())  # noqa: SLF001 (documented)
        for place in _places():
            known = set(book.names_in(place))
            for name, line in (outside | here).items():
                if name not in known:
                    book.put(line, place)


def put_outside(line: Ended) -> None:
    """Bring one line to every place, soon after it was noted."""
    for place in _places():
        ENDED.put(line, place)
    Ended.objects.filter(pk=line.pk).update(is_outside=True)


def forget(line: Ended) -> None:
    """Let one line go, everywhere."""
    for place in _places():
        place.delete(f"{ENDED.folder}/{line.name}")
    line.delete()


def among(idents: Iterable[UUID], kind: str) -> list[UUID]:
    """Which of these were erased, by every line that can be found."""
    lines = [*ERASED.lines_outside().values(), *ERASED.lines_here().values()]
    salts = [(line.salt, line.digest) for line in lines if line.kind == kind]
    return [
        ident for ident in idents if any(digest_of(salt, ident) == digest for salt, digest in salts)
    ]


def ends() -> list[Ended]:
    """Every line of what ended or stands again, from here and outside, oldest first."""
    here = ENDED.lines_here()
    found = ENDED.lines_outside(but=here) | here
    return sorted(found.values(), key=lambda line: (line.at, line.name))


def _places() -> tuple[Storage, Storage]:
    make_private(settings.DATA_DIR)
    return FileSystemStorage(settings.DATA_DIR), store()
