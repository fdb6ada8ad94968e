"""The real settings with a data folder of their own; DATABASE_URL and REDIS_URL are honoured."""

import os
from datetime import timedelta

from tests import own_folder

os.environ["DATA_DIR"] = own_folder.made()
os.environ.setdefault("SECRET_KEY", "for tests only")
# The browser's driver keeps an event loop in the tests' thread from its first use to the
# end of the run; no test is asynchronous, so the database may be used beside it.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")

from shared.settings import *  # noqa: F403 (the environment must be set first)
from shared.settings import DATA_DIR, DATABASES, MIDDLEWARE, REST_FRAMEWORK, STORAGES, Ages

if os.environ.get("SLOW"):
    MIDDLEWARE = ["tests.slow.Late", *MIDDLEWARE]
# Tests move the clock by months while somebody is signed in; tests/people/test_sessions.py
# puts the real ages back.
SESSION_AGES = dict.fromkeys(("staff", "others"), Ages(timedelta(days=9999), timedelta(days=9999)))
# Attacks ask as fast as they can; tests/log/test_api_limit.py puts the limit back.
REST_FRAMEWORK = REST_FRAMEWORK | {"DEFAULT_THROTTLE_RATES": {"api": None}}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # Fast; tests only.
STORAGES = STORAGES | {
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["TEST"] = {"NAME": str(DATA_DIR / "test.sqlite3")}
    # The tests' database need not survive a power cut.
    DATABASES["default"]["OPTIONS"]["init_command"] = (
        "PRAGMA journal_mode=WAL; PRAGMA synchronous=OFF"
    )
    # Twenty who write at once wait for each other, however slow the machine is.
    DATABASES["default"]["OPTIONS"]["timeout"] = 180
else:
    # Nor there; and a request's limits on statements are for those who serve.
    DATABASES["default"]["OPTIONS"] |= {
        "connect_timeout": 180,
        "options": "-c synchronous_commit=off",
    }
(DATA_DIR / "static").mkdir(exist_ok=True)
