"""A message to a browser, sealed for it alone and signed by us. Pure: bytes in, bytes out.

Sealed by RFC 8291 (aes128gcm of RFC 8188 in one record), signed by RFC 8292. Some sixty lines
on `cryptography`, which is here anyway; the packages that do the same bring an HTTP client each.
"""

import base64
import json
import os
import struct
from datetime import datetime, timedelta
from urllib.parse import urlsplit

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

CURVE = ec.SECP256R1()
RECORD = 4096
# Of one record: its last byte, the tag of the cipher, and the header before it (RFC 8291, 4).
LONGEST_PLAIN = RECORD - 1 - 16 - 86
POINT, SECRET = 65, 16  # Bytes of a public key and of a browser's secret.
SIGNED_FOR = timedelta(hours=12)  # RFC 8292 allows 24.


def to_text(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode()


def to_bytes(text: str) -> bytes:
    """Raises ValueError for what is no base64url."""
    return base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)


def point_of(key: ec.EllipticCurvePublicKey) -> bytes:
    return key.public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)


def key_from(scalar: bytes) -> ec.EllipticCurvePrivateKey:
    return ec.derive_private_key(int.from_bytes(scalar), CURVE)


def new_scalar() -> bytes:
    return ec.generate_private_key(CURVE).private_numbers().private_value.to_bytes(32)


def read_point(text: str) -> ec.EllipticCurvePublicKey:
    """A browser's public key. Raises ValueError for what is no point of the curve."""
    return ec.EllipticCurvePublicKey.from_encoded_point(CURVE, to_bytes(text))


def sealed(
    plain: bytes,
    *,
    p256dh: str,
    auth: str,
    ours: ec.EllipticCurvePrivateKey | None = None,
    salt: bytes = b"",
) -> bytes:
    """The body of a push message. A key and a salt are given only by the test of the standard."""
    if len(plain) > LONGEST_PLAIN:
        raise ValueError(f"{len(plain)} bytes are too many for one push message.")
    ours, salt = ours or ec.generate_private_key(CURVE), salt or os.urandom(16)
    theirs, point = read_point(p256dh), point_of(ours.public_key())
    info = b"WebPush: info\0" + point_of(theirs) + point
    secret = _derived(ours.exchange(ec.ECDH(), theirs), to_bytes(auth), info, 32)
    key = _derived(secret, salt, b"Content-Encoding: aes128gcm\0", 16)
    nonce = _derived(secret, salt, b"Content-Encoding: nonce\0", 12)
    head = salt + struct.pack("!LB", RECORD, len(point)) + point
    return head + AESGCM(key).encrypt(nonce, plain + b"\x02", None)


def _derived(secret: bytes, salt: bytes, info: bytes, length: int) -> bytes:
    return HKDF(hashes.SHA256(), length, salt, info).derive(secret)


def signed(endpoint: str, ours: ec.EllipticCurvePrivateKey, subject: str, now: datetime) -> str:
    """The Authorization header: who we are, to this one push service, for some hours."""
    parts = urlsplit(endpoint)
    claims = {
        "aud": f"{parts.scheme}://{parts.netloc}",
        "exp": int((now + SIGNED_FOR).timestamp()),
        "sub": subject,
    }
    said = f"{_json({'typ': 'JWT', 'alg': 'ES256'})}.{_json(claims)}"
    r, s = decode_dss_signature(ours.sign(said.encode(), ec.ECDSA(hashes.SHA256())))
    token = f"{said}.{to_text(r.to_bytes(32) + s.to_bytes(32))}"
    return f"vapid t={token}, k={to_text(point_of(ours.public_key()))}"


def _json(value: object) -> str:
    return to_text(json.dumps(value, separators=(",", ":")).encode())
