"""The conversation with the mail server, and what its end tells us."""

import re
import smtplib
from types import TracebackType
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage, get_connection

TO_A_FILE = "written to a file, as no mail server is set"
TO_A_PHONE = "to the phone, in the place of a mail"


def reaches_nobody() -> bool:
    """Whether mails are only written down, because no mail server is set."""
    kind = settings.EMAIL_BACKEND.rsplit(".", 2)[-2]
    return kind in {"filebased", "console", "dummy"}


class NotOffered(Exception):
    """The mail never left: always safe to repeat."""


class NoServer(NotOffered):
    """There is no conversation at all: no other mail would leave either."""


class NoAnswer(Exception):
    """The mail was handed over and no answer came: it may have arrived."""


MAILBOX_REFUSED = {550, 551, 553}
OF_SENDER = {"5.1.7", "5.1.8"}
_STATUS = re.compile(r"\d{3} (5\.\d{1,3}\.\d{1,3})\b")


class MailRefused(Exception):
    """The server said no, with a code; `at_recipient` where it said so to the address."""

    def __init__(self, code: int, text: str | bytes, *, at_recipient: bool = False) -> None:
        self.code = code
        self.at_recipient = at_recipient
        words = text.decode("utf-8", "replace") if isinstance(text, bytes) else text
        super().__init__(f"{code} {' '.join(words.split())}")

    @property
    def temporary(self) -> bool:
        return 400 <= self.code < 500

    @property
    def is_of_address(self) -> bool:
        """Whether the address is refused for good, and not us or this one mail.

        RFC 5321, 4.2.3: 550, 551 and 553 are about the mailbox. Where the server says more, RFC
        3463 decides: 5.1 is the address (5.1.7 and 5.1.8 the sender's), 5.2 the mailbox. 5.7 is
        policy: a server that will not relay for us says so of everybody.
        """
        if not self.at_recipient or self.code not in MAILBOX_REFUSED:
            return False
        said = _STATUS.match(str(self))
        return said is None or (said[1].startswith(("5.1.", "5.2.")) and said[1] not in OF_SENDER)


class Postman:
    """One connection, kept for several mails and dropped after any trouble.

    EMAIL_TIMEOUT bounds every wait. Where the backend speaks SMTP it is watched
    whether the text of the mail was handed over, because only from then on is a
    lost connection ambiguous.
    """

    def __init__(self, *, is_away: bool = False) -> None:
        # Whether there is no server just now: then nothing is tried.
        self.is_away = is_away
        self._backend: Any = None
        self._handed_over = False

    def __enter__(self) -> "Postman":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._drop()

    def post(self, message: EmailMessage) -> None:
        """Returns when the server took the mail.

        Raises Refused, NoServer, NotOffered or NoAnswer.
        """
        self._open()
        try:
            self._hand_over(message)
        except BaseException:
            self._drop()
            raise

    def _open(self) -> None:
        if self._backend is not None:
            return
        if self.is_away:
            raise NoServer("no connection a moment ago")
        backend = get_connection(fail_silently=False)
        try:
            backend.open()
        except OSError as error:  # smtplib's errors are OSErrors too.
            _close(backend)
            raise NoServer(f"no connection: {error}") from error
        self._watch(backend)
        self._backend = backend

    def _watch(self, backend: Any) -> None:
        smtp = getattr(backend, "connection", None)
        if not isinstance(smtp, smtplib.SMTP):
            self._handed_over = True  # Nothing is known: every error is ambiguous.
            return
        usual = smtp.data

        def data(text: Any) -> tuple[int, bytes]:
            self._handed_over = True
            return usual(text)

        smtp.data = data  # type: ignore[method-assign,assignment]  # This one connection only.

    def _hand_over(self, message: EmailMessage) -> None:
        if isinstance(getattr(self._backend, "connection", None), smtplib.SMTP):
            self._handed_over = False
        try:
            self._backend.send_messages([message])
        except smtplib.SMTPRecipientsRefused as refusal:
            answer = next(iter(refusal.recipients.values()))
            raise MailRefused(*answer, at_recipient=True) from refusal
        except smtplib.SMTPResponseException as refusal:
            raise MailRefused(refusal.smtp_code, refusal.smtp_error) from refusal
        except OSError as error:
            kind = NoAnswer if self._handed_over else NotOffered
            raise kind(f"connection lost: {error}") from error

    def _drop(self) -> None:
        backend, self._backend = self._backend, None
        if backend is not None:
            _close(backend)


def _close(backend: Any) -> None:
    try:
        backend.close()
    except OSError:  # It was lost already.
        return
