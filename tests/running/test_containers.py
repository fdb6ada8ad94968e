"""The container files say the same as the processes that the other tests start."""

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
COMPOSE = (ROOT / "docker-compose.yml").read_text()


def client() -> list[str] | None:
    plugin = shutil.which("docker") and subprocess.run(
        ["docker", "compose", "version"], capture_output=True, check=False
    )
    if plugin and plugin.returncode == 0:
        return ["docker", "compose"]
    return ["docker-compose"] if shutil.which("docker-compose") else None


@pytest.mark.skipif(client() is None, reason="no compose client on this machine; .ci/run gets one")
def test_the_clients_config_takes_the_file():
    asked = {"SITE_URL": "https://p.example.org", "EMAIL_URL": "smtp://mail"}
    secrets = {"SECRET_KEY": "x", "POSTGRES_PASSWORD": "x"}
    command = [*(client() or []), "config"]
    found = subprocess.run(
        command,
        cwd=ROOT,
        env=os.environ | asked | secrets,
        capture_output=True,
        text=True,
        check=False,
    )
    assert found.returncode == 0, found.stderr
    for service in ("postgres", "redis", "web", "worker", "beat"):
        assert f"  {service}:\n" in found.stdout
    assert found.stdout.count("healthcheck:") == 5


def test_no_path_of_a_host_is_mounted():
    mounts = re.findall(r"^ +- (\S+):/", COMPOSE, re.MULTILINE)
    assert mounts == ["data", "postgres", "redis"]


def test_the_image_takes_the_hashed_lock_and_no_root():
    image = (ROOT / "Dockerfile").read_text()
    assert "--require-hashes -r requirements.lock" in image
    assert image.index("USER practice") < image.index("CMD")
