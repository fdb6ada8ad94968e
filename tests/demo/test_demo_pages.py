"""Loading in an empty house, and by the page over a real one."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from shared.people.models import Studio
from tests.factories import make_studio, make_user

pytestmark = pytest.mark.usefixtures("empty_house")


def test_loading_over_a_real_studio_says_so_and_changes_nothing():
    make_studio("Real")
    make_user("Owner")
    text = b"".join(Client().post(reverse("demo:load")).streaming_content).decode()
    assert "There is a studio here already" in text
    assert Studio.objects.count() == 1


def test_no_tour_through_a_real_studio(coach_client):
    assert coach_client.get(reverse("demo:tour")).status_code == 404


def test_the_command_makes_the_tables_first(tmp_path):
    """A newcomer's folder is empty. The first student shows it; the rest is tried elsewhere."""
    place = {"DATA_DIR": str(tmp_path), "DATABASE_URL": f"sqlite:///{tmp_path}/new.sqlite3"}
    with subprocess.Popen(
        [sys.executable, "manage.py", "load_demo"],
        cwd=Path(__file__).parents[2],
        env=os.environ | place | {"PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        said = ""
        while line := process.stdout.readline():
            said += line
            if "Tamsin Orlebar" in line:
                process.kill()
    assert "Tamsin Orlebar: 13 weeks" in said, said
