"""What the answers become: days, pain told as pain, and, once a coach has looked, the aim."""

from collections.abc import Collection, Sequence
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction
from django.db.models import Exists, OuterRef, UUIDField
from django.urls import reverse
from django.utils import timezone

from coaching.intake.models import Intake
from coaching.season.services import set_days
from practice.care import earlier
from practice.flows.take_entry import Receipt, Sender, receive_one
from practice.log.beside_parts import FirstQuestions
from practice.log.document import LATEST
from practice.log.models import Entry
from practice.weeks.places import DayPlace
from shared.people import access, services
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.people.today import today_of
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows


@transaction.atomic
def answer(
    *,
    student: Recordable,
    by: User,
    times: Sequence[tuple[int, DayPlace, int]],
    measures: Collection[str],
    aim: str,
    hurt_before: str | None = None,
) -> Intake:
    """Keep the answers in the place of earlier ones; a coach has to look again.

    What hurt before is None where it was not asked, and then stays as it was told.
    """
    if times:
        set_days(student=student, times=list(times))
    if hurt_before is not None:
        earlier.tell(student=student, by=by, words=hurt_before)
    given = {
        "aim": aim, "measures": list(measures), "answered_by": by, "answered_at": timezone.now(),
        "reviewed_by": None, "reviewed_at": None,
    }  # fmt: skip
    return Intake.objects.update_or_create(student=student, defaults=given)[0]


def tell_pain(*, student: Recordable, by: User, where: str, level: int) -> Receipt:
    """What hurts now goes the way of all pain: it stops what it must, and tells who must know."""
    now = timezone.localtime()
    entry = {
        "id": str(uuid4()),
        "v": LATEST,
        "k": "log",
        "who": str(student.pk),
        "day": today_of(student).isoformat(),
        "at": now.isoformat(),
        "b": [],
        "pain": {"lvl": level, "where": where, "signs": [], "new": False, "p": None},
    }
    return receive_one(entry, sender=Sender(student, by))


@transaction.atomic
def review(*, student: Recordable, by: User, aim: str) -> None:
    """A coach has looked: the aim is the student's from now on."""
    if aim != student.goal:
        student.goal = aim
        services.change_student(student=student, changed=("goal",))
    open_ones = Intake.objects.filter(student=student, reviewed_at=None)
    open_ones.update(reviewed_by=by, reviewed_at=timezone.now())


def asks(student: Student, reader: User) -> Question[FirstQuestions]:
    """The first questions, until they are answered or practice has begun anyway.

    They are over once a coach has looked at the answers, as days and pain have pages of their
    own; but a guardian is asked of health, which a child's own answers leave open.
    """
    return Question(
        lambda rows: _first_questions(student, reader, *rows[0]), Rows(_told, student=student.pk)
    )


_told = Prepared(
    lambda student: Student.objects.filter(pk=student).values_list(
        "intake__answered_by",
        "intake__reviewed_at",
        Exists(Entry.objects.filter(student=OuterRef("pk"))),
    ),
    student=UUIDField,
)


def _first_questions(
    student: Student, reader: User, answered_by: UUID | None, *rest: Any
) -> FirstQuestions:
    reviewed_at, has_begun = rest
    open_to_child = answered_by == student.user_id and reader.pk != student.user_id
    if answered_by is not None and not open_to_child:
        return FirstQuestions(is_over=reviewed_at is not None)
    if student.left_on is not None or has_begun:
        return FirstQuestions()
    return FirstQuestions(now=reverse("intake:own", args=[student.pk]))


def is_guardian(user: User, student: Student) -> bool:
    """Whether this adult answers for this child."""
    return access.children_of(user).filter(pk=student.pk).exists()
