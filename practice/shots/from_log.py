"""Writing shots: what an entry of the phone log brings, and whether it still counts."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from practice.log.models import Entry
from practice.shots.club_names import Form, form_of
from practice.shots.models import Club, Shot, Sitting
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student, User


@dataclass(frozen=True, slots=True)
class NewSitting:
    """The shots of one block. Each row holds the fields of a Shot, with the club by its name."""

    entry: Entry
    drill: UUID | None
    device: str
    ball: str
    place: str
    indoors: bool | None
    shots: Sequence[Mapping[str, Any]]


def keep_sittings(*, student: Recordable, sittings: Sequence[NewSitting], by: User | None) -> None:
    """Write sittings of a student's entries, their shots, and clubs named for the first time.

    Four queries, however many; none without a shot. The caller brings the transaction.
    Without a device somebody judged the numbers by eye, so the sitting says *seen*.
    """
    sittings = [sitting for sitting in sittings if sitting.shots]
    if not sittings:
        return
    clubs = clubs_named((shot["club"] for new in sittings for shot in new.shots), student)
    rows = Sitting.objects.bulk_create([_sitting(new, by) for new in sittings])
    Shot.objects.bulk_create(
        Shot(
            sitting=row,
            student=student,
            number=number,
            **{**shot, "club": clubs.get(shot["club"])},
        )
        for new, row in zip(sittings, rows, strict=True)
        for number, shot in enumerate(new.shots, 1)
    )


def _sitting(new: NewSitting, by: User | None) -> Sitting:
    seen, measured = Sitting.Evidence.SEEN, Sitting.Evidence.MEASURED
    entry = new.entry
    return Sitting(
        student=entry.student,
        drill_id=new.drill,
        entry=entry,
        day=entry.day,
        at=entry.at,
        device=new.device,
        ball=new.ball,
        place=new.place,
        indoors=new.indoors,
        evidence=measured if new.device else seen,
        from_memory=entry.from_memory,
        written_by=by,
        counts=entry.counts,
    )


def clubs_named(names: Iterable[str], student: Recordable) -> dict[str, Club]:
    """The student's clubs of these names, the new ones made. No name, no club."""
    return known_and_made(names, student)[0]


def known_and_made(names: Iterable[str], student: Recordable) -> tuple[dict[str, Club], list[Club]]:
    """The clubs by the names they were asked by, and those of them that are new.

    `7i`, `Iron 7` and `Eisen 7` are one club: the one that is there already, or else one of the
    name that comes first. A name that may be two of the student's clubs is a club of its own.
    """
    wanted = sorted({name for name in names if name})
    if not wanted:
        return {}, []
    there = list(Club.objects.filter(student=student))
    by_name = {club.name: club for club in there}
    forms = [(_form(club), club) for club in there]
    found: dict[str, Club] = {}
    made: list[Club] = []
    for name in wanted:
        club = by_name.get(name) or _same(form_of(name), forms)
        if club is None:
            club = Club(student=student, name=name)
            made.append(club)
            forms.append((form_of(name), club))
        found[name] = club
    if made:
        Club.objects.bulk_create(made)
    return found, made


def clubs_known(names: Iterable[str], student: Student) -> dict[str, Club]:
    """Which of these names are clubs that the student has. One query."""
    there = list(Club.objects.filter(student=student))
    by_name = {club.name: club for club in there}
    forms = [(_form(club), club) for club in there]
    found = ((name, by_name.get(name) or _same(form_of(name), forms)) for name in names)
    return {name: club for name, club in found if club is not None}


def _form(club: Club) -> Form:
    form = form_of(club.name)
    return form if form.loft is not None else replace(form, loft=club.loft)


def _same(form: Form, forms: Iterable[tuple[Form, Club]]) -> Club | None:
    same = [club for each, club in forms if form.may_be(each)]
    return same[0] if len(same) == 1 else None


def set_aside(entry: Entry) -> None:
    """The shots of this entry count no more; they are kept."""
    Sitting.objects.filter(entry=entry).update(counts=False)


def carry_over(*, was: Entry, to: Entry) -> None:
    """The shots of an entry belong to the one that changes it.

    For a change from a phone that knows no shots: it says nothing of them, and takes
    none away.
    """
    access.recordable(to.student)
    Sitting.objects.filter(entry=was).update(
        entry=to, counts=to.counts, day=to.day, at=to.at, from_memory=to.from_memory
    )
