"""Lines of the log: one event is one line, and no line holds what opens something."""

import logging
import re

LONGEST = 4000
_TOKEN = re.compile(r"(/(?:open|join|reminders/stop|password/reset/key)/)[^/\s]+")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")


class Line(logging.Formatter):
    """Cuts tokens out of addresses, and writes out what would begin a line of its own."""

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802 (logging's own name)
        said = record.message[:LONGEST]
        record.message = _CONTROL.sub(lambda found: ascii(found[0])[1:-1], said)
        return super().formatMessage(record)

    def format(self, record: logging.LogRecord) -> str:
        return _TOKEN.sub(r"\1…", super().format(record))
