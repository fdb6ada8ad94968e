"""A phone of a child's own: made by the guardian without a mail address, ended by the guardian."""

from datetime import timedelta
from urllib.parse import parse_qs, urlsplit

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coaching.reminders.facts import readers_of
from practice.log.models import LogKey, PhoneOffer
from practice.phone import child_phones
from shared.people import access, consent
from shared.people.models import Student
from tests import factories
from tests.conftest import signed_in
from tests.people.conftest import code_in_last_mail


@pytest.fixture
def guardian(db):
    return factories.make_user("Gail Guardian")


@pytest.fixture
def child(coach, guardian):
    return factories.make_child(coach, guardian, name="Ada Child", with_user=False)


def offered(guardian, child) -> child_phones.Shown:
    page = signed_in(guardian).post(f"/child/{child.pk}/phones/")
    assert page.status_code == 200
    return page.context["offer"]


def taken(shown: child_phones.Shown) -> tuple[Client, str]:
    """A device that took the offer by its link: its browser, and its key."""
    device = Client(HTTP_USER_AGENT="Mozilla/5.0 (Linux; Android 16; K)")
    path = urlsplit(shown.link).path
    assert "Ada Child" in device.get(path).content.decode()
    answer = device.post(path)
    told = parse_qs(urlsplit(answer.headers["Location"]).fragment)
    return device, told["key"][0]


def week_by(key: str):
    return Client(HTTP_AUTHORIZATION=f"LogKey {key}").get("/api/week")


def test_a_child_without_an_address_gets_a_phone_that_logs_and_reads_its_own_pages(guardian, child):
    device, key = taken(offered(guardian, child))
    told = week_by(key).json()
    assert told["me"] == {"id": str(child.pk), "name": "Ada Child"}
    assert told["writer"]["name"] == "Ada Child"
    child.refresh_from_db()
    assert not child.user.has_mail
    for page in ("progress:own_wedges", "words:own", "lessons:own", "clips:of_student"):
        assert device.get(reverse(page, args=[child.pk])).status_code == 200
    assert device.get("/settings/").status_code == 200


def test_a_child_without_an_address_is_shown_none_and_sent_no_code(guardian, child, mailoutbox):
    device, _ = taken(offered(guardian, child))
    child.refresh_from_db()
    settings = device.get("/settings/").content.decode()
    again = device.get("/account/again/").content.decode()
    for page in (settings, again):
        assert child.user.email not in page
        assert "child.invalid" not in page
    assert "Your parent sets up your phone" in settings
    assert "Set a password" not in settings
    assert "Ask your parent" in again
    assert device.post("/account/again/", {"send": "1"}).status_code == 200
    assert mailoutbox == []


def test_six_digits_do_the_same_as_the_link_once(guardian, child):
    shown = offered(guardian, child)
    device = Client()
    spaced = f"{shown.code[:3]} {shown.code[3:]}"
    assert device.post("/phone/", {"code": spaced}).status_code == 302
    again = Client().post("/phone/", {"code": shown.code})
    assert again.status_code == 422
    assert "open nothing" in again.content.decode()
    assert LogKey.objects.filter(student=child).count() == 1


def test_looking_at_the_link_takes_nothing(guardian, child):
    path = urlsplit(offered(guardian, child).link).path
    for _ in range(3):
        assert Client().get(path).status_code == 200
    assert LogKey.objects.count() == 0


def test_an_offer_is_over_after_fifteen_minutes_and_when_a_new_one_is_made(guardian, child):
    first = offered(guardian, child)
    second = offered(guardian, child)
    assert Client().post("/phone/", {"code": first.code}).status_code == 422
    with time_machine.travel(timezone.now() + timedelta(minutes=15, seconds=1)):
        assert Client().post("/phone/", {"code": second.code}).status_code == 422
        assert Client().get(urlsplit(second.link).path).status_code == 410


def test_digits_are_tried_ten_times_an_hour_from_one_place(guardian, child):
    shown = offered(guardian, child)
    wrong = [f"{n:06d}" for n in range(20) if f"{n:06d}" != shown.code]
    answers = [Client().post("/phone/", {"code": code}).status_code for code in wrong[:12]]
    assert answers == [422] * 10 + [429] * 2
    assert Client().post("/phone/", {"code": shown.code}).status_code == 429


def test_the_guardian_ends_it_and_the_phone_shows_nothing_any_more(guardian, child):
    device, key = taken(offered(guardian, child))
    page = signed_in(guardian).get(f"/child/{child.pk}/phones/")
    (row,) = page.context["phones"]
    assert "Android" in row["device"]
    signed_in(guardian).post(f"/child/{child.pk}/phones/{row['id']}/end/")
    assert week_by(key).json()["ended"] is True
    assert device.get("/settings/").status_code == 302


def test_it_stays_signed_in_for_as_long_as_its_key(guardian, child):
    device, _ = taken(offered(guardian, child))
    with time_machine.travel(timezone.now() + timedelta(days=120)):
        assert device.get("/settings/").status_code == 200


def test_each_device_has_a_key_of_its_own(guardian, child):
    (_, one), (_, two) = taken(offered(guardian, child)), taken(offered(guardian, child))
    key = LogKey.objects.get(digest=child_phones.keys.digest_of(one))
    signed_in(guardian).post(f"/child/{child.pk}/phones/{key.pk}/end/")
    assert week_by(one).status_code == 401
    assert week_by(two).status_code == 200
    assert LogKey.objects.values("user").distinct().count() == 1


def test_another_guardian_neither_makes_nor_ends_one(guardian, child):
    _, key = taken(offered(guardian, child))
    row = LogKey.objects.get(digest=child_phones.keys.digest_of(key))
    stranger = signed_in(factories.make_user("Stranger"))
    assert stranger.post(f"/child/{child.pk}/phones/").status_code == 404
    assert stranger.post(f"/child/{child.pk}/phones/{row.pk}/end/").status_code == 404
    assert week_by(key).status_code == 200


def test_without_consent_there_is_no_phone_and_an_offer_opens_nothing(guardian, child):
    shown = offered(guardian, child)
    consent.change(child.guardianships.get(), record=False, messages=False, clips=False)
    assert Client().post("/phone/", {"code": shown.code}).status_code == 422
    assert signed_in(guardian).get(f"/child/{child.pk}/phones/").status_code == 404


def test_of_two_devices_that_take_it_at_once_one_gets_it(guardian, child):
    shown = child_phones.offer(student=access.recordable(child), by=guardian)
    found = child_phones.by_code(shown.code)
    child_phones.take(found, device="one", browser="a")
    with pytest.raises(child_phones.OfferOver):
        child_phones.take(found, device="two", browser="b")


def test_neither_link_nor_digits_are_kept_as_they_are(guardian, child):
    shown = child_phones.offer(student=access.recordable(child), by=guardian)
    kept = " ".join(map(str, PhoneOffer.objects.values().get().values()))
    assert shown.code not in kept
    assert shown.link.rsplit("/", 1)[1] not in kept


def test_mail_about_the_child_still_goes_to_the_guardian(guardian, child):
    assert readers_of(child) == [guardian]
    taken(offered(guardian, child))
    child.refresh_from_db()
    assert readers_of(child) == [guardian]
    assert list(access.own_places(child.user)) == [child]


def test_who_takes_over_at_18_goes_on_with_this_phone_alone(guardian, child):
    """Another device may have been made 'the child's' by a guardian, who kept it."""
    own, own_key = taken(offered(guardian, child))
    kept, kept_key = taken(offered(guardian, child))
    born = timezone.now().year - 18
    Student.objects.update(born_year=born, turns_18_on=timezone.now().date() - timedelta(days=1))
    page = f"/of-age/{child.pk}/"
    own.post(page, {"email": "ada@example.org"})
    own.post(page, {"code": code_in_last_mail()})
    assert own.post(page, {"record": "on"}).status_code == 302
    words = reverse("words:own", args=[child.pk])
    assert [device.get(words).status_code for device in (own, kept)] == [200, 302]
    assert [week_by(key).status_code for key in (own_key, kept_key)] == [200, 401]
