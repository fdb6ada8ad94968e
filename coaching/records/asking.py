"""Asking that a student be erased, taking it back within the days that are left, and doing it."""

from datetime import timedelta

from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from coaching.records.models import Erasure
from shared.people import ends, invitation_mail
from shared.people.models import Guardianship, Membership, Student, User


def ask(*, student: Student, by: User | None, why: str = "") -> Erasure:
    """Everything of the student goes after the days of waiting. Asked twice, the first stands;
    but what the family asks is the family's, whoever had asked before.

    Whoever may take it back is told by mail; without `by` the house asks, by its own rule.
    """
    open_one = open_of(student)
    if open_one is not None:
        return _now_of(open_one, by, why)
    due = timezone.now() + timedelta(days=settings.ERASURE_WAITS_DAYS)
    try:
        with transaction.atomic():
            erasure = Erasure.objects.create(student=student, asked_by=by, why=why, due_at=due)
            _note_asked(erasure)
            _tell(erasure)
    except IntegrityError:  # Asked by two at once.
        return Erasure.objects.get(student=student, taken_back_at=None)
    return erasure


def _now_of(erasure: Erasure, by: User | None, why: str) -> Erasure:
    if by is not None and is_family(by, erasure.student) and not asked_by_family(erasure):
        erasure.asked_by, erasure.why = by, why
        erasure.save(update_fields=["asked_by", "why"])
        _note_asked(erasure)
    return erasure


def _note_asked(erasure: Erasure) -> None:
    """What the house asked by its own rule it finds again by itself."""
    if erasure.asked_by is not None:
        asker = erasure.asked_by.pk
        ends.note(ends.What.KEPT, erasure.student_id, stands=False, whose=asker)


def open_of(student: Student) -> Erasure | None:
    found = Erasure.objects.filter(student=student, taken_back_at=None)
    return found.select_related("asked_by").first()


@transaction.atomic
def take_back(erasure: Erasure) -> bool:
    """Whether it was still open."""
    still = Erasure.objects.filter(pk=erasure.pk, taken_back_at=None)
    was_open = bool(still.update(taken_back_at=timezone.now()))
    if was_open:
        ends.note(ends.What.KEPT, erasure.student_id, stands=True)
    return was_open


def may_take_back(user: User, erasure: Erasure) -> bool:
    """What the family asked, only the family takes back; what the studio asked, both."""
    return is_family(user, erasure.student) or not asked_by_family(erasure)


def asked_by_family(erasure: Erasure) -> bool:
    """Also by a guardian whose tie has ended since: taking them off takes nothing back."""
    student, asker = erasure.student, erasure.asked_by
    if asker is None:
        return False
    return asker.pk == student.user_id or student.guardianships.filter(user=asker).exists()


def is_family(user: User, student: Student) -> bool:
    """The student, or who answers for the student."""
    ties = Guardianship.objects.filter(student=student, user=user, ended_at=None)
    return user.pk == student.user_id or ties.exists()


def due() -> QuerySet[Erasure]:
    found = Erasure.objects.filter(taken_back_at=None, due_at__lte=timezone.now())
    return found.select_related("student").order_by("due_at")


def wait_anew() -> None:
    """After a backup was brought back: what waits waits its whole days again, and is told anew.

    That it was taken back may be younger than the backup.
    """
    due_at = timezone.now() + timedelta(days=settings.ERASURE_WAITS_DAYS)
    for erasure in Erasure.objects.filter(taken_back_at=None).select_related("student__studio"):
        erasure.due_at = max(erasure.due_at, due_at)
        erasure.save(update_fields=["due_at"])
        _tell(erasure)


def _tell(erasure: Erasure) -> None:
    page = settings.SITE_URL + reverse("records:erase", args=[erasure.student_id])
    facts = {"erasure": erasure, "student": erasure.student, "page": page}
    for user in _concerned(erasure.student):
        message = invitation_mail.letter("records/mail/asked.txt", facts, user.email)
        invitation_mail.put(message, until=erasure.due_at)


def tell_copied(student: Student, by: User) -> None:
    """Somebody of the studio has taken a copy of everything: no step they could take unseen."""
    facts = {"student": student, "by": by, "site": settings.SITE_URL}
    for user in _concerned(student):
        if user != by:
            message = invitation_mail.letter("records/mail/copied.txt", facts, user.email)
            until = timezone.now() + invitation_mail.NEWS_GOOD_FOR
            invitation_mail.put(message, until=until)


def _concerned(student: Student) -> list[User]:
    """The student, the guardians and the owners of the studio, as far as mail reaches them."""
    owners = Membership.objects.filter(
        studio=student.studio_id, role=Membership.Role.OWNER, ended_at=None
    )
    ties = Guardianship.objects.filter(student=student, ended_at=None)
    concerned = Q(pk=student.user_id) | Q(pk__in=owners.values("user"))
    users = User.objects.filter(concerned | Q(pk__in=ties.values("user")), is_active=True)
    return [user for user in users.order_by("pk") if user.has_mail]
