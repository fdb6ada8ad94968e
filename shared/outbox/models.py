"""What every mail on its way has, whatever it is about."""

from typing import Any, ClassVar
from urllib.parse import urlsplit
from uuid import UUID, uuid4

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

OPEN = ("due", "claimed", "sending")
LONGEST_WHY = 300


class Outgoing(models.Model):
    """One mail to one person, followed until it is known what became of it.

    `claimed` was never offered to the mail server and is always safe to repeat; only
    `sending` is ambiguous after a crash. `copies` counts the times it was offered
    without a clear refusal: at most two.
    """

    class State(models.TextChoices):
        DUE = "due", "waits"
        CLAIMED = "claimed", "taken by a worker"
        SENDING = "sending", "being sent"
        SENT = "sent", "sent"
        FAILED = "failed", "refused"
        UNKNOWN = "unknown", "perhaps sent"
        CANCELLED = "cancelled", "no longer wanted"
        EXPIRED = "expired", "too late"

    OPEN = OPEN
    # What is emptied as soon as it is known what became of the mail.
    EMPTIED: ClassVar[dict[str, Any]] = {}

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    state = models.CharField(max_length=9, choices=State.choices, default=State.DUE)
    why = models.CharField(max_length=LONGEST_WHY, blank=True)
    claim = models.UUIDField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    copies = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    message_id = models.CharField(max_length=200)
    planned_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True

    @property
    def sent_to(self) -> str:
        """The address that it goes to."""
        raise NotImplementedError


def still_open(name: str) -> models.Index:
    """The index by which the sender finds what is due."""
    return models.Index(fields=["next_try_at"], condition=Q(state__in=OPEN), name=name)


def message_id_of(pk: UUID) -> str:
    """The same on every copy of a mail: some mailboxes show one of them."""
    return f"<{pk.hex}@{urlsplit(settings.SITE_URL).hostname}>"
