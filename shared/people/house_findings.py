"""What the house page says of the people of a studio, and the figures of who is here."""

from collections.abc import Iterable
from datetime import timedelta

from allauth.mfa.models import Authenticator
from django.db.models import Count, Exists, OuterRef, Q
from django.utils import timezone

from shared.checkup import CheckFinding
from shared.people import access
from shared.people.models import (
    Membership,
    SecurityEvent,
    Student,
    Studio,
    UserSession,
)
from shared.site import health
from shared.site.metrics import Gauge


def consents(studio: Studio) -> Iterable[CheckFinding]:
    """Children present here of whom nothing may be kept."""
    closed = Student.objects.filter(studio=studio, left_on=None).exclude(access.agreed())
    waits = Q(awaits_second_adult=True)
    counts = closed.aggregate(waiting=Count("pk", filter=waits), without=Count("pk", filter=~waits))
    waiting, without = counts["waiting"], counts["without"]
    if without:
        mend = "Open each below. Nothing of them is kept meanwhile."
        yield CheckFinding(
            "Consents", f"Children here without a consent that stands: {without}.", mend
        )
    if waiting:
        mend = "A second adult confirms them, see Students. Nothing of them is kept meanwhile."
        yield CheckFinding("Consents", f"New children who wait to be confirmed: {waiting}.", mend)
    if not without and not waiting:
        yield CheckFinding("Consents", "Every child here has a guardian’s consent.")


def of_those_who_work_here(studio: Studio) -> Iterable[CheckFinding]:
    """Those without a passkey, where they are asked for, and how often they are signed in. One
    query."""
    passkey = Authenticator.objects.filter(type=Authenticator.Type.WEBAUTHN, user=OuterRef("user"))
    is_open = Q(user__sessions__expire_date__gt=timezone.now())
    found = Membership.objects.filter(studio=studio, ended_at=None).aggregate(
        missing=Count("user", distinct=True, filter=~Exists(passkey)),
        sign_ins=Count("user__sessions", distinct=True, filter=is_open),
    )
    if studio.passkeys_since is None:
        mend = "Ask for them under People, Change the studio."
        yield CheckFinding("Passkeys", "They are not asked for.", mend)
    elif missing := found["missing"]:
        yield CheckFinding("Passkeys", f"{missing} who work here have none yet.", "Remind them.")
    else:
        yield CheckFinding("Passkeys", "Everybody who works here has one.")
    open_now = found["sign_ins"]
    yield CheckFinding("Devices", f"Open sign-ins of those who work here: {open_now}.")


def gauges() -> Iterable[Gauge]:
    found = health.check()
    yield Gauge("house_ready", "1 while the database answers and the tick is fresh.", found.ready)
    if found.tick_seconds is not None:
        words = "Seconds since the reminders last ran."
        yield Gauge("house_last_tick_seconds", words, found.tick_seconds)
    now = timezone.now()
    open_now = UserSession.objects.filter(user__isnull=False, expire_date__gt=now).count()
    yield Gauge("house_sessions", "Sign-ins that are open.", open_now)
    failed = SecurityEvent.objects.filter(
        kind=SecurityEvent.Kind.SIGN_IN_FAILED, at__gt=now - timedelta(hours=1)
    )
    yield Gauge("house_failed_sign_ins", "Sign-ins that failed in the last hour.", failed.count())
