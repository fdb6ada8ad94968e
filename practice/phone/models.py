"""The browsers that have asked to be nudged."""

from django.db import models
from django.utils import timezone

from practice.log.models import LogKey
from shared.outbox.push_sender import LONGEST_ENDPOINT


class PushDevice(models.Model):
    """A browser's subscription. It stands on the device's key, and ends when that does."""

    key = models.OneToOneField(LogKey, models.CASCADE, related_name="push_device")
    endpoint = models.CharField(max_length=LONGEST_ENDPOINT, db_index=True)
    p256dh = models.CharField(max_length=100)
    auth = models.CharField(max_length=40)
    made_at = models.DateTimeField(default=timezone.now)
    # When its page was last open. A phone that lies in a drawer takes nobody's mail away.
    seen_at = models.DateTimeField(default=timezone.now)
