"""A push service of our own, and a browser that opens what came: by RFC 8188, 8291 and 8292.

Written from the standards and sharing no code with what it judges; the examples of the
standards judge it (tests/outside/test_web_push.py).
"""

import base64
import hashlib
import hmac
import json
import os
import ssl
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import time_machine
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from shared.site import certificates
from tests.ports import own_port


def unbase(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "==="[: -len(text) % 4])


def base(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).decode().rstrip("=")


def _mac(key: bytes, said: bytes) -> bytes:
    return hmac.new(key, said, hashlib.sha256).digest()


@dataclass
class Browser:
    """Its two keys, as a subscription gives them, and the private half that opens."""

    private: ec.EllipticCurvePrivateKey = field(
        default_factory=lambda: ec.generate_private_key(ec.SECP256R1())
    )
    secret: bytes = field(default_factory=lambda: os.urandom(16))

    @property
    def point(self) -> bytes:
        form = PublicFormat.UncompressedPoint
        return self.private.public_key().public_bytes(Encoding.X962, form)

    @property
    def keys(self) -> dict[str, str]:
        return {"p256dh": base(self.point), "auth": base(self.secret)}

    def opened(self, body: bytes) -> bytes:
        """RFC 8291, 3.4, step by step with HMAC alone; one record (RFC 8188, 2)."""
        salt, (size, length) = body[:16], struct.unpack("!LB", body[16:21])
        sender, cipher = body[21 : 21 + length], body[21 + length :]
        assert 17 <= len(cipher) <= size
        theirs = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), sender)
        agreed = _mac(self.secret, self.private.exchange(ec.ECDH(), theirs))
        ikm = _mac(agreed, b"WebPush: info\x00" + self.point + sender + b"\x01")
        prk = _mac(salt, ikm)
        key = _mac(prk, b"Content-Encoding: aes128gcm\x00\x01")[:16]
        nonce = _mac(prk, b"Content-Encoding: nonce\x00\x01")[:12]
        padded = AESGCM(key).decrypt(nonce, cipher, None).rstrip(b"\x00")
        assert padded[-1:] == b"\x02", "the last record's delimiter"
        return padded[:-1]


def claims_of(header: str) -> dict:
    """What an Authorization header of RFC 8292 claims. Raises if its signature is not its key's."""
    scheme, _, rest = header.partition(" ")
    assert scheme == "vapid"
    given = dict(each.strip().split("=", 1) for each in rest.split(","))
    head, claims, signature = given["t"].split(".")
    assert json.loads(unbase(head)) == {"typ": "JWT", "alg": "ES256"}
    raw = unbase(signature)
    pair = encode_dss_signature(int.from_bytes(raw[:32]), int.from_bytes(raw[32:]))
    key = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), unbase(given["k"]))
    key.verify(pair, f"{head}.{claims}".encode(), ec.ECDSA(hashes.SHA256()))
    return json.loads(unbase(claims))


@dataclass
class PushService:
    """Answers each message by the next of `answers`, then 201; 0 hangs up after it was taken."""

    port: int
    answers: list[int] = field(default_factory=list)
    came: list[tuple[str, dict[str, str], bytes]] = field(default_factory=list)

    def endpoint(self, name: str = "one") -> str:
        return f"https://127.0.0.1:{self.port}/push/{name}"

    def shown(self, browser: Browser) -> list[dict]:
        return [json.loads(browser.opened(body))["notification"] for _, _, body in self.came]


def _handler(service: PushService) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            heads = {name.lower(): value for name, value in self.headers.items()}
            service.came.append((self.path, heads, body))
            answer = service.answers.pop(0) if service.answers else 201
            if answer:
                self.send_response(answer)
                self.end_headers()
            else:
                self.close_connection = True

        def log_message(self, *words: object) -> None:
            """Not into the tests' output."""

    return Handler


@contextmanager
def running(folder: Path) -> Iterator[PushService]:
    """With TLS, as no browser gives an address without."""
    # OpenSSL looks at the machine's own clock, wherever the test's has been put.
    hatch = time_machine.escape_hatch
    own = hatch.datetime.datetime.now(UTC) if hatch.is_travelling() else datetime.now(UTC)
    certificates.prepare(folder, ["127.0.0.1"], now=own)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(*certificates.certificate_files(folder))
    with own_port() as port:
        service = PushService(port)
        server = ThreadingHTTPServer(("127.0.0.1", port), _handler(service))
        server.socket = context.wrap_socket(server.socket, server_side=True)
        thread = Thread(target=server.serve_forever, daemon=True)
        thread.start()
        try:
            yield service
        finally:
            server.shutdown()
            server.server_close()
            thread.join()
