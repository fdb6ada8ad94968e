"""Who leads a student, and handing that over.

Whoever leads reads of pain and need not say why. So nobody takes it: the present lead coach or
the owner gives it, and whoever it concerns is told, also where the owner gives it to the owner.
"""

from django.conf import settings
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from shared.people import access, invitation_mail, services
from shared.people.access import Recordable
from shared.people.models import Guardianship, Student, User


def may_hand_over(user: User, student: Student) -> bool:
    return user.pk == student.lead_coach_id or access.owns(user, student.studio)


@transaction.atomic
def hand_over(*, student: Recordable, to: User, by: User) -> None:
    """Somebody else leads the student from now on; the family and the owners are told."""
    student.lead_coach = to
    services.change_student(student=student, changed=("lead_coach",))
    facts = {"student": student, "to": to, "by": by, "site": settings.SITE_URL}
    until = timezone.now() + invitation_mail.NEWS_GOOD_FOR
    for reader in _concerned(student, by):
        message = invitation_mail.letter("people/mail/lead.txt", facts, reader.email)
        invitation_mail.put(message, until=until)


def _concerned(student: Student, by: User) -> list[User]:
    """The guardians, or the student who answers alone, and the owners."""
    concerned = Q(pk__in=access.owners_of(student.studio).values("pk"))
    if student.is_minor:
        ties = Guardianship.objects.filter(student=student, ended_at=None)
        concerned |= Q(pk__in=ties.values("user"))
    else:
        concerned |= Q(pk=student.user_id)
    users = User.objects.filter(concerned, is_active=True).exclude(pk=by.pk)
    return [user for user in users.order_by("pk") if user.has_mail]
