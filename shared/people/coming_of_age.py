"""A child who turns 18 takes the record over: a sign-in, a consent and readers of their own.

Only the year of birth is kept, so the day is the birthday where the guardian or the child has
told it, else the first day of the year in which there is no doubt. From that day on the
guardians read nothing more. The record stands by their consent for four weeks more
(access.GRACE); whoever has not answered by then has a closed record until they do.
"""

from collections.abc import Collection
from datetime import date, timedelta
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from shared.kit.refused import Refused
from shared.kit.text import date_words
from shared.people import access, ends, guardians, invitation_mail, mail_address
from shared.people.models import ADULT_AGE, Guardianship, Student, User
from shared.people.today import today_of

# So long the guardians have to put right a day that the child told.
OBJECTION = timedelta(days=3)


def is_near(student: Student) -> bool:
    """Whether the student turns 18 within this year, or has."""
    year = timezone.now().year
    return student.born_year is not None and year - student.born_year >= ADULT_AGE


def closes_on(student: Student) -> date | None:
    """The first day on which the record is closed if the grown child has not answered."""
    return student.of_age_on + access.GRACE if student.of_age_on else None


@transaction.atomic
def tell_birthday(student: Student, day: date, by: User | None = None) -> date:
    """Keep the birthday until it has come. Raises ValueError for one of another year.

    The guardians are told, so that they can put a wrong day right: told by the child it holds
    at the earliest after OBJECTION. Returns the day from which it holds.
    """
    if student.born_year is None or day.year != student.born_year + ADULT_AGE:
        raise ValueError(day)
    if by is not None and by.pk == student.user_id:
        day = max(day, today_of(student) + OBJECTION)
    Student.objects.filter(pk=student.pk).update(turns_18_on=day)
    text = (
        f"It was told here that {student.name} is of age from {date_words(day)}. From that day on"
        " you read nothing more. If the day is wrong, write the right one before it has come."
    )
    readers = (tie.user for tie in guardians.ties_of(student))
    invitation_mail.send_about_child(student, text, [each for each in readers if each != by])
    return day


def check_grown(student: Student, user: User) -> None:
    """Nobody consents for a grown child who answered for it or works here. Raises Refused."""
    if Guardianship.objects.filter(student=student, user=user).exists():
        raise Refused(f"{student.name} is of age and answers alone. Hand the invitation on.")
    if student.studio_id in access.all_roles_by_studio(user):
        raise Refused("You work in this studio. Hand the invitation on.")


@transaction.atomic
def take_over(student: Student, user: User, *, email: str, readers: Collection[UUID]) -> None:
    """The grown child consents and signs in alone; of the guardians those named read on.

    Raises AddressTaken. `readers` are ids of guardianships.
    """
    if email != user.email:
        mail_address.move(user, email)
    hand_over(student, readers)


@transaction.atomic
def hand_over(student: Student, readers: Collection[UUID] = ()) -> None:
    """What ends with it: the year of birth, and every tie but those named."""
    ties = guardians.ties_of(student)
    Student.objects.filter(pk=student.pk).update(
        born_year=None, turns_18_on=None, awaits_second_adult=False
    )
    gone = [tie.pk for tie in ties if tie.pk not in readers]
    Guardianship.objects.filter(pk__in=gone).update(ended_at=timezone.now())
    ends.note(ends.What.GROWN, student.pk, stands=False)
    ends.note_all(ends.What.TIE, gone)
    for tie in ties:
        may = "You may read on." if tie.pk in readers else "You read nothing more of it."
        text = f"{student.name} is of age and answers alone for what is kept. {may}"
        invitation_mail.send_about_child(student, text, [tie.user])


@transaction.atomic
def stop_reading(student: Student, tie_id: UUID) -> bool:
    """The grown child lets this guardian read no more. Whether they did."""
    ties = Guardianship.objects.filter(student=student, pk=tie_id, ended_at=None)
    was_reading = bool(ties.update(ended_at=timezone.now()))
    if was_reading:
        ends.note(ends.What.TIE, tie_id, stands=False)
    return was_reading
