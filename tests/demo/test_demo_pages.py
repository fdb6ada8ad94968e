"""Loading by the page, in an empty house and over a real one."""

import pytest
from django.test import Client
from django.urls import reverse

from coaching.demo.remove import remove
from shared.people.models import Student, Studio
from tests.factories import make_studio, make_user

pytestmark = pytest.mark.django_db


def test_loading_by_the_page_streams_its_progress():
    page = Client().post(reverse("demo:load"))
    text = b"".join(page.streaming_content).decode()
    assert page.status_code == 200
    assert text.index("24 drills") < text.index("Tamsin Orlebar") < text.index("Choose who to be")
    remove()
    assert not Student.objects.exists()


def test_loading_over_a_real_studio_says_so_and_changes_nothing():
    make_studio("Real")
    make_user("Owner")
    text = b"".join(Client().post(reverse("demo:load")).streaming_content).decode()
    assert "There is a studio here already" in text
    assert Studio.objects.count() == 1
