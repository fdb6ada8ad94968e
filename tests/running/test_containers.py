"""The container files say the same as the processes that the other tests start."""

import os
import re
import shutil
import subprocess
import sys
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
def test_the_clients_config_takes_the_file(tmp_path):
    """With settings in a file .env beside it, as its head says; each reaches every process."""
    shutil.copy(ROOT / "docker-compose.yml", tmp_path)
    needed = "SITE_URL=https://p.example.org\nEMAIL_URL=smtp://mail\nSECRET_KEY=x\n"
    (tmp_path / ".env").write_text(f"{needed}POSTGRES_PASSWORD=x\nMETRICS_TOKEN=as-documented\n")
    found = subprocess.run(
        [*(client() or []), "config"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert found.returncode == 0, found.stderr
    for service in ("postgres", "redis", "migrate", "web", "worker", "beat", "proxy"):
        assert f"  {service}:\n" in found.stdout
    assert found.stdout.count("healthcheck:") == 3
    assert found.stdout.count("METRICS_TOKEN: as-documented") == 4


@pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="no systemd on this machine")
def test_systemd_takes_the_unit(tmp_path):
    """The unit as it is shipped; only what must lie on the machine is replaced."""
    unit = (ROOT / "shared/setup/between-lessons.service").read_text()
    unit = unit.replace("/srv/between-lessons/.venv/bin/python", sys.executable)
    (tmp_path / "between-lessons.service").write_text(unit)
    found = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", tmp_path / "between-lessons.service"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (found.returncode, found.stderr) == (0, "")


@pytest.mark.skipif(not shutil.which("caddy"), reason="no Caddy on this machine")
def test_the_proxy_takes_its_file(tmp_path):
    env = {"SITE_URL": "https://p.example.org", "WEB": "127.0.0.1:8000 127.0.0.1:8001"}
    found = subprocess.run(
        ["caddy", "adapt", "--adapter", "caddyfile", "--config", ROOT / "shared/setup/Caddyfile"],
        env=os.environ | env, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr
    for word in ("p.example.org", "127.0.0.1:8000", "127.0.0.1:8001", "try_duration"):
        assert word in found.stdout


def test_the_settings_to_fill_in_are_documented():
    documented = (ROOT / "DEVELOPERS.md").read_text()
    names = re.findall(
        r"^#?([A-Z_]+)=", (ROOT / "shared/setup/production.env").read_text(), re.MULTILINE
    )
    assert len(names) > 5
    assert [name for name in names if f"`{name}`" not in documented] == []


def test_no_path_of_a_host_is_mounted():
    mounts = re.findall(r"^ +- (\S+):/", COMPOSE, re.MULTILINE)
    assert mounts == ["data", "postgres", "redis", "certificates"]


def test_the_image_takes_the_hashed_lock_and_no_root():
    image = (ROOT / "Dockerfile").read_text()
    assert "--require-hashes -r requirements-s3.lock" in image
    assert image.index("USER practice") < image.index("CMD")
