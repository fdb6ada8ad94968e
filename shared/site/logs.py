"""Lines of the log: one event is one line, and no line holds what opens something."""

import json
import logging
import re
import traceback
from datetime import UTC, datetime

from shared.site.requests_named import current

LONGEST = 4000
_TOKEN = re.compile(r"(/(?:open|join|reminders/stop|password/reset/key)/)[^/\s]+")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")


class LogLine(logging.Formatter):
    """Cuts tokens out of addresses, and writes out what would begin a line of its own."""

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802 (logging's own name)
        said = record.message[:LONGEST]
        record.message = _CONTROL.sub(lambda found: ascii(found[0])[1:-1], said)
        said = super().formatMessage(record)
        return f"{said} [{current.get()}]" if current.get() else said

    def format(self, record: logging.LogRecord) -> str:
        return _TOKEN.sub(r"\1…", super().format(record))


class Structured(logging.Formatter):
    """One JSON object a line: when, how grave, who says it, what, of which request."""

    def format(self, record: logging.LogRecord) -> str:
        told = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": record.getMessage()[:LONGEST],
        }
        if current.get():
            told["request"] = current.get()
        if record.exc_info and record.exc_info[0]:
            told["error"] = record.exc_info[0].__name__
            told["trace"] = "".join(traceback.format_tb(record.exc_info[2]))[-LONGEST:]
        return _TOKEN.sub(r"\1…", json.dumps(told, ensure_ascii=False))


class ErrorMail(logging.Handler):
    """A fault of ours as a mail to whoever runs this: where in the code, and of which request.

    No address, form or cookie of the request goes along: they say who somebody is.
    """

    def __init__(self, to: str) -> None:
        super().__init__(logging.ERROR)
        self.to = to

    def emit(self, record: logging.LogRecord) -> None:
        from django.core.mail import send_mail

        if record.exc_info is None or record.exc_info[0] is None:
            return
        trace = "".join(traceback.format_tb(record.exc_info[2]))
        words = f"{record.exc_info[0].__name__} in request {current.get() or '-'}\n\n{trace}"
        try:
            send_mail(f"Fault: {record.exc_info[0].__name__}", words, None, [self.to])
        except OSError:
            self.handleError(record)
