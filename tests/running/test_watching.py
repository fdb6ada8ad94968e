"""What watches over an installation: names of requests, lines, figures, the doctor, the bill."""

import json
import logging
import re
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest
from django.conf import settings as real
from django.core import mail
from django.core.management import call_command
from django.test import Client

from shared import checkup, outside
from shared.people.management.commands.sbom import bill_of
from shared.site import errors
from shared.site.logs import ErrorMail, Structured
from shared.site.metrics import Gauge, exposition
from shared.site.requests_named import HEADER, current

pytestmark = pytest.mark.django_db


def test_every_answer_bears_the_name_of_its_request(client):
    first, second = (client.get("/account/login/")[HEADER] for _ in range(2))
    assert re.fullmatch(r"[0-9a-f]{16}", first)
    assert first != second


@pytest.mark.parametrize(
    ("given", "kept"), [("proxy-1234", True), ("x\ny", False), ("a", False), ("<b>" * 9, False)]
)
def test_a_proxys_name_is_kept_if_it_is_one(client, given, kept):
    assert (client.get("/account/login/", headers={HEADER: given})[HEADER] == given) is kept


WORDS = "of Kim, who is 8"


def fails() -> None:
    raise ValueError(WORDS)


def record(message: str = "Something", error: bool = False) -> logging.LogRecord:
    info = None
    if error:
        try:
            fails()
        except ValueError as found:
            info = (type(found), found, found.__traceback__)
    return logging.LogRecord("shared", logging.ERROR, __file__, 1, message, None, info)


def test_a_structured_line_is_one_object_and_opens_nothing():
    token = current.set("abcd1234")
    try:
        line = Structured().format(record("GET /join/SECRET-TOKEN/ said\na lot", error=True))
    finally:
        current.reset(token)
    said = json.loads(line)
    assert "\n" not in line
    assert "SECRET" not in line
    assert (said["request"], said["error"]) == ("abcd1234", "ValueError")
    assert "Kim" not in line


def test_a_fault_is_mailed_without_anybody_in_it():
    ErrorMail("ops@example.org").emit(record(error=True))
    (letter,) = mail.outbox
    assert letter.to == ["ops@example.org"]
    assert "ValueError" in letter.subject
    assert "Kim" not in letter.body
    assert "test_watching.py" in letter.body


def test_the_page_for_a_fault_is_a_page_and_names_it(rf):
    token = current.set("abcd1234")
    try:
        answer = errors.server_error(rf.get("/"))
    finally:
        current.reset(token)
    assert answer.status_code == 500
    assert answer["Content-Type"].startswith("text/html")
    assert "abcd1234" in answer.content.decode()
    assert "What you saved before is safe." in answer.content.decode()


# --- figures ------------------------------------------------------------------------------


def test_figures_need_their_token(client, settings):
    assert client.get("/health/metrics").status_code == 404
    settings.METRICS_TOKEN = "of the collector"
    assert client.get("/health/metrics").status_code == 404
    wrong = {"Authorization": "Bearer of somebody"}
    assert client.get("/health/metrics", headers=wrong).status_code == 404
    right = {"Authorization": "Bearer of the collector"}
    answer = client.get("/health/metrics", headers=right)
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith("text/plain; version=0.0.4")


@pytest.mark.outside
def test_the_text_follows_the_exposition_format():
    """The worked example of the format's own description (Prometheus docs, 'Exposition formats',
    'Text format example', from memory): HELP and TYPE once, then the samples; \\, " and line
    feed escaped in a label's value."""
    said = exposition(
        [
            Gauge("a_total", "How many.", 3, ("path", 'C:\\DIR\n"x"')),
            Gauge("b", "Another.", 0.5),
            Gauge("a_total", "How many.", 4, ("path", "y")),
        ]
    )
    assert said == (
        "# HELP a_total How many.\n"
        "# TYPE a_total gauge\n"
        'a_total{path="C:\\\\DIR\\n\\"x\\""} 3\n'
        'a_total{path="y"} 4\n'
        "# HELP b Another.\n"
        "# TYPE b gauge\n"
        "b 0.5\n"
    )


# --- whom to tell ---------------------------------------------------------------------------


@pytest.mark.outside
def test_security_txt_has_what_rfc_9116_requires(client, settings):
    """RFC 9116, 2.5.3 and 2.5.5: Contact at least once, Expires exactly once."""
    assert client.get("/.well-known/security.txt").status_code == 404
    settings.SECURITY_CONTACT = "mailto:security@example.org"
    answer = client.get("/.well-known/security.txt")
    assert answer["Content-Type"] == "text/plain; charset=utf-8"
    lines = answer.content.decode().splitlines()
    assert lines[0] == "Contact: mailto:security@example.org"
    (expires,) = [line for line in lines if line.startswith("Expires: ")]
    assert re.fullmatch(r"Expires: \d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\+00:00", expires)


def test_a_browser_that_looks_for_an_icon_by_itself_finds_one(client):
    answer = client.get("/favicon.ico")
    assert answer.status_code == 302
    assert answer["Location"].startswith("/static/icon-192.")
    assert "max-age" in answer["Cache-Control"]


# --- the bill -------------------------------------------------------------------------------


def test_the_bill_names_every_package_of_the_lock():
    lock = (Path(real.BASE_DIR) / "requirements.lock").read_text()
    bill = bill_of(lock)
    named = {part["name"]: part for part in bill["components"]}
    assert len(bill["components"]) == len(re.findall(r"^[a-z0-9][^\s]*==", lock, re.MULTILINE))
    assert named["django"]["purl"].startswith("pkg:pypi/django@5.2")
    assert all(part["hashes"] for part in bill["components"])
    assert (bill["bomFormat"], bill["specVersion"]) == ("CycloneDX", "1.5")


# --- the doctor -----------------------------------------------------------------------------


def test_the_doctor_says_what_to_mend_and_fails(capsys, settings):
    settings.DEBUG = True
    with pytest.raises(SystemExit):
        call_command("doctor")
    said = capsys.readouterr().out
    assert "MEND  Settings: DEBUG is on.\n      Switch DEBUG off." in said
    assert "MEND  Workers:" in said
    assert said.index("MEND") < said.index("well")


def test_a_sound_installation_is_well(capsys, settings, monkeypatch):
    monkeypatch.setattr(checkup, "checks", [checkup.database])
    monkeypatch.setattr(outside, "TRIES", ())
    call_command("doctor")
    assert "well  Database: The database answers and is up to date." in capsys.readouterr().out


class Careless(BaseHTTPRequestHandler):
    """Answers everything, and says whatever it was told."""

    def do_GET(self):
        self.send_response(200)
        self.send_header("Set-Cookie", "sessionid=1")
        self.end_headers()
        self.wfile.write(str(self.headers).encode())

    def do_POST(self):
        self.do_GET()

    def log_message(self, *_):
        pass


def test_what_a_stranger_tries_succeeds_on_a_careless_site():
    with ThreadingHTTPServer(("127.0.0.1", 0), Careless) as careless:
        Thread(target=careless.serve_forever, daemon=True).start()
        found = list(outside.findings(f"http://127.0.0.1:{careless.server_port}"))
        careless.shutdown()
    assert [each.words for each in found] == [words for words, _ in outside.TRIES]
    assert not any(each.is_well for each in found)


def test_a_site_that_does_not_answer_is_said():
    (found,) = outside.findings("http://127.0.0.1:1")
    assert "does not answer" in found.words


def test_a_full_disk_is_said(settings, monkeypatch):
    monkeypatch.setattr(checkup, "LEAST_FREE", 2**62)
    assert any("Make room" in finding.mend for finding in checkup.storage())


def test_nothing_of_it_is_open_to_a_visitor(db):
    for page in ("/house/", "/house/events/", "/health/metrics"):
        assert Client().get(page).status_code in {302, 404}
