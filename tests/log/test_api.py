"""Who may send, what is answered, and that no body makes us stumble."""

import json
from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
from django.db import OperationalError, connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from practice.log.models import Entry, LogKey
from practice.phone import api, keys
from shared.people.access import NotRecordable
from shared.people.models import Guardianship
from tests import factories
from tests.conftest import signed_in
from tests.factories import NOON
from tests.log.entries import Phone, back, change, entry

SAME_SITE = {"Sec-Fetch-Site": "same-origin"}
LOGIN = {"code": "login", "detail": "Sign in to send. What you saved stays on this phone."}


def post(client, path, body, **headers):
    text = body if isinstance(body, str | bytes) else json.dumps(body)
    return client.post(path, text, content_type="application/json", headers=headers)


def batch(*entries):
    return {"sent": "2031-02-26T12:00:00+00:00", "e": list(entries)}


# --- without a key ---------------------------------------------------------------------


@pytest.mark.parametrize("path", ["/api/week", "/api/key"])
def test_nobody_is_told_to_sign_in_and_never_sent_away(db, path):
    answer = Client().get(path)
    assert (answer.status_code, answer.json()) == (401, LOGIN)
    assert answer["Cache-Control"] == "no-store"


@pytest.mark.parametrize("path", ["/api/sync", "/api/key"])
def test_nobody_cannot_send(db, path):
    answer = post(Client(), path, batch())
    assert (answer.status_code, answer.json()) == (401, LOGIN)


@pytest.mark.parametrize("value", ["", "LogKey", "LogKey ", "LogKey x", "Bearer x", "LogKey é"])
def test_a_key_that_is_none_is_as_no_key(db, value):
    assert Client(headers={"Authorization": value}).get("/api/week").status_code == 401


# --- keys --------------------------------------------------------------------------------


def test_only_the_hash_of_a_key_is_kept(student):
    secret, key = keys.make_key(user=student.user, student=student)
    assert len(secret) >= 43  # 256 bits in base64.
    assert secret not in json.dumps(LogKey.objects.values().get(), default=str)
    assert keys.find_key(secret) == key


def revoke(phone, student):
    keys.end(LogKey.objects.filter(pk=phone.key.pk))


def leave(phone, student):
    student.left_on = NOON.date()
    student.save(update_fields=["left_on"])


def switch_off(phone, student):
    student.user.is_active = False
    student.user.save(update_fields=["is_active"])


def lose_the_place(phone, student):
    student.user = factories.make_user("Somebody else")
    student.save(update_fields=["user"])


@pytest.mark.parametrize("end", [revoke, leave, switch_off, lose_the_place])
def test_a_key_stops_with_what_it_stood_on(phone, student, end):
    assert phone.week().status_code == 200
    end(phone, student)
    assert phone.week().json().items() >= LOGIN.items()
    assert phone.sync(entry(student)).status_code == 401
    assert not Entry.objects.exists()


def test_a_key_lives_400_days_from_its_last_use(phone, student):
    with time_machine.travel(NOON + timedelta(days=399), tick=False):
        assert phone.sync().status_code == 200
    with time_machine.travel(NOON + timedelta(days=398 + 400), tick=False):
        assert phone.week().status_code == 200
    with time_machine.travel(NOON + timedelta(days=399 + 401), tick=False):
        assert phone.week().status_code == 401


def test_a_guardian_logs_for_the_child_and_is_the_writer(coach):
    guardian = factories.make_user("Morag")
    child = factories.make_child(coach, guardian, with_user=False)
    phone = Phone(child, guardian)
    assert phone.receipt(entry(child)) == ["stored", ""]
    assert Entry.objects.get().writer == guardian
    assert phone.week().json()["childOf"] == {"name": "Morag"}


def test_a_guardians_key_stops_with_the_consent(coach):
    guardian = factories.make_user("Morag")
    child = factories.make_child(coach, guardian)
    phones = [Phone(child, guardian), Phone(child)]
    Guardianship.objects.update(withdrawn_at=NOON)
    # Nothing may be recorded of a child for whom nobody consents, not even by the child.
    assert [phone.week().status_code for phone in phones] == [401, 401]


def test_a_signed_in_student_gets_a_key(student, student_client):
    listed = student_client.get("/api/key").json()
    me = {"id": str(student.pk), "name": "Sam Sample"}
    assert listed == {
        "students": [me],
        "writer": {"id": str(student.user.pk), "name": "Sam Sample"},
    }
    answer = post(student_client, "/api/key", {"device": "Phone"}, **SAME_SITE)
    assert answer.status_code == 201
    assert answer.json()["student"] == me
    client = Client(headers={"Authorization": f"LogKey {answer.json()['key']}"})
    assert client.get("/api/week").json()["me"] == me


def test_who_logs_for_one_student_alone_is_told_all_in_one_answer(student, student_client, coach):
    answer = post(student_client, "/api/key", {"only": True}, **SAME_SITE)
    assert answer.status_code == 201
    told = answer.json()
    assert [each["id"] for each in told["students"]] == [str(student.pk)]
    client = Client(headers={"Authorization": f"LogKey {told['key']}"})
    # The week is the one that would be asked for next, and is not sent a second time.
    again = client.get("/api/week", headers={"If-None-Match": told["week"]["tag"]})
    assert again.status_code == 304
    assert told["week"]["me"] == told["student"]


def test_with_several_students_or_none_no_key_is_made(coach, coach_client):
    guardian = factories.make_user("Morag")
    for name in ("Ann", "Ben"):
        factories.make_child(coach, guardian, name=name)
    answer = post(signed_in(guardian), "/api/key", {"only": True}, **SAME_SITE)
    assert (answer.status_code, len(answer.json()["students"])) == (200, 2)
    assert "key" not in answer.json()
    assert post(coach_client, "/api/key", {"only": True}, **SAME_SITE).json()["students"] == []
    assert not LogKey.objects.exists()


def test_a_guardian_chooses_among_children(coach):
    guardian = factories.make_user("Morag")
    ann = factories.make_child(coach, guardian, name="Ann")
    ben = factories.make_child(coach, guardian, name="Ben")
    client = signed_in(guardian)
    names = [student["name"] for student in client.get("/api/key").json()["students"]]
    assert names == ["Ann", "Ben"]
    answer = post(client, "/api/key", {"student": str(ben.pk)}, **SAME_SITE)
    assert answer.json()["student"]["id"] == str(ben.pk)
    assert ann.pk != ben.pk


@pytest.mark.parametrize(
    "body", [{"student": "x"}, {"device": "\x00"}, {"device": "x" * 81}, [], 1]
)
def test_a_key_asked_for_wrongly_is_400(student_client, body):
    assert post(student_client, "/api/key", body, **SAME_SITE).status_code == 400


def test_a_key_for_somebody_elses_student_is_404(student_client, coach):
    other = factories.make_student(coach, "Other")
    body = {"student": str(other.pk)}
    assert post(student_client, "/api/key", body, **SAME_SITE).status_code == 404


def test_a_coach_has_no_week_of_their_own(coach_client):
    assert coach_client.get("/api/week").status_code == 404


def test_a_key_makes_no_key(phone):
    assert post(phone.client, "/api/key", {}, **SAME_SITE).status_code == 401


def test_a_drawer_of_old_keys_is_closed(student, phone):
    for _ in range(keys.MOST_PER_STUDENT):
        with time_machine.travel(NOON + timedelta(hours=1), tick=False):
            keys.make_key(user=student.user, student=student)
    assert LogKey.objects.filter(revoked_at=None).count() == keys.MOST_PER_STUDENT
    assert phone.week().status_code == 401


# --- the sign-in cookie -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Sec-Fetch-Site": "same-origin"}, 200),
        ({"Sec-Fetch-Site": "same-site"}, 403),
        ({"Sec-Fetch-Site": "cross-site", "Origin": "http://testserver"}, 403),
        ({"Origin": "http://testserver"}, 200),
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "null"}, 403),
        ({}, 403),
    ],
)
def test_with_the_cookie_only_our_own_pages_may_send(student, headers, status):
    client = Client(enforce_csrf_checks=True)
    client.force_login(student.user, backend="allauth.account.auth_backends.AuthenticationBackend")
    one = entry(student)
    answer = post(client, "/api/sync", batch(one), **headers)
    assert answer.status_code == status
    assert Entry.objects.count() == (status == 200)


def test_json_as_plain_text_is_not_from_our_pages(student_client, student):
    answer = student_client.post(
        "/api/sync", json.dumps(batch(entry(student))), content_type="text/plain", headers=SAME_SITE
    )
    assert answer.status_code == 403
    assert not Entry.objects.exists()


def test_a_dead_key_falls_back_to_the_sign_in(student, student_client):
    headers = SAME_SITE | {"Authorization": "LogKey gone"}
    answer = post(student_client, "/api/sync", batch(entry(student)), **headers)
    assert answer.status_code == 200


def test_a_key_is_heard_alone_beside_somebody_elses_sign_in(coach, coach_client, student, phone):
    """Nothing of the cookie is read: no session, and no clock of whoever signed in."""
    coach.time_zone = "Asia/Tokyo"
    coach.save(update_fields=["time_zone"])
    coach_client.get("/settings/")
    headers = {"Authorization": f"LogKey {phone.secret}"}
    with CaptureQueriesContext(connection) as asked:
        answer = post(coach_client, "/api/sync", batch(entry(student)), **headers)
    assert list(answer.json()["r"].values()) == [["stored", ""]]
    assert not answer.cookies
    assert Entry.objects.get().writer == student.user
    assert not any("people_usersession" in query["sql"] for query in asked)
    assert timezone.get_current_timezone_name() == "UTC"


def test_by_a_key_that_stands_nothing_else_is_reached(coach_client, phone):
    """The straight way is of one address: elsewhere a request is whose sign-in it bears."""
    headers = {"Authorization": f"LogKey {phone.secret}"}
    assert Client().get("/who/", headers=headers).status_code == 302
    assert Client().get("/api/sync/", headers=headers).status_code == 404
    assert coach_client.get("/who/", headers=headers).status_code == 200


def test_while_no_key_can_be_looked_up_a_phone_is_told_to_come_back(phone, student, monkeypatch):
    def away(secret):
        raise OperationalError("database is locked")

    monkeypatch.setattr("practice.phone.keys.find_key_to_log", away)
    monkeypatch.setattr("practice.phone.sign_in.find_key", away)
    answer = phone.sync(entry(student))
    assert (answer.status_code, answer.json()["code"]) == (503, "busy")
    assert answer["Retry-After"]


def test_of_whom_nothing_may_be_kept_any_more_is_told_in_json(phone, student, monkeypatch):
    def closed(*args, **kwargs):
        raise NotRecordable

    monkeypatch.setattr("practice.phone.api.receive", closed)
    answer = phone.sync(entry(student))
    assert (answer.status_code, answer.json()["code"]) == (409, "consent")
    assert answer["Cache-Control"] == "private, no-store"


# --- bodies ----------------------------------------------------------------------------------


def test_at_most_fifty_entries_at_a_time(phone, student):
    many = [entry(student) for _ in range(51)]
    assert phone.sync(*many).status_code == 400
    assert not Entry.objects.exists()
    assert len(phone.receipts(*many[:50])) == 50


@pytest.mark.parametrize(
    "body",
    [
        "",
        "{",
        "[" * 100_000,
        '{"e": NaN}',
        '{"e": ' + "9" * 5000 + "}",
        b"\xff\xfe{\x00}\x00",
        b"\xef\xbb\xbf{}",
        "[]",
        "1",
        "null",
        '"x"',
        "{}",
        '{"e": {}}',
        '{"e": null}',
    ],
)
def test_a_body_that_is_no_batch_is_400(phone, body):
    answer = post(phone.client, "/api/sync", body)
    assert answer.status_code == 400
    assert set(answer.json()) == {"code", "detail"}


def test_ten_megabytes_are_413(phone):
    answer = post(phone.client, "/api/sync", '{"e":[]}' + " " * 10_000_000)
    assert (answer.status_code, answer.json()["code"]) == (413, "too_big")


def test_another_kind_of_body_is_415(phone):
    assert phone.client.post("/api/sync", {"e": "x"}).status_code == 415


@pytest.mark.parametrize("sent", ["", "now", "2031-02-26T12:00:00", "9999-99-99T00:00Z"])
def test_a_phone_that_cannot_say_its_time_is_heard_all_the_same(phone, student, sent):
    assert phone.receipt(entry(student), sent=sent) == ["stored", ""]


HOSTILE = [
    "",
    " ",
    "\x00",
    "a\x00b",
    "\ud800",
    "\u202eabc",
    "\u200b",
    "👩‍👩‍👧",
    "x" * 100_000,
    "'; DROP TABLE log_entry; --",
    "%s{}%(x)s",
    "{{ settings.SECRET_KEY }}",
    "<script>alert(1)</script>",
    "=1+1",
    -1,
    0,
    1,
    2**31,
    2**63,
    10**30,
    -(10**30),
    1e308,
    0.1,
    "1_000",
    "٣",
    True,
    False,
    None,
    [],
    {},
    [[]],
    {"a": {"b": []}},
    [None] * 100,
    "2031-02-26",
    "0001-01-01",
    "9999-12-31",
    "2031-02-30",
    "2031-02-26T25:00:00Z",
    "0001-01-01T00:00:00+00:00",
    "9999-12-31T23:59:59+00:00",
    str(uuid4()),
    "00000000-0000-0000-0000-000000000000",
    "{0190a6c2-0000-7000-8000-000000000000}",
]
TOP = ["id", "v", "k", "who", "day", "at", "target", "b", "min", "felt", "note", "pain", "caution"]
IN_BLOCK = ["p", "d", "w", "s", "min", "as", "stop", "last", "balls", "hard"]
IN_STEP = ["n", "c", "e"]
IN_PAIN = ["lvl", "where", "signs", "new", "p"]


def hostile(student, place, name, value):
    one = entry(student)
    if place == "top":
        return one | {name: value}
    if place == "block":
        return one | {"b": [one["b"][0] | {name: value}]}
    if place == "step":
        return one | {"b": [one["b"][0] | {"s": [{"n": 3, "c": 1, "e": 50} | {name: value}]}]}
    told = {"lvl": 2, "where": "wrist", "signs": [], "new": True, "p": None}
    return one | {"pain": told | {name: value}}


def is_part_of(kept, sent) -> bool:
    """Whether what is kept was sent so: fields that mean nothing are left out, none is changed."""
    if isinstance(kept, dict) and isinstance(sent, dict):
        return all(name in sent and is_part_of(kept[name], sent[name]) for name in kept)
    if isinstance(kept, list) and isinstance(sent, list):
        return len(kept) == len(sent) and all(map(is_part_of, kept, sent))
    return type(kept) is type(sent) and kept == sent


PLACES = (
    [("top", name) for name in TOP]
    + [("block", name) for name in IN_BLOCK]
    + [("step", name) for name in IN_STEP]
    + [("pain", name) for name in IN_PAIN]
)


@pytest.mark.parametrize(("place", "name"), PLACES, ids=lambda value: value)
def test_no_value_anywhere_makes_us_stumble_or_poisons_a_page(phone, student, place, name, caplog):
    for kind in ("log", "change", "back", "read", "away"):
        ones = [hostile(student, place, name, value) for value in HOSTILE]
        if (place, name) != ("top", "k"):
            ones = [one | {"k": kind} for one in ones]
        text = json.dumps(ones)
        answer = post(phone.client, "/api/sync", f'{{"e":{text}}}')
        assert answer.status_code == 200, answer.content
        receipts = answer.json()["r"]
        # A receipt for each that names itself: none was left out by a fault of ours.
        assert name == "id" or len(receipts) == len(ones)
        assert "could not be taken" not in caplog.text
        for one in json.loads(text):
            if receipts.get(one["id"] if isinstance(one["id"], str) else "", [""])[0] == "stored":
                assert is_part_of(Entry.objects.get(pk=one["id"]).document, one)
    assert phone.week().status_code == 200
    client = signed_in(student.user)
    assert client.get("/log/plain").status_code == 200


@pytest.mark.parametrize("value", ["", "x", "\x00", "1" * 25, "%00", "' or 1=1"])
def test_a_student_asked_for_wrongly_is_404(student_client, value):
    assert student_client.get("/api/week", {"student": value}).status_code in {200, 404}
    # NUL is taken out of every address, so that nothing stands there.
    assert student_client.get("/api/week", {"student": value}).status_code == (
        404 if value.strip("\x00") else 200
    )


# --- one entry at its own address ------------------------------------------------------------


def test_put_stores_once_and_says_so(phone, student, part):
    one = entry(student, part)
    answers = [phone.put(one) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [201, 200]
    assert answers[0].json()["r"] == {one["id"]: ["stored", ""]}
    assert Entry.objects.count() == 1


def test_put_takes_the_id_from_the_address(phone, student):
    one = entry(student)
    entry_id = one.pop("id")
    assert phone.put(one, at=entry_id).status_code == 201
    assert phone.put(one | {"id": str(uuid4())}, at=entry_id).status_code == 400


def test_put_of_other_content_is_a_conflict(phone, student):
    one = entry(student)
    phone.put(one)
    answer = phone.put(one | {"note": "x"})
    assert (answer.status_code, answer.json()["code"]) == (409, "differs")


def test_put_on_another_students_id_finds_nothing_and_changes_nothing(phone, coach, student):
    other = factories.make_student(coach, "Other")
    theirs = entry(other)
    Phone(other).put(theirs)
    before = Entry.objects.values().get()
    assert phone.put(entry(student, id=theirs["id"])).status_code == 404
    assert Entry.objects.values().get() == before


def test_put_of_what_was_taken_back_is_gone_and_stays_gone(phone, student):
    one = entry(student)
    phone.put(one)
    phone.put(back(one))
    assert phone.put(one).status_code == 410
    assert not Entry.objects.filter(counts=True).exists()


def test_put_of_what_was_changed_is_still_there(phone, student):
    one = entry(student)
    phone.put(one)
    phone.put(change(one))
    assert phone.put(one).status_code == 200


@pytest.mark.parametrize(
    ("fields", "status", "code"),
    [
        ({"felt": 11}, 422, "amount"),
        ({"day": "2032-01-01"}, 422, "day"),
        ({"at": "2031-02-26T11:30:00"}, 422, "shape"),
        ({"who": str(uuid4())}, 403, "other_person"),
        ({"v": 9}, 501, "version"),
    ],
)
def test_put_says_what_is_wrong(phone, student, fields, status, code):
    answer = phone.put(entry(student, **fields))
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert answer.json()["detail"].endswith(".")
    assert not Entry.objects.exists()


@pytest.mark.parametrize("path", ["x", "0", "-1", "1" * 25, "%00", "..%2f", "🏌"])
def test_an_address_that_is_no_id_is_404(phone, path):
    assert phone.client.put(f"/api/sessions/{path}", "{}", "application/json").status_code == 404


def test_a_session_is_read_by_its_own_people_and_by_no_key(
    client, phone, coach, student, student_client
):
    one = entry(student)
    phone.put(one)
    address = f"/api/sessions/{one['id']}"
    assert student_client.get(address).json()["session"] == one
    assert phone.client.get(address).status_code == 403
    assert client.get(address).status_code == 401
    other = factories.make_student(coach, "Other")
    client.force_login(other.user)
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("accept", ["*/*", "application/json"])
def test_it_is_answered_the_same_with_the_library_around_it_and_without(
    phone, student, accept, monkeypatch
):
    """What comes as phones send it goes past the library; what asks for JSON by name does not."""
    through = []
    usual = api.SyncView.dispatch
    monkeypatch.setattr(
        api.SyncView, "dispatch", lambda self, *a, **k: through.append(1) or usual(self, *a, **k)
    )
    one = entry(student)
    body = json.dumps({"sent": "2031-02-26T19:00:00+01:00", "e": [one]})

    def answer(method="post", to="/api/sync", **more):
        head = {"authorization": f"LogKey {phone.secret}", "accept": accept}
        return getattr(Client(), method)(
            to, more.get("body", body), content_type=more.get("kind", "application/json"),
            headers=head,
        )  # fmt: skip

    told = answer()
    assert told.status_code == 200
    assert told.json()["r"] == {one["id"]: ["stored", ""]}
    assert told["Cache-Control"] == "no-store"
    assert bool(through) == (accept != "*/*")
    wrong = [{"body": "{"}, {"body": "[]"}, {"body": '{"e": NaN}'}, {"body": b'{"e": "\xff"}'}]
    assert [answer(**each).status_code for each in wrong] == [400] * 4
    assert answer(kind="text/plain").status_code == 415
    assert answer("put").status_code == 405


def test_while_the_database_is_away_a_log_is_told_to_wait(phone, student, monkeypatch):
    def away(*_args, **_named):
        raise OperationalError("database is locked")

    monkeypatch.setattr(api, "receive", away)
    answer = phone.sync(entry(student))
    assert (answer.status_code, answer.json()["code"]) == (503, "busy")
    assert answer["Retry-After"] == "5"
    assert answer.json()["detail"]
