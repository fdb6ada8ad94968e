"""What is sealed opens with its passphrase, whole, or not at all."""

import io

import pytest

from shared.backups.sealing import PIECE, TAG, CannotOpen, seal, unseal

PASSPHRASE = "heel toe heel toe"
LONG = bytes(range(256)) * (PIECE // 100)


def sealed(content: bytes) -> bytes:
    target = io.BytesIO()
    seal(io.BytesIO(content), target, PASSPHRASE)
    return target.getvalue()


def opened(content: bytes, passphrase: str = PASSPHRASE) -> bytes:
    target = io.BytesIO()
    unseal(io.BytesIO(content), target, passphrase)
    return target.getvalue()


@pytest.mark.parametrize("content", [b"", b"x", b"y" * PIECE, b"z" * (PIECE + 1), LONG])
def test_it_comes_back_as_it_was(content):
    assert opened(sealed(content)) == content


def test_nothing_of_it_can_be_read():
    assert b"Sam" not in sealed(b"Sam Sample told of pain")


@pytest.mark.parametrize(
    "spoil",
    [
        lambda kept: kept[:-1],
        lambda kept: kept[: -(len(LONG) % PIECE + TAG)],  # The last piece left out.
        lambda kept: kept[:200] + bytes([kept[200] ^ 1]) + kept[201:],
        lambda kept: kept + b"more",
        lambda kept: b"no file of ours",
    ],
)
def test_what_was_spoilt_does_not_open(spoil):
    with pytest.raises(CannotOpen):
        opened(spoil(sealed(LONG)))


def test_another_passphrase_does_not_open_it():
    with pytest.raises(CannotOpen, match="BACKUP_PASSPHRASE"):
        opened(sealed(LONG), "another")
