"""Phones that are nudged instead of mailed: asked for on the phone, for one student each."""

from datetime import timedelta

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from practice.log.models import LogKey
from practice.phone.models import PushDevice
from shared.kit.refused import Refused
from shared.outbox import push_sender, web_push
from shared.outbox.push_sender import PushEndpoint
from shared.people.models import Student, User

# A push service may take a message for a phone that nobody opens any more: then mails go again.
FRESH_FOR = timedelta(days=30)
SEEN_AGAIN_AFTER = timedelta(hours=12)
MOST_DEVICES = 5


@transaction.atomic
def keep(*, key: LogKey, endpoint: str, p256dh: str, auth: str) -> PushDevice:
    """This browser's subscription, in the place of what it had. Raises Refused."""
    _check(endpoint, p256dh, auth)
    now, given = timezone.now(), {"endpoint": endpoint, "p256dh": p256dh, "auth": auth}
    # The same browser under an older key of the same person would be nudged twice.
    older = PushDevice.objects.filter(
        endpoint=endpoint, key__user=key.user_id, key__student=key.student_id
    )
    older.exclude(key=key).delete()
    device, made = PushDevice.objects.get_or_create(key=key, defaults=given)
    changed = any(getattr(device, name) != value for name, value in given.items())
    if not made and (changed or not now - SEEN_AGAIN_AFTER < device.seen_at <= now):
        PushDevice.objects.filter(pk=device.pk).update(**given, seen_at=now)
    return device


def _check(endpoint: str, p256dh: str, auth: str) -> None:
    if fault := push_sender.fault_of(endpoint):
        raise Refused(fault)
    try:
        sizes = len(web_push.to_bytes(p256dh)), len(web_push.to_bytes(auth))
        web_push.read_point(p256dh)
    except ValueError as error:
        raise Refused("These are no keys of a browser.") from error
    if sizes != (web_push.POINT, web_push.SECRET):
        raise Refused("These are no keys of a browser.")


def end(key: LogKey) -> None:
    PushDevice.objects.filter(key=key).delete()


def gone(endpoint: str) -> None:
    """The push service knows this browser no more."""
    PushDevice.objects.filter(endpoint=endpoint).delete()


def _standing(user: User, student: Student) -> QuerySet[PushDevice]:
    now = timezone.now()
    return PushDevice.objects.filter(
        key__user=user,
        key__student=student,
        key__revoked_at=None,
        key__expires_at__gt=now,
        seen_at__gt=now - FRESH_FOR,
    )


def devices_of(user: User, student: Student) -> tuple[PushEndpoint, ...]:
    """Where this person is nudged about this student, the one seen last first."""
    found = _standing(user, student).order_by("-seen_at")[:MOST_DEVICES]
    return tuple(PushEndpoint(each.endpoint, each.p256dh, each.auth) for each in found)


def is_nudged(key: LogKey) -> bool:
    """Whether this device is nudged. No query for a key that was read with its device."""
    return hasattr(key, "push_device")


def reaches(user: User, student: Student) -> bool:
    return _standing(user, student).exists()
