"""Who may send, see and remove a clip, and what is left behind when it is refused."""

import os
import re
from datetime import timedelta
from io import BytesIO
from unittest.mock import patch
from uuid import uuid4

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from practice.clips import services
from practice.clips.models import Clip, clip_storage
from practice.clips.serving import byte_range
from shared.kit.refused import Refused
from shared.people import consent
from shared.people.models import Membership, Student
from tests import factories
from tests.clips.conftest import files_in
from tests.clips.makers import movie, picture
from tests.conftest import signed_in

pytestmark = pytest.mark.django_db


def upload(content=None, name="swing.mp4"):
    return SimpleUploadedFile(name, movie() if content is None else content)


def keep(student, by, content=None, **more):
    more.setdefault("ident", uuid4())
    return services.keep_clip(student=student, author=by, upload=upload(content), **more)


def small(content=None) -> SimpleUploadedFile:
    """What a sender's browser draws of a film."""
    return SimpleUploadedFile("still.jpg", picture() if content is None else content)


@pytest.fixture
def clip(student):
    return keep(student, student.user, still=small())


@pytest.fixture
def guardian():
    return factories.make_user("Guardian")


@pytest.fixture
def child(coach, guardian):
    return factories.make_child(coach, guardian)


def agree(child, *, clips):
    consent.change(child.guardianships.get(), record=True, messages=True, clips=clips)


def got(user, address, **headers):
    """The answer, read to its end, which closes it."""
    answer = signed_in(user).get(address, **headers)
    answer.content_read = b"".join(answer) if answer.streaming else answer.content
    return answer


# --- sent --------------------------------------------------------------------------------


def test_a_clip_is_kept_under_a_name_of_our_own(student_client, student, folder):
    answer = student_client.post(
        reverse("clips:of_student", args=[student.pk]),
        {"file": upload(name="../../etc/pass\u202ewd.exe"), "words": "third one"},
    )
    assert answer.status_code == 302
    clip = Clip.objects.get()
    assert (clip.kind, clip.words, clip.author) == ("video/mp4", "third one", student.user)
    assert clip.seconds == pytest.approx(1, abs=0.01)
    assert files_in(folder) == [clip.file.name.rpartition("/")[2]]
    assert clip.file.name.startswith(str(student.pk))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"<html><script>alert(1)</script>", "no picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='x()'/>", "no picture"),
        (b"", "no picture"),
        (movie()[:900], "cut off"),
        (picture()[:300], "cannot be opened"),
        (movie(seconds=61), "lasts 61 s"),
        (movie("webm", seconds=61), "lasts 61 s"),
        (movie("webm")[:400], "cut off"),
        (b"\x1a\x45\xdf\xa3webm<script>alert(1)</script>", "cannot be read|cut off"),
    ],
    ids=[
        "html",
        "svg",
        "empty",
        "cut clip",
        "cut picture",
        "too long",
        "too long webm",
        "cut webm",
        "script as webm",
    ],
)
def test_a_wrong_type_with_a_right_name_is_refused_in_words(
    student_client, student, folder, content, words
):
    with patch("django.core.files.uploadedfile.UploadedFile.chunks", autospec=True) as chunks:
        chunks.side_effect = lambda self, size=None: iter([content])
        file = SimpleUploadedFile("swing.jpg", content or b"\n", "image/jpeg")
        answer = student_client.post(reverse("clips:of_student", args=[student.pk]), {"file": file})
    assert answer.status_code == 400
    assert re.search(words, answer.content.decode())
    assert not Clip.objects.exists()
    assert files_in(folder) == []


def test_too_big_a_body_is_refused_before_it_is_read(student_client, student):
    answer = student_client.generic(
        "POST",
        reverse("clips:of_student", args=[student.pk]),
        b"x",
        "multipart/form-data; boundary=x",
        CONTENT_LENGTH=str(300 * 1024 * 1024),
    )
    assert answer.status_code == 413
    assert "64 MB" in answer.content.decode()


def test_the_file_itself_has_a_limit_too(student, folder):
    with patch.object(services, "MOST_BYTES", 100), pytest.raises(Refused, match="Trim it"):
        keep(student, student.user)
    assert files_in(folder) == []


def test_there_is_room_for_so_much_and_no_more(student, clip):
    with patch.object(services, "MOST_OF_STUDENT", clip.size), pytest.raises(Refused):
        keep(student, student.user)
    assert Clip.objects.count() == 1


def test_the_same_clip_sent_again_adds_nothing(student, folder):
    ident = uuid4()
    first = keep(student, student.user, ident=ident)
    assert keep(student, student.user, ident=ident).pk == first.pk
    assert Clip.objects.count() == len(files_in(folder)) == 1


def test_another_file_under_a_known_id_is_refused(student, coach):
    ident = uuid4()
    keep(student, student.user, ident=ident)
    with pytest.raises(Refused, match="this id"):
        keep(student, student.user, picture(), ident=ident)
    other = factories.make_student(coach, "Other")
    with pytest.raises(Refused, match="this id"):
        keep(other, other.user, ident=ident)


def test_a_drill_of_another_studio_is_not_taken(student_client, student):
    foreign = factories.make_drill(factories.make_studio("Other"))
    student_client.post(
        reverse("clips:of_student", args=[student.pk]),
        {"file": upload(), "drill": foreign.pk, "entry": uuid4()},
    )
    clip = Clip.objects.get()
    assert (clip.drill, clip.entry) == (None, None)


def test_a_queue_is_told_what_became_of_it(student_client, student):
    address, ident = reverse("clips:of_student", args=[student.pk]), uuid4()
    told = {"headers": {"X-Fragment": "1"}}
    answer = student_client.post(address, {"file": upload(), "id": ident}, **told)
    assert answer.json() == {"id": str(ident)}
    bad = student_client.post(address, {"file": SimpleUploadedFile("a.mp4", b"no")}, **told)
    assert bad.status_code == 400
    assert "no picture" in bad.json()["detail"]


# --- seen --------------------------------------------------------------------------------


def addresses(clip):
    return [
        reverse("clips:file", args=[clip.pk]),
        reverse("clips:still", args=[clip.pk]),
        reverse("clips:watch", args=[clip.pk]),
    ]


def test_only_those_it_is_for_see_it(coach, student, clip, client):
    studio = factories.studio_of(coach)
    may = [student.user, coach, factories.make_coach(studio, Membership.Role.ASSISTANT)]
    for user in may:
        for address in addresses(clip):
            assert got(user, address).status_code == 200
    other = factories.make_student(coach, "Other").user
    helper = factories.make_coach(studio, Membership.Role.HELPER)
    for user in (other, factories.make_coach(), helper):
        for address in addresses(clip):
            for extra in ({}, {"HTTP_RANGE": "bytes=0-9"}, {"HTTP_IF_NONE_MATCH": "*"}):
                assert got(user, address, **extra).status_code == 404
        assert signed_in(user).post(reverse("clips:remove", args=[clip.pk])).status_code == 404
    assert client.get(addresses(clip)[0]).status_code == 302


def test_it_comes_with_headers_that_keep_it_harmless(student, clip):
    answer = got(student.user, reverse("clips:file", args=[clip.pk]))
    assert answer["Content-Type"] == "video/mp4"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Security-Policy"].startswith("sandbox")
    assert answer["Cache-Control"].startswith("private")
    assert len(answer.content_read) == clip.size


def test_ranges_let_a_clip_seek(student, clip):
    address, user = reverse("clips:file", args=[clip.pk]), student.user
    whole = got(user, address)
    part = got(user, address, HTTP_RANGE="bytes=10-19")
    assert (part.status_code, part.content_read) == (206, whole.content_read[10:20])
    assert part["Content-Range"] == f"bytes 10-19/{clip.size}"
    end = got(user, address, HTTP_RANGE="bytes=-5")
    assert end.content_read == whole.content_read[-5:]
    beyond = got(user, address, HTTP_RANGE=f"bytes={clip.size}-")
    assert (beyond.status_code, beyond["Content-Range"]) == (416, f"bytes */{clip.size}")
    tag = whole["ETag"]
    for known in (tag, f"W/{tag}", f'"other", {tag}', "*"):
        assert got(user, address, HTTP_IF_NONE_MATCH=known).status_code == 304
    assert got(user, address, HTTP_IF_NONE_MATCH='"other"').status_code == 200
    names = {each["Content-Disposition"] for each in (whole, part)}
    assert names == {'inline; filename="clip.mp4"'}


@pytest.mark.outside
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # RFC 9110, section 14.1.2: examples for a representation of 10,000 bytes.
        ("bytes=0-499", (0, 499)),
        ("bytes=500-999", (500, 999)),
        ("bytes=-500", (9500, 9999)),
        ("bytes=9500-", (9500, 9999)),
        ("bytes=0-0,-1", None),  # Several ranges may be answered whole (14.2).
        ("bytes=9500-99999", (9500, 9999)),
        ("bytes=10000-", (-1, -1)),
        ("bytes=5-2", None),
        ("lines=1-2", None),
        ("bytes=", None),
    ],
)
def test_ranges_are_read_as_the_standard_says(text, expected):
    assert byte_range(text, 10_000) == expected


# --- children ----------------------------------------------------------------------------


def test_nothing_of_a_child_is_kept_or_seen_without_the_guardians_word(
    child, coach, guardian, folder
):
    with pytest.raises(Refused, match="No guardian has agreed"):
        keep(child, coach)
    agree(child, clips=True)
    clip = keep(child, coach)
    assert clip.expires_on <= timezone.now().date() + timedelta(days=181)
    for user in (coach, guardian):
        assert got(user, addresses(clip)[0]).status_code == 200
    agree(child, clips=False)
    for user in (coach, guardian, child.user):
        assert got(user, addresses(clip)[0]).status_code == 404


def test_a_withdrawn_consent_hides_at_once_and_deletes_after_thirty_days(child, coach, folder):
    agree(child, clips=True)
    keep(child, coach)
    agree(child, clips=False)
    assert services.sweep() == 0
    guardianship = child.guardianships.get()
    guardianship.changes.update(at=timezone.now() - timedelta(days=31))
    assert services.sweep() == 1
    assert files_in(folder) == []


def test_a_look_at_a_clip_is_noted_where_something_may_be_kept(child, coach, guardian, folder):
    agree(child, clips=True)
    clip = keep(child, coach)
    services.mark_seen(clips=[clip], by=coach)
    clip.refresh_from_db()
    assert clip.seen_at is None  # Its author.
    Student.objects.filter(pk=child.pk).update(left_on=timezone.now().date())
    services.mark_seen(clips=[clip], by=guardian)
    clip.refresh_from_db()
    assert clip.seen_at is None
    Student.objects.filter(pk=child.pk).update(left_on=None)
    services.mark_seen(clips=[clip], by=guardian)
    clip.refresh_from_db()
    assert clip.seen_at is not None


# --- swept and drawn -----------------------------------------------------------------------


def test_removed_and_expired_ones_go_with_their_files(student, coach, folder):
    removed, expired = keep(student, coach), keep(student, coach, picture())
    kept = keep(student, coach, movie("webm"), still=small())
    services.remove_clip(clip=removed)
    Clip.objects.filter(pk=expired.pk).update(expires_on=timezone.now().date() - timedelta(days=1))
    assert signed_in(coach).get(addresses(removed)[0]).status_code == 404
    assert signed_in(coach).get(addresses(expired)[0]).status_code == 404
    assert services.sweep() == 2
    assert list(Clip.objects.all()) == [kept]
    assert len(files_in(folder)) == 2


def test_a_kill_between_file_and_row_leaves_a_stray_that_is_swept(student, coach, folder):
    clip = keep(student, coach)
    stray = folder / clip_storage().save(f"{student.pk}/stray.mp4", upload())
    os.utime(stray, (timezone.now().timestamp(),) * 2)  # Files have the machine's own clock.
    assert services.sweep_strays() == 0  # Its row may still be on its way.
    with time_machine.travel(timezone.now() + timedelta(hours=2), tick=False):
        assert services.sweep_strays() == 1
    assert files_in(folder) == [clip.file.name.rpartition("/")[2]]


def test_a_picture_has_a_still_at_once(student, coach):
    clip = keep(student, coach, picture(size=(1000, 500)))
    with clip.still.open("rb") as file, Image.open(file) as drawn:
        assert (drawn.format, drawn.size) == ("JPEG", (480, 240))


def test_the_still_of_a_film_comes_with_it_and_is_drawn_anew(student_client, student):
    address = reverse("clips:of_student", args=[student.pk])
    still = small(picture(size=(960, 480), place=True))
    student_client.post(address, {"file": upload(), "still": still})
    clip = Clip.objects.get()
    with clip.still.open("rb") as file:
        drawn = file.read()
    assert b"phone" not in drawn
    with Image.open(BytesIO(drawn)) as opened:
        assert opened.size == (480, 240)


@pytest.mark.parametrize("content", [b"", b"<html>", movie()], ids=["none", "no picture", "a film"])
def test_a_film_whose_still_cannot_be_opened_is_kept_without_one(student_client, student, content):
    address = reverse("clips:of_student", args=[student.pk])
    student_client.post(address, {"file": upload(), "still": small(content)})
    clip = Clip.objects.get()
    assert not clip.still
    assert student_client.get(reverse("clips:still", args=[clip.pk])).status_code == 404


def test_one_of_a_drill_is_the_one_to_copy(coach, student, coach_client):
    drill = factories.make_drill(factories.studio_of(coach))
    first, second = (keep(student, coach, drill=drill) for _ in range(2))
    for clip in (first, second):
        coach_client.post(reverse("clips:model", args=[clip.pk]), {"is": "1"})
    assert list(Clip.objects.filter(is_model=True)) == [second]
    assert signed_in(student.user).post(reverse("clips:model", args=[first.pk])).status_code == 404


def test_the_page_asks_as_much_for_many_as_for_few(
    coach, student, coach_client, django_assert_max_num_queries
):
    keep(student, coach)
    address = reverse("clips:of_student", args=[student.pk])
    coach_client.get(address)
    with django_assert_max_num_queries(15) as few:
        coach_client.get(address)
    row = Clip.objects.get()
    Clip.objects.bulk_create(
        Clip(
            student=student, author=coach, kind="image/jpeg", file=row.file.name, size=1,
            digest="0" * 64, expires_on=row.expires_on,
        )
        for _ in range(200)
    )  # fmt: skip
    with django_assert_max_num_queries(len(few)):
        page = coach_client.get(address)
    assert page.context["older"] == 1


def test_a_clip_can_belong_to_one_of_the_students_own_sessions(student_client, student, coach):
    from tests.messages.test_words import note

    own, foreign = note(student), note(factories.make_student(coach, "Other"))
    address = reverse("clips:of_student", args=[student.pk])
    assert [pk for pk, _, _ in student_client.get(address).context["sessions"]] == [own.pk]
    for entry in (own, foreign):
        student_client.post(address, {"file": upload(), "entry": entry.pk})
    assert {clip.entry for clip in Clip.objects.all()} == {own, None}
    assert "Visit of" in student_client.get(address).content.decode()
