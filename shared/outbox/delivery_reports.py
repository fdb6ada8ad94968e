"""What a mail server reports of a mail that did not arrive: RFC 3464, read by the standard library.

Such a report may come hours after the mail was taken. It is believed only where it brings back
the Message-ID of a mail of ours, which nobody can guess.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from email import message_from_bytes, policy
from email.message import Message

# RFC 3464, 2.3.3: of all actions this one alone says that nothing more will be tried.
FAILED = "failed"
_STATUS = re.compile(r"([245])\.(\d{1,3})\.(\d{1,3})")  # RFC 3463, section 2.
_MESSAGE_ID = re.compile(r"<[^<>\s]{1,250}>")
LONGEST_WORDS = 200


@dataclass(frozen=True, slots=True)
class NotDelivered:
    """One recipient whom one mail did not reach. `addresses` are the one that the mail was sent
    to, if the server says so, and the one where it ended."""

    message_id: str
    addresses: tuple[str, ...]
    status: str
    words: str

    @property
    def is_final(self) -> bool:
        """Whether the address itself refuses; 4.x.x is a mail that came too late (RFC 3463)."""
        return self.status.startswith("5")


def read(raw: bytes) -> list[NotDelivered]:
    """Of a whole message, everybody whom the mail in it did not reach; none if it is no report."""
    message = message_from_bytes(raw, policy=policy.compat32)
    if message.get_content_type() != "multipart/report" or not message.is_multipart():
        return []
    parts: list[Message] = list(message.walk())
    report = next((p for p in parts if p.get_content_type() == "message/delivery-status"), None)
    message_id = _returned_id(parts)
    if report is None or not report.is_multipart() or not message_id:
        return []
    return list(_failed(report, message_id))


def _failed(report: Message, message_id: str) -> Iterator[NotDelivered]:
    """The fields of each recipient; those of the message stand before them and have none."""
    for fields in report.get_payload():
        if not isinstance(fields, Message) or _plain(fields, "Action").lower() != FAILED:
            continue
        status = _STATUS.search(_plain(fields, "Status"))
        said = (_address(fields, "Original-Recipient"), _address(fields, "Final-Recipient"))
        words = _plain(fields, "Diagnostic-Code").partition(";")[2].strip()
        yield NotDelivered(
            message_id=message_id,
            addresses=tuple(dict.fromkeys(filter(None, said))),
            status=status[0] if status else "",
            words=words[:LONGEST_WORDS],
        )


def _plain(fields: Message, name: str) -> str:
    return " ".join(str(fields.get(name, "")).split())


def _address(fields: Message, name: str) -> str:
    """'rfc822; louisl@larry.slip.umd.edu' without its type, in small letters."""
    kind, _, address = _plain(fields, name).partition(";")
    return address.strip().strip("<>").lower() if kind.strip().lower() == "rfc822" else ""


def _returned_id(parts: list[Message]) -> str:
    """The Message-ID of the mail that comes back, whole or with its headers alone (RFC 3462)."""
    for part in parts:
        kind = part.get_content_type()
        if kind == "message/rfc822" and part.is_multipart():
            found = str(part.get_payload()[0].get("Message-ID", ""))  # type: ignore[index,union-attr]  # A message in a message.
        elif kind == "text/rfc822-headers":
            found = str(message_from_bytes(_bytes(part)).get("Message-ID", ""))
        else:
            continue
        if match := _MESSAGE_ID.search(found):
            return match[0]
    return ""


def _bytes(part: Message) -> bytes:
    payload = part.get_payload(decode=True)
    return payload if isinstance(payload, bytes) else b""
