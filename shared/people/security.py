"""The log of security events: who, as what, what, whom, from where, when. Only ever added to."""

import ipaddress
from uuid import UUID

from allauth.account.adapter import get_adapter
from django.db.models import Q, QuerySet
from django.http import HttpRequest

from shared.people.device_text import device_words
from shared.people.models import Membership, SecurityEvent, Student, Studio, User
from shared.site.requests_named import current

PAGE = 100
Kind = SecurityEvent.Kind


def note(
    request: HttpRequest,
    kind: str,
    *,
    by: User | None = None,
    whom: UUID | None = None,
    studio: Studio | None = None,
    what: str = "",
) -> None:
    """Add one event. `by` is whoever did it, if that is known."""
    SecurityEvent.objects.create(
        kind=kind,
        by=by.pk if by else None,
        role=_roles(by),
        whom=whom,
        studio=studio.pk if studio else None,
        what=what[:120],
        network=network_of(get_adapter().get_client_ip(request)),
        device=device_words(request.headers.get("User-Agent", "")),
        request=current.get(),
    )


def _roles(user: User | None) -> str:
    roles = {role for found in user.roles_by_studio.values() for role in found} if user else set()
    return ", ".join(sorted(roles))


def network_of(address: str) -> str:
    """The network of an address; empty for what is none."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return ""
    bits = 24 if found.version == 4 else 48
    return str(ipaddress.ip_network(f"{found}/{bits}", strict=False))


def of_studio(studio: Studio) -> QuerySet[SecurityEvent]:
    """Events of this studio and of everybody who works or practises in it, latest first."""
    staff = Membership.objects.filter(studio=studio).values("user")
    students = Student.objects.filter(studio=studio, user__isnull=False).values("user")
    theirs = Q(by__in=staff) | Q(by__in=students) | Q(studio=studio.pk)
    return SecurityEvent.objects.filter(theirs).order_by("-at", "-pk")
