"""A voice note: sound alone and short, kept as a clip is, and heard where its session is read.

The two recordings are what Chromium 156 made of a tone with its own recorder, 1.2 s long.
"""

from io import BytesIO
from unittest.mock import patch
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from practice.clips import services
from practice.clips.containers import read_mp4, read_webm
from practice.clips.models import Clip
from practice.log.models import LogKey
from practice.phone import keys
from shared.kit.refused import Refused
from shared.people.models import Guardianship
from tests import factories
from tests.clips.makers import FILMS, movie
from tests.conftest import signed_in
from tests.log.entries import entry

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("wednesday")]


def voice(form: str = "webm") -> bytes:
    return (FILMS / f"voice.{form}").read_bytes()


def keep(student, content, by=None):
    upload = SimpleUploadedFile("said", content)
    return services.keep_clip(
        student=student, author=by or student.user, upload=upload, ident=uuid4()
    )


@pytest.fixture
def part(student):
    drill = factories.make_drill(student.studio)
    return factories.make_part(factories.make_week(student), drill)


@pytest.fixture
def key(student) -> str:
    secret, _ = keys.make_key(user=student.user, student=student, device="A phone")
    return secret


def sent(key: str, ident, content=None, **more):
    body = {"file": SimpleUploadedFile("said.webm", content or voice()), **more}
    return Client().post(f"/api/clips/{ident}", body, headers={"Authorization": f"LogKey {key}"})


def logged(student, key, part) -> str:
    """A session with a note, as the phone sends it; its id."""
    one = entry(student, part, note="Is this right?")
    body = {"sent": one["at"], "e": [one]}
    answer = Client().post(
        "/api/sync",
        body,
        content_type="application/json",
        headers={"Authorization": f"LogKey {key}"},
    )
    assert answer.json()["r"] == {one["id"]: ["stored", ""]}
    return one["id"]


@pytest.mark.parametrize(
    ("content", "is_sound"),
    [
        (voice("webm"), True),
        (voice("mp4"), True),
        (movie("webm"), False),
        (movie("mp4"), False),
    ],
)
def test_sound_alone_is_told_from_film_by_its_tracks(content, is_sound):
    read = read_webm if content[:4] == b"\x1a\x45\xdf\xa3" else read_mp4
    assert read(BytesIO(content), len(content)).is_sound is is_sound


@pytest.mark.parametrize(("form", "kind"), [("webm", "audio/webm"), ("mp4", "audio/mp4")])
def test_it_is_served_as_sound_and_nothing_else(student, form, kind):
    clip = keep(student, voice(form))
    answer = signed_in(student.user).get(reverse("clips:file", args=[clip.pk]))
    assert len(b"".join(answer.streaming_content)) == len(voice(form))
    assert answer["Content-Type"] == kind
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer["Content-Security-Policy"]
    page = signed_in(student.user).get(reverse("clips:watch", args=[clip.pk])).content.decode()
    assert "<audio" in page
    assert "<video" not in page


@pytest.mark.parametrize("most", [{"MOST_SPOKEN": 0.5}, {"MOST_SPOKEN_BYTES": 1000}])
def test_one_that_is_too_long_is_refused(student, folder, most):
    with patch.multiple(services, **most), pytest.raises(Refused, match="15 s"):
        keep(student, voice("mp4"))
    assert not Clip.objects.exists()


def test_a_childs_voice_needs_the_guardians_word_for_voices(coach, folder):
    guardian = factories.make_user("Guardian")
    child = factories.make_child(coach, guardian)
    Guardianship.objects.filter(student=child).update(
        consents_to_clips=True, consent_text_version=2
    )
    keep(child, movie(), guardian)
    with pytest.raises(Refused, match="voice notes"):
        keep(child, voice(), guardian)
    Guardianship.objects.filter(student=child).update(consent_text_version=3)
    assert keep(child, voice(), guardian).is_sound


def test_a_phone_sends_it_after_its_session_and_the_coach_hears_it_there(
    student, coach, part, key, coach_client
):
    ident = uuid4()
    assert sent(key, ident, entry=str(uuid4())).json()["code"] == "entry"
    session = logged(student, key, part)
    for _ in range(2):
        answer = sent(key, ident, entry=session)
        assert answer.json()["r"] == {str(ident): ["stored", ""]}
    (clip,) = Clip.objects.all()
    assert (clip.pk, str(clip.entry_id), clip.author) == (ident, session, student.user)
    for page in (reverse("words:waiting"), reverse("words:of_student", args=[student.pk])):
        assert reverse("clips:file", args=[clip.pk]) in coach_client.get(page).content.decode()
    services.remove_clip(clip=clip)
    page = coach_client.get(reverse("words:waiting")).content.decode()
    assert "<audio" not in page


def test_a_film_that_waited_on_the_phone_is_of_its_drill(student, part, key):
    ident = uuid4()
    assert sent(key, ident, movie(), drill=str(part.drill_id)).status_code == 200
    assert Clip.objects.get(pk=ident).drill_id == part.drill_id


def test_what_no_phone_may_send(student, key, part):
    ident = uuid4()
    assert sent(key, ident, b"<!doctype html>").status_code == 422
    assert Client().post(f"/api/clips/{ident}", {"file": ""}).status_code == 401
    signed = signed_in(student.user)
    assert signed.post(f"/api/clips/{ident}", {"file": ""}).status_code == 401
    LogKey.objects.update(is_lasting=False)
    assert sent(key, ident).json()["code"] == "link"
    assert not Clip.objects.exists()
