"""A phone of a child's own: offered by a guardian, taken by the device, ended by the guardian.

No mail address is needed. The device takes the offer by a link (also as a picture) or by six
digits, and gets a key of that child and that device.
"""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import salted_hmac

from practice.log.models import LogKey, PhoneOffer
from practice.phone import keys
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student, User
from shared.people.services import user_of_child

GOOD_FOR = timedelta(minutes=15)
SALT = "practice.log.child_phones"


class OfferOver(Exception):
    """The link or the digits are none of ours, were used, or are too old."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What the guardian's page shows this once."""

    link: str
    code: str
    until: datetime


@transaction.atomic
def offer(*, student: Recordable, by: User) -> Shown:
    """A new offer; earlier ones of this guardian for this child are over."""
    now = timezone.now()
    PhoneOffer.objects.filter(student=student, made_by=by, taken_at=None).delete()
    link, code, until = secrets.token_urlsafe(24), _free_code(now), now + GOOD_FOR
    PhoneOffer.objects.create(
        student=student,
        made_by=by,
        link_digest=_link_digest(link),
        code_digest=_code_digest(code),
        until=until,
    )
    return Shown(settings.SITE_URL + reverse("log:phone_link", args=[link]), code, until)


def by_link(link: str) -> PhoneOffer:
    """The open offer behind a link. Raises OfferOver."""
    return _one(PhoneOffer.objects.filter(link_digest=_link_digest(link)))


def by_code(code: str) -> PhoneOffer:
    """The open offer with these six digits. Raises OfferOver."""
    return _one(PhoneOffer.objects.filter(code_digest=_code_digest("".join(code.split()))))


@transaction.atomic
def take(found: PhoneOffer, *, device: str, browser: str) -> tuple[str, LogKey]:
    """The device's key and its secret. One of those who try at once; the others get OfferOver."""
    student = access.recordable(found.student)
    offers = PhoneOffer.objects.filter(pk=found.pk, taken_at=None)
    if not offers.update(taken_at=timezone.now()):
        raise OfferOver
    return keys.make_key(
        user=user_of_child(student),
        student=student,
        device=device,
        browser=browser,
        made_by=found.made_by,
    )


def phones_of(student: Student) -> QuerySet[LogKey]:
    """The child's own phones that log now, newest first."""
    found = LogKey.objects.filter(student=student, made_by__isnull=False, revoked_at=None)
    return found.filter(expires_at__gt=timezone.now()).order_by("-made_at")


def may_have(student: Student) -> bool:
    """A phone of this kind is for a child whose record is agreed to."""
    return student.is_minor and access.may_be_recorded(student)


def _one(offers: QuerySet[PhoneOffer]) -> PhoneOffer:
    open_ones = offers.filter(taken_at=None, until__gt=timezone.now())
    found = open_ones.select_related("student__studio", "made_by").first()
    if found is None or not may_have(found.student):
        raise OfferOver
    if not access.children_of(found.made_by).filter(pk=found.student_id).exists():
        raise OfferOver
    return found


def _free_code(now: datetime) -> str:
    """Six digits that no open offer has."""
    while True:
        code = f"{secrets.randbelow(1_000_000):06d}"
        taken = PhoneOffer.objects.filter(code_digest=_code_digest(code), until__gt=now)
        if not taken.exists():
            return code


def _link_digest(link: str) -> str:
    return hashlib.sha256(link.encode()).hexdigest()


def _code_digest(code: str) -> str:
    """Keyed: a million hashes are made in a second."""
    return salted_hmac(SALT, code, algorithm="sha256").hexdigest()
