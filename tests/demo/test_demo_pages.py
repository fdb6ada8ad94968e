"""Loading by the page, in an empty house and over a real one."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from coaching.demo.remove import remove
from practice.clips.models import Clip, clip_storage
from shared.people.models import Student, Studio
from tests.factories import make_studio, make_user

pytestmark = pytest.mark.usefixtures("empty_house")


def test_loading_by_the_page_streams_its_progress_and_its_pictures_go_with_it(
    django_capture_on_commit_callbacks,
):
    page = Client().post(reverse("demo:load"))
    text = b"".join(page.streaming_content).decode()
    assert page.status_code == 200
    assert text.index("24 drills") < text.index("Tamsin Orlebar") < text.index("Choose who to be")
    files = [name for row in Clip.objects.values_list("file", "still") for name in row]
    assert len(files) == 6
    assert all(clip_storage().exists(name) for name in files)
    with django_capture_on_commit_callbacks(execute=True):
        remove()
    assert not Student.objects.exists()
    assert not any(clip_storage().exists(name) for name in files)


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
