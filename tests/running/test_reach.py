"""Where an installation is kept, how it is reached, and the certificate of its own making."""

import asyncio
import http.client
import json
import re
import socket
import ssl
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.x509.verification import PolicyBuilder, Store

from shared.site import certificates, data_dir, reach, tls_front
from shared.site.environment import BadSetting
from tests.ports import own_port
from tests.running.processes import (
    ROOT,
    environment,
    installation,
    running,
    started_with,
    until,
)

NOW = datetime(2031, 2, 26, 12, tzinfo=UTC)
LAN, EVERYWHERE = "192.168.7.20", reach.EVERYWHERE[0]


@pytest.fixture(autouse=True)
def bare(monkeypatch):
    for name in ("HOST", "PORT", "TLS", "TLS_PORT", "SITE_URL", "DATA_DIR", "XDG_DATA_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(reach, "own_addresses", lambda: (LAN,))
    monkeypatch.setattr(reach, "own_names", lambda: ("desk.local",))


# --- where it is kept ------------------------------------------------------------------


@pytest.fixture
def clone(monkeypatch, tmp_path):
    monkeypatch.setattr(data_dir, "OLD_PLACE", tmp_path / "clone" / "data")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    data_dir.OLD_PLACE.mkdir(parents=True)
    return data_dir.OLD_PLACE


def test_the_usual_place_lies_outside_the_clone(clone, tmp_path):
    assert data_dir.find() == tmp_path / "share" / "between-lessons"
    assert data_dir.said(data_dir.find()).endswith("share/between-lessons")


def test_a_relative_xdg_folder_is_no_use(clone, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", "share")
    assert data_dir.find() == Path("~/.local/share/between-lessons").expanduser()


def test_an_old_place_in_the_clone_is_found_used_and_said(clone):
    (clone / "practice.sqlite3").touch()
    assert data_dir.find() == clone
    assert "inside the code" in data_dir.said(clone)
    assert f"mv {clone}" in data_dir.said(clone)


def test_a_key_alone_counts_only_while_there_is_no_other(clone, tmp_path):
    (clone / "secret_key").touch()
    assert data_dir.find() == clone
    there = tmp_path / "share" / "between-lessons"
    there.mkdir(parents=True)
    (there / "secret_key").touch()
    assert data_dir.find() == there


def test_data_dir_goes_before_everything(clone, monkeypatch, tmp_path):
    (clone / "practice.sqlite3").touch()
    monkeypatch.setenv("DATA_DIR", str(tmp_path / "mine"))
    assert data_dir.find() == tmp_path / "mine"


# --- how it is reached -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("env", "kept", "expected"),
    [
        ({}, None, ("http://localhost:8000", "127.0.0.1", "")),
        ({"PORT": "8080"}, None, ("http://localhost:8080", "127.0.0.1", "")),
        ({"HOST": EVERYWHERE}, None, (f"http://{LAN}:8000", EVERYWHERE, "")),
        ({"TLS": "local"}, None, (f"https://{LAN}:8443", EVERYWHERE, "local")),
        ({}, ("http://desk.local:8000", EVERYWHERE, ""),
         ("http://desk.local:8000", EVERYWHERE, "")),
        ({"HOST": "127.0.0.1"}, ("http://desk.local:8000", EVERYWHERE, ""),
         ("http://localhost:8000", "127.0.0.1", "")),
        ({"SITE_URL": "https://p.example.org/"}, ("http://desk.local:8000", EVERYWHERE, ""),
         ("https://p.example.org", EVERYWHERE, "")),
        ({"TLS": "local"}, ("https://desk.local:8443", EVERYWHERE, "local"),
         ("https://desk.local:8443", EVERYWHERE, "local")),
        ({"TLS": "local"}, ("http://desk.local:8000", EVERYWHERE, ""),
         (f"https://{LAN}:8443", EVERYWHERE, "local")),
        ({"TLS": "off"}, (f"https://{LAN}:8443", EVERYWHERE, "local"),
         (f"http://{LAN}:8000", EVERYWHERE, "")),
    ],
)  # fmt: skip
def test_the_environment_goes_before_what_is_kept(monkeypatch, tmp_path, env, kept, expected):
    for name, value in env.items():
        monkeypatch.setenv(name, value)
    if kept:
        reach.keep(tmp_path, reach.SiteAddress(*kept))
    found = reach.now(tmp_path)
    assert (found.url, found.host, found.tls) == expected


def test_what_is_kept_and_cannot_be_read_is_as_nothing(tmp_path):
    (tmp_path / reach.FILE).write_text('{"url": ')
    assert reach.kept(tmp_path) is None


def test_another_kind_of_tls_is_refused(monkeypatch, tmp_path):
    monkeypatch.setenv("TLS", "yes")
    with pytest.raises(BadSetting, match="TLS=local"):
        reach.now(tmp_path)


@pytest.mark.parametrize(
    ("url", "only_here"),
    [
        ("http://localhost:8000", True),
        ("http://127.0.0.1:8000", True),
        ("http://[::1]:8000", True),
        ("http://a.localhost", True),
        (f"http://{LAN}:8000", False),
        ("https://practice.example.org", False),
    ],
)
def test_an_address_that_only_this_machine_opens_is_known(url, only_here):
    assert reach.is_only_here(url) is only_here


# --- the certificate, checked by the verifier of the cryptography library ---------------


def verified(folder: Path, name: str, at: datetime):
    """By RFC 5280 path validation as the library does it."""
    authority = x509.load_pem_x509_certificate(certificates.authority_file(folder).read_bytes())
    leaf = x509.load_pem_x509_certificates(certificates.certificate_files(folder)[0].read_bytes())
    wanted = x509.DNSName(name) if name[0].isalpha() else x509.IPAddress(_address(name))
    builder = PolicyBuilder().store(Store([authority])).time(at)
    return builder.build_server_verifier(wanted).verify(leaf[0], [])


def _address(name: str):
    from ipaddress import ip_address

    return ip_address(name)


@pytest.mark.parametrize("is_known", [True, False])
def test_a_name_that_nobody_knows_here_is_not_proposed(monkeypatch, is_known):
    """Of a machine with no private address: its browser was sent to a name that led nowhere."""

    def looked_up(name, _port):
        if name == "desk.local" and not is_known:
            raise socket.gaierror(socket.EAI_NONAME, "no such name")
        return []

    monkeypatch.setattr(reach, "own_addresses", lambda: ("203.0.113.7",))
    monkeypatch.setattr(reach.socket, "getaddrinfo", looked_up)
    name = "desk.local" if is_known else "localhost"
    assert reach.usual_url(EVERYWHERE, reach.OWN_CERTIFICATE) == f"https://{name}:8443"


@pytest.mark.parametrize("name", [LAN, "desk.local", "localhost", "127.0.0.1"])
def test_a_verifier_takes_the_certificate_for_each_of_our_names(tmp_path, name):
    assert certificates.prepare(tmp_path, [LAN, "desk.local"], now=NOW)
    assert len(verified(tmp_path, name, NOW)) == 2


def test_it_is_no_certificate_for_anybody_else(tmp_path):
    from cryptography.x509.verification import VerificationError

    certificates.prepare(tmp_path, [LAN, "bank.example.org", "8.8.8.8"], now=NOW)
    for name in ("bank.example.org", "8.8.8.8", "192.168.7.21"):
        with pytest.raises(VerificationError):
            verified(tmp_path, name, NOW)


def test_the_authority_may_vouch_for_private_networks_only(tmp_path):
    certificates.prepare(tmp_path, [LAN], now=NOW)
    authority = x509.load_pem_x509_certificate(certificates.authority_file(tmp_path).read_bytes())
    said = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert said.critical
    assert all(
        each.value.is_private or str(each.value) == "100.64.0.0/10"
        for each in said.value.permitted_subtrees
        if isinstance(each, x509.IPAddress)
    )


def test_it_is_made_anew_for_another_address_and_before_it_ends_and_the_authority_stays(tmp_path):
    certificates.prepare(tmp_path, [LAN], now=NOW)
    authority = certificates.authority_file(tmp_path).read_bytes()
    assert not certificates.prepare(tmp_path, [LAN], now=NOW + timedelta(days=300))
    assert certificates.prepare(tmp_path, ["192.168.7.21"], now=NOW)
    assert certificates.prepare(tmp_path, ["192.168.7.21"], now=NOW + timedelta(days=380))
    assert certificates.authority_file(tmp_path).read_bytes() == authority
    assert len(verified(tmp_path, "192.168.7.21", NOW + timedelta(days=600))) == 2


def test_its_keys_are_readable_by_this_system_user_alone(tmp_path):
    certificates.prepare(tmp_path, [LAN], now=NOW)
    folder = tmp_path / certificates.FOLDER
    assert {each.stat().st_mode & 0o077 for each in [folder, *folder.iterdir()]} == {0}


# --- the line before what is handed on (proxy-protocol.txt, 2.1, its own examples) -------


def test_the_line_is_the_one_of_the_protocols_text():
    line = tls_front.proxy_line(("255.255.255.255", 65535), ("255.255.255.255", 65535))
    assert line == b"PROXY TCP4 255.255.255.255 255.255.255.255 65535 65535\r\n"
    assert tls_front.proxy_line(("::1", 5), ("::1", 443)) == b"PROXY TCP6 ::1 ::1 5 443\r\n"


@pytest.mark.parametrize("line", [b"", b"GET / HTTP/1.1", b"PROXY UNKNOWN", b"PROXY TCP4 1.2.3.4"])
def test_another_line_names_nobody(line):
    assert tls_front.asked_by(line) == ""


# --- all of it, as people start it ------------------------------------------------------


def get(host: str, port: int, path: str, tls: ssl.SSLContext | None = None):
    kind = http.client.HTTPSConnection if tls else http.client.HTTPConnection
    connection = kind(host, port, timeout=30, **({"context": tls} if tls else {}))
    try:
        connection.request("GET", path)
        answer = connection.getresponse()
        return answer.status, answer.getheader("Location"), answer.read().decode()
    finally:
        connection.close()


def test_one_command_serves_tls_and_begins_anew_when_another_address_is_chosen(tmp_path):
    data, log = tmp_path / "data", tmp_path / "log"
    with (
        own_port() as port,
        own_port() as tls_port,
        installation(data, "sqlite", PORT=str(port), TLS_PORT=str(tls_port)) as env,
    ):
        chosen = reach.SiteAddress(f"https://localhost:{tls_port}", "127.0.0.1", "local")
        reach.keep(data, chosen)
        with running([sys.executable, "manage.py", "serve"], env, log) as process:
            until(lambda: "serves on" in log.read_text(), "the address", process)
            trusting = ssl.create_default_context(cafile=certificates.authority_file(data))

            def answers():
                try:
                    return get("localhost", tls_port, "/welcome/", trusting)[0] == 200
                except OSError:
                    return False

            until(answers, "an answer over TLS", process)
            moved = get("localhost", port, "/welcome/")
            assert moved[:2] == (301, f"https://localhost:{tls_port}/welcome/")
            status, _, page = get("localhost", port, "/trust/")
            assert status == 200
            sheets = re.findall(r'rel="stylesheet" href="([^"]+)"', page)
            assert sheets
            for sheet in sheets:  # A phone that does not trust us yet sees the page as we drew it.
                assert get("localhost", port, sheet)[0] == 200
            with pytest.raises(ssl.SSLCertVerificationError):
                get("localhost", tls_port, "/", ssl.create_default_context())
            # A page that is open keeps its connection; to end it is no error to print.
            open_page = http.client.HTTPSConnection("localhost", tls_port, context=trusting)
            open_page.request("GET", "/welcome/")
            open_page.getresponse().read()
            reach.keep(data, reach.SiteAddress(f"http://localhost:{port}"))
            until(lambda: log.read_text().count("serves on") == 2, "the new beginning", process)
            open_page.close()
            assert get("localhost", port, "/welcome/")[0] == 200
            process.terminate()
            assert process.wait(60) == 0
        until(lambda: not started_with(str(data)), "no process left")
        said = log.read_text()
        assert "Traceback" not in said
        assert "superuser" not in said
        assert "WARNING" not in said
        assert "[config]" not in said  # The worker's banner.
        assert f"Your studio is kept in {data}" in said
        assert said.count(f"http://localhost:{port}/trust/") == 1  # While it is encrypted.


def test_host_everywhere_answers_to_this_machines_own_addresses(tmp_path):
    asked = (
        "from django.conf import settings; from shared.site import reach;"
        "import json; print(json.dumps([settings.SITE_URL, settings.ALLOWED_HOSTS,"
        " list(reach.own_hosts())]))"
    )
    env = environment(tmp_path, HOST=EVERYWHERE, DJANGO_SETTINGS_MODULE="shared.settings")
    found = subprocess.run(
        [sys.executable, "-c", asked], cwd=ROOT, env=env, capture_output=True, text=True, check=True
    )
    url, allowed, hosts = json.loads(found.stdout)
    assert set(hosts) <= set(allowed)
    if hosts:
        assert url == f"http://{hosts[0]}:8000"


def in_a_thread(work):
    """A browser test that ran before leaves a loop running in the main thread."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, work).result()


def test_a_slow_or_broken_handshake_is_nobodys_thread():
    """The server side waits in one loop; what is no TLS is closed."""

    async def tried(folder: Path) -> bytes:
        context = tls_front.context_of(*certificates.certificate_files(folder))
        with own_port() as port:
            serving = asyncio.create_task(tls_front.serve("127.0.0.1", port, 1, context))
            for _ in range(200):
                try:
                    reader, writer = await asyncio.open_connection("127.0.0.1", port)
                    break
                except OSError:
                    await asyncio.sleep(0.01)
            writer.write(b"GET / HTTP/1.1\r\n\r\n")
            got = await reader.read()
            writer.close()
            serving.cancel()
            return got

    import tempfile

    with tempfile.TemporaryDirectory() as name:
        certificates.prepare(Path(name), [LAN])
        assert b"HTTP" not in in_a_thread(tried(Path(name)))
