"""What tests that read many files share."""

import pytest

from practice.importing import reading

OPENED: dict[tuple[str, str | None, bytes], list[bytes]] = {}


@pytest.fixture
def opened_once(monkeypatch):
    """A file is opened in the jail once, whole; whoever asks for fewer rows is given the first.

    The same bytes give the same rows, and the program asks for them four times a file. That no
    more are opened than are asked for is tried in test_reading.
    """
    jailed = reading._jailed

    def first_rows(real, module, asked):
        real.seek(0)
        key = (module, asked.get("encoding"), real.read())
        if key not in OPENED:
            OPENED[key] = list(jailed(real, module, asked | {"most": reading.MOST_ROWS + 1}))
        return iter(OPENED[key][: asked["most"]])

    monkeypatch.setattr(reading, "_jailed", first_rows)
