"""The same server and browser as the short ones."""

from tests.browser.conftest import (  # noqa: F401
    browser,
    own_server,
    playwright,
    seed,
    server,
    shared_server,
    template,
)
