"""A second adult confirms a new child before anything is kept about it.

Whoever invites a guardian typed the address, and so could answer for a child alone. Where
others own the studio or coach in it, one of them confirms. Where nobody else does, the guardian
does, in a browser in which nobody of the studio ever signed in, by a fresh code from the mail.
Nobody is let in to confirm: a coach has worked here for some days (access.SETTLED). The other
owners are told of each, and the guardian by whom.
"""

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone

from shared.people import access, invitation_mail
from shared.people.known_devices import device_of
from shared.people.models import Membership, Student, Studio, User


def is_guardians_turn(student: Student) -> bool:
    """Whether nobody but the inviter could confirm the child in the studio."""
    return student.awaits_second_adult and not access.confirmers_of(student).exists()


def is_studios_browser(request: HttpRequest, studio: Studio) -> bool:
    """Whether somebody who works in the studio has signed in here before."""
    device = device_of(request)
    if device is None:
        return False
    working = Membership.objects.filter(studio=studio, ended_at=None)
    addresses = User.objects.filter(pk__in=working.values("user")).values_list("email", flat=True)
    return any(device.knows(address) for address in addresses)


@transaction.atomic
def confirm(student: Student, by: User) -> bool:
    """The record may begin. Whether it was this call that did it."""
    waiting = Student.objects.filter(pk=student.pk, awaits_second_adult=True)
    now = timezone.now()
    did_it = bool(waiting.update(awaits_second_adult=False, confirmed_at=now, confirmed_by=by))
    if did_it:
        _tell(student, by)
    return did_it


def _tell(student: Student, by: User) -> None:
    until = timezone.now() + invitation_mail.NEWS_GOOD_FOR
    facts = {"student": student, "by": by, "site": settings.SITE_URL}
    for owner in access.owners_of(student.studio).exclude(pk__in=[by.pk, student.lead_coach_id]):
        message = invitation_mail.letter("people/mail/confirmed.txt", facts, owner.email)
        invitation_mail.put(message, until=until)
    news = f"{by} of the studio has confirmed {student.name} and you. The record begins now."
    ties = student.guardianships.filter(ended_at=None).exclude(user=by).select_related("user")
    invitation_mail.send_about_child(student, news, [tie.user for tie in ties])
