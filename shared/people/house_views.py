"""The owner's page of the house: what runs, what is to be mended, and who came in."""

from dataclasses import dataclass
from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from shared import checkup
from shared.people import access, roster, security
from shared.people.events import house_findings, how_long
from shared.people.models import Membership, SecurityEvent, Student, User
from shared.people.requests import SignedInRequest

OWNING = (Membership.Role.OWNER,)
MOST_PAGES = 100


@dataclass(frozen=True, slots=True)
class SecurityEventRow:
    event: SecurityEvent
    who: str
    whom: str


@require_safe
@login_required
def house(request: SignedInRequest) -> HttpResponse:
    """What only a shell can mend stays in the shell: manage.py doctor."""
    studio = access.studio_or_404(request.user, OWNING)
    found = [finding for finding in checkup.findings() if not finding.private]
    found += [finding for tell in house_findings for finding in tell(studio)]
    context = {
        "studio": studio,
        "mend": [finding for finding in found if not finding.is_well],
        "well": [finding for finding in found if finding.is_well],
        "closed": [row for row in roster.closed(request.user) if row.may_open],
        "how_long": how_long,
        "now": timezone.now(),
    }
    return render(request, "people/house.html", context)


@require_safe
@login_required
def events(request: SignedInRequest) -> HttpResponse:
    studio = access.studio_or_404(request.user, OWNING)
    page = _number(request.GET.get("page", ""))
    start = page * security.PAGE
    found = list(security.of_studio(studio)[start : start + security.PAGE + 1])
    names = _names(found)
    rows = [
        SecurityEventRow(event, _name(event.by, names), _name(event.whom, names)) for event in found
    ]
    context = {
        "studio": studio,
        "rows": rows[: security.PAGE],
        "older": page + 1 if len(found) > security.PAGE else None,
        "newer": page - 1 if page else None,
    }
    return render(request, "people/events.html", context)


def _names(found: list[SecurityEvent]) -> dict[UUID, str]:
    ids = {pk for event in found for pk in (event.by, event.whom) if pk}
    people = (*Student.objects.filter(pk__in=ids), *User.objects.filter(pk__in=ids))
    return {person.pk: str(person) for person in people}


def _name(pk: UUID | None, names: dict[UUID, str]) -> str:
    return names.get(pk, "somebody who is gone") if pk else ""


def _number(text: str) -> int:
    return min(int(text), MOST_PAGES) if text.isdecimal() and len(text) < 4 else 0
