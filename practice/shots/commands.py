"""Writing shots: what an entry of the phone log brings, and whether it still counts."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from practice.drills.models import Drill
from practice.log.models import Entry
from practice.shots.models import Club, Shot, Sitting
from shared.people.models import Student, User


@dataclass(frozen=True, slots=True)
class NewSitting:
    """The shots of one block. Each row holds the fields of a Shot, with the club by its name."""

    drill: Drill | None
    device: str
    ball: str
    place: str
    indoors: bool | None
    shots: Sequence[Mapping[str, Any]]


def keep_sittings(*, entry: Entry, sittings: Sequence[NewSitting], by: User | None) -> None:
    """Write the sittings of an entry and their shots, and clubs named for the first time.

    The caller brings the transaction. Without a device somebody judged the numbers by
    eye, so the sitting says *seen*.
    """
    sittings = [sitting for sitting in sittings if sitting.shots]
    if not sittings:
        return
    student = entry.student
    clubs = clubs_named((shot["club"] for new in sittings for shot in new.shots), student)
    rows = Sitting.objects.bulk_create([_sitting(new, entry, by) for new in sittings])
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


def _sitting(new: NewSitting, entry: Entry, by: User | None) -> Sitting:
    seen, measured = Sitting.Evidence.SEEN, Sitting.Evidence.MEASURED
    return Sitting(
        student=entry.student,
        drill=new.drill,
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


def clubs_named(names: Iterable[str], student: Student) -> dict[str, Club]:
    """The student's clubs of these names, the new ones made. No name, no club."""
    wanted = {name for name in names if name}
    if not wanted:
        return {}
    clubs = {club.name: club for club in Club.objects.filter(student=student, name__in=wanted)}
    made = [Club(student=student, name=name) for name in sorted(wanted - clubs.keys())]
    if made:
        Club.objects.bulk_create(made)
    return clubs | {club.name: club for club in made}


def set_aside(entry: Entry) -> None:
    """The shots of this entry count no more; they are kept."""
    Sitting.objects.filter(entry=entry).update(counts=False)


def carry_over(*, was: Entry, to: Entry) -> None:
    """The shots of an entry belong to the one that changes it.

    For a change from a phone that knows no shots: it says nothing of them, and takes
    none away.
    """
    Sitting.objects.filter(entry=was).update(
        entry=to, counts=to.counts, day=to.day, at=to.at, from_memory=to.from_memory
    )
