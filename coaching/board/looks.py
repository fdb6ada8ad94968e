"""What is new on *Who needs me* since its reader last looked: read, kept, taken back."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import F, QuerySet, UUIDField, Value
from django.db.models.lookups import Exact

from coaching.board.kept import Standing
from coaching.forecast.models import BoardLook
from practice.care.models import PainNote
from practice.log.models import Entry
from shared.people.models import User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

PAINS_BACK = timedelta(weeks=6)  # Nobody tells of pain that is longer ago.


@dataclass(frozen=True, slots=True)
class Look:
    """The last look. Without one nothing is new: a first page full of marks says nothing."""

    at: datetime
    places: dict[str, str]


def last_look(user: User) -> Look | None:
    return look_asked(user).answer


def look_asked(user: User) -> Question[Look | None]:
    """The same, to be asked with others."""
    return Question(lambda rows: Look(*rows[0]) if rows else None, Rows(_looks, user=user.pk))


_looks = Prepared(
    lambda user: BoardLook.objects.filter(user=user).values_list("at", "places"), user=UUIDField
)


def news_since(look: Look | None, standing: Iterable[Standing]) -> dict[UUID, tuple[str, ...]]:
    """What is new of each student: 'word', 'pain', 'note', 'log'. Two queries at most."""
    if look is None:
        return {}
    standing = list(standing)
    ids = [each.id for each in standing]
    came = Entry.objects.filter(student__in=ids, received_at__gt=look.at, counts=True)
    logged = set(came.values_list("student", Exact(F("note"), Value(""))).distinct())
    found = {
        "pain": set(_pains(ids, look).values_list("student", flat=True)),
        "note": {who for who, is_wordless in logged if not is_wordless},
        "log": {who for who, _ in logged},
    }
    return {
        each.id: (
            *(("word",) if _is_moved(each, look) else ()),
            *(kind for kind, who in found.items() if each.id in who),
        )
        for each in standing
    }


def _pains(students: list[UUID], look: Look) -> QuerySet[PainNote]:
    """Of the last weeks, by the index that begins with student and day."""
    first = look.at.date() - PAINS_BACK
    told = PainNote.objects.filter(student__in=students, day__gte=first, level__gt=0)
    return told.filter(told_at__gt=look.at)


def _is_moved(standing: Standing, look: Look) -> bool:
    """A word that differs from the one that stood there; somebody new has none yet."""
    before = look.places.get(str(standing.id))
    return before is not None and before != place_key(standing)


def place_key(standing: Standing) -> str:
    return f"{standing.line.need.name}/{standing.line.state.name}"


@transaction.atomic
def keep_look(*, user: User, at: datetime, standing: Iterable[Standing]) -> None:
    """Keep that the user saw the page of `at`. An older page than the last one changes nothing."""
    row = BoardLook.objects.select_for_update().filter(user=user).first()
    places = {str(each.id): place_key(each) for each in standing}
    if row is None:
        BoardLook.objects.create(user=user, at=at, places=places)
    elif at > row.at:
        row.before_at, row.before_places = row.at, row.places
        row.at, row.places = at, places
        row.save()


@transaction.atomic
def take_back_look(*, user: User) -> bool:
    """Let the marks of the look before stand again; False where there is none to go back to."""
    row = BoardLook.objects.select_for_update().filter(user=user).first()
    if row is None or row.before_at is None:
        return False
    row.at, row.places = row.before_at, row.before_places
    row.before_at, row.before_places = None, {}
    row.save()
    return True
