"""What this software is made of, for whoever watches over known weaknesses."""

import json
import re
from typing import Any

from django.conf import settings

from shared.site.own_command import OwnCommand

_PINNED = re.compile(r"^([a-z0-9][a-z0-9._-]*?)(?:\[[^\]]*\])?==([^\s;\\]+)", re.IGNORECASE)
_HASH = re.compile(r"--hash=sha256:([0-9a-f]{64})")


class Command(OwnCommand):
    help = "Print the software bill of materials (CycloneDX 1.5, JSON) from requirements.lock."

    def handle(self, *args: Any, **options: Any) -> None:
        lock = (settings.BASE_DIR / "requirements.lock").read_text()
        self.stdout.write(json.dumps(bill_of(lock), indent=2))


def bill_of(lock: str) -> dict[str, Any]:
    """The bill of a lock: every package with its version and the hashes that may be installed."""
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.5",
        "version": 1,
        "metadata": {"component": {"type": "application", "name": "between-lessons"}},
        "components": components(lock),
    }


def components(lock: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for line in lock.splitlines():
        if pinned := _PINNED.match(line):
            found.append(_component(*pinned.groups()))
        elif found:
            hashes = [{"alg": "SHA-256", "content": each} for each in _HASH.findall(line)]
            found[-1]["hashes"] += hashes
    return found


def _component(name: str, version: str) -> dict[str, Any]:
    purl = f"pkg:pypi/{name.lower().replace('_', '-')}@{version}"
    return {
        "type": "library",
        "bom-ref": purl,
        "name": name,
        "version": version,
        "purl": purl,
        "hashes": [],
    }
