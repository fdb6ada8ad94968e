"""A phone on another host name: with TLS it logs from a cold start without signal; without, it is
told so."""

import base64
import hashlib
import os
import socket
import subprocess
import sys
from contextlib import contextmanager
from urllib.parse import urlsplit

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from shared.site import certificates
from tests.browser import house
from tests.browser.house import Phone, new_context, until, verdict
from tests.browser.test_phone_shell import SHELL_KEPT
from tests.ports import own_port

pytestmark = pytest.mark.browser
HOST = "desk.local"
TOLD = "This address works only with signal."
UNTRUSTED = "This works only with signal until this phone trusts the certificate."


def pinned(folder) -> str:
    """The certificate's key as Chromium is told to trust it: SHA-256 of its SPKI (RFC 7469)."""
    chain = certificates.certificate_files(folder)[0].read_bytes()
    key = x509.load_pem_x509_certificate(chain).public_key()
    spki = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    return base64.b64encode(hashlib.sha256(spki).digest()).decode()


@contextmanager
def encrypted(server, folder, port: int):
    """shared.site.tls_front before this server, as `manage.py serve` starts it."""
    more = {"DATA_DIR": str(folder), "HOST": "127.0.0.1", "TLS_PORT": str(port)}
    process = subprocess.Popen(
        [sys.executable, "-m", "shared.site.tls_front"], cwd=house.ROOT, env=os.environ | more
    )
    try:
        until(lambda: _listens(port), f"port {port} to listen")
        yield process
    finally:
        process.terminate()
        process.wait(60)


def _listens(port: int) -> bool:
    """A page asked for before would leave the browser's own error page, which comes in late."""
    try:
        socket.create_connection(("127.0.0.1", port), timeout=house.PATIENCE).close()
    except ConnectionRefusedError:
        return False
    return True


@pytest.fixture(scope="module")
def named(template, tmp_path_factory, playwright):
    """A server that answers to the name, its certificate, and a browser that knows both."""
    folder = tmp_path_factory.mktemp("named")
    certificates.prepare(folder, [HOST])
    flags = [
        *house.FLAGS,
        f"--host-resolver-rules=MAP {HOST} 127.0.0.1",
        f"--ignore-certificate-errors-spki-list={pinned(folder)}",
    ]
    with own_port() as inner, pytest.MonkeyPatch.context() as patched:
        patched.setenv("EXTRA_HOSTS", HOST)
        patched.setenv("TLS_INNER_PORT", str(inner))
        chromium = playwright.chromium.launch(executable_path=house.CHROMIUM, args=flags)
        with house.running_copy(template[0], folder) as server:
            yield server, chromium
        chromium.close()


@pytest.fixture
def reached(named, template):
    """Its addresses with TLS and without, its rows as they were seeded."""
    server, chromium = named
    server.url = f"http://127.0.0.1:{server.port}"
    server.put_back(template[0] / "phone.sqlite3")
    with own_port() as tls_port, encrypted(server, server.folder, tls_port) as front:
        yield server, front, f"https://{HOST}:{tls_port}", chromium


def test_with_tls_it_logs_from_a_cold_start_without_signal(reached, seed):
    server, front, url, chromium = reached
    plain, server.url = server.url, url
    context = new_context(chromium, server, seed["cookies"]["sam"])
    page = context.new_page()
    phone = Phone(page, server).open()
    assert phone.page.evaluate("isSecureContext")
    assert TOLD not in phone.page.inner_text("body")
    until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")
    phone.page.close()
    server.url = plain
    server.stop()
    front.terminate()
    front.wait(60)
    server.url = url
    phone = Phone(context.new_page(), server).open()
    phone.done_as_asked()
    assert phone.pill() == "1 kept on this phone"
    server.url = plain
    server.start()
    server.url = url
    with encrypted(server, server.folder, urlsplit(url).port):
        phone.all_sent()
        assert verdict(phone.ticks, server.rows()) == ([], [])
    context.close()


def test_over_plain_http_it_is_told_once(reached, seed):
    server, _, _, chromium = reached
    server.url = f"http://{HOST}:{server.port}"
    context = new_context(chromium, server, seed["cookies"]["sam"])
    phone = Phone(context.new_page(), server).open()
    assert not phone.page.evaluate("isSecureContext")
    phone.page.get_by_text(TOLD).wait_for()
    phone.page.reload()
    phone.loaded()
    assert TOLD not in phone.page.inner_text("body")
    context.close()


def test_a_phone_that_was_waved_through_a_warning_is_told_once(reached, browser, seed):
    """A browser that was told to go on all the same keeps no page: nothing else would say so."""
    server, _, url, _ = reached
    server.url = f"https://127.0.0.1:{urlsplit(url).port}"
    context = new_context(browser, server, seed["cookies"]["sam"], ignore_https_errors=True)
    page = context.new_page()
    phone = Phone(page, server).open()
    assert phone.page.evaluate("isSecureContext")
    phone.page.get_by_text(UNTRUSTED).wait_for()
    phone.page.reload()
    phone.loaded()
    phone.page.wait_for_load_state("networkidle")
    assert UNTRUSTED not in phone.page.inner_text("body")
    context.close()
