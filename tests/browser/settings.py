"""The browser tests' server: the real settings, its own database, faults on order."""

import os
from pathlib import Path

from tests.settings import *  # noqa: F403
from tests.settings import DATABASES, MIDDLEWARE, STORAGES

FOLDER = Path(os.environ["PHONE_TEST_FOLDER"])
DATABASES["default"]["NAME"] = str(FOLDER / "phone.sqlite3")
MIDDLEWARE = ["tests.browser.faults.Faults", *MIDDLEWARE]
LOGGING = {"version": 1, "disable_existing_loggers": True}
# Nothing is collected for a test: the static files come from where they are written.
WHITENOISE_USE_FINDERS = True
STORAGES["clips"]["OPTIONS"]["location"] = str(FOLDER / "clips")
FILE_UPLOAD_TEMP_DIR = str(FOLDER)
