"""Files that open with a passphrase only. Pure.

The passphrase becomes a key by scrypt (RFC 7914); the content is sealed in pieces by
AES-256-GCM, each with its number and whether it is the last, so that none can be changed,
moved, left out or cut off unnoticed (the STREAM construction).
"""

import os
from typing import IO

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

MAGIC = b"between-lessons sealed 1\n"
PIECE = 1 << 20
TAG = 16
SALT = 16


class CannotOpen(ValueError):
    """Another passphrase, or not the file that was sealed; the sentence says which to look at."""


def seal(source: IO[bytes], target: IO[bytes], passphrase: str) -> None:
    salt = os.urandom(SALT)
    target.write(MAGIC + salt)
    box, number = _box(passphrase, salt), 0
    piece = source.read(PIECE)
    while True:
        following = source.read(PIECE)
        target.write(box.encrypt(_nonce(number, last=not following), piece, MAGIC))
        if not following:
            return
        piece, number = following, number + 1


def unseal(source: IO[bytes], target: IO[bytes], passphrase: str) -> None:
    """Raises CannotOpen. Write to a place that is thrown away then."""
    if source.read(len(MAGIC)) != MAGIC:
        raise CannotOpen("This is no sealed file of ours.")
    box, number = _box(passphrase, source.read(SALT)), 0
    piece = source.read(PIECE + TAG)
    while True:
        following = source.read(PIECE + TAG)
        try:
            target.write(box.decrypt(_nonce(number, last=not following), piece, MAGIC))
        except InvalidTag as error:
            raise CannotOpen(
                "BACKUP_PASSPHRASE does not open this file, or the file is damaged."
            ) from error
        if not following:
            return
        piece, number = following, number + 1


def is_sealed(head: bytes) -> bool:
    return head.startswith(MAGIC)


def _nonce(number: int, *, last: bool) -> bytes:
    return number.to_bytes(11, "big") + (b"\x01" if last else b"\x00")


def _box(passphrase: str, salt: bytes) -> AESGCM:
    return AESGCM(Scrypt(salt=salt, length=32, n=1 << 15, r=8, p=1).derive(passphrase.encode()))
