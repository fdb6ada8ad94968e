"""The link in a reminder: opens one student's week without a sign-in, for as long as it matters.

It is signed and stored nowhere. A mail program that opens it in advance gets a
page with a button; only pressing the button gives the device a key, and that key
ends with the link.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.conf import settings
from django.core import signing
from django.urls import reverse
from django.utils import timezone

from practice.phone.keys import make_key
from shared.kit.weeks import day_starts_at
from shared.people import access
from shared.people.access import Recordable
from shared.people.models import Student, User

SALT = "practice.log.links"
DAYS_AFTER = 2


class LinkOver(Exception):
    """The link is no link of ours, is over, or its reader may not log any more."""


@dataclass(frozen=True, slots=True)
class WeekLink:
    student: Recordable
    reader: User
    opens: date

    @property
    def expires_at(self) -> datetime:
        """Two days after the week closes, at the student's turnover of the day."""
        return day_starts_at(self.opens + timedelta(days=7 + DAYS_AFTER), self.student.time_zone)


def week_link(student: Student, opens: date, reader: User | None = None) -> str:
    """The address to put in a mail to `reader`, by default the student.

    Raises ValueError for a student without a sign-in of their own and no reader.
    """
    reader_id = reader.pk if reader else student.user_id
    if reader_id is None:
        raise ValueError("Somebody must be able to read the week.")
    said = [str(student.pk), opens.isoformat(), str(reader_id)]
    token = signing.dumps(said, salt=SALT)
    return settings.SITE_URL + reverse("log:open", args=[token])


def read_link(token: str) -> WeekLink:
    """What a link says, if it still holds. Raises LinkOver."""
    try:
        student_id, opens, reader_id = signing.loads(token, salt=SALT)
    except signing.BadSignature as error:
        raise LinkOver from error
    student = Student.objects.select_related("studio").filter(pk=UUID(student_id)).first()
    reader = User.objects.filter(pk=UUID(reader_id), is_active=True).first()
    logged = access.logged_for(reader, student) if student and reader else None
    if logged is None or reader is None:
        raise LinkOver
    link = WeekLink(logged, reader, date.fromisoformat(opens))
    if link.expires_at <= timezone.now():
        raise LinkOver
    return link


def take_link(link: WeekLink, device: str, browser: str = "") -> str:
    """A key for this device that ends with the link; its secret."""
    secret, _ = make_key(
        user=link.reader,
        student=link.student,
        device=device,
        browser=browser,
        expires_at=link.expires_at,
    )
    return secret
