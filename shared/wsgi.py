"""The web server's way in."""

import os
from typing import Any

from django.core.wsgi import get_wsgi_application
from django.db.backends.signals import connection_created

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shared.settings")
# Nobody waits longer for a page. Commands and migrations may take their time.
LIMITS = {
    "statement_timeout": "15s",
    "lock_timeout": "5s",
    "idle_in_transaction_session_timeout": "60s",
}


def limit_statements(connection: Any, **kwargs: Any) -> None:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            for name, most in LIMITS.items():
                cursor.execute("SELECT set_config(%s, %s, false)", [name, most])


connection_created.connect(limit_statements, dispatch_uid="limits of requests")
application = get_wsgi_application()
