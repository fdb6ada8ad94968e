"""Health check from inside a container: exit 0 if /health/NAME answers 200 (`live` or `ready`)."""

import os
import sys
from http.client import HTTPConnection
from urllib.parse import urlsplit


def main() -> int:
    name = sys.argv[1] if len(sys.argv) > 1 else "live"
    host = urlsplit(os.environ.get("SITE_URL", "")).hostname or "localhost"
    connection = HTTPConnection("127.0.0.1", int(os.environ.get("PORT", "8000")), timeout=5)
    try:
        connection.request("GET", f"/health/{name}", headers={"Host": host})
        return 0 if connection.getresponse().status == 200 else 1
    except OSError:
        return 1
    finally:
        connection.close()


if __name__ == "__main__":
    sys.exit(main())
