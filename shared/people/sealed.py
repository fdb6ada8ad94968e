"""What lies in the database sealed: only this installation's key opens it."""

from base64 import urlsafe_b64encode
from hashlib import sha256
from secrets import token_hex

from allauth.mfa.adapter import DefaultMFAAdapter
from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings

SAID = "sealed "


def seal(text: str) -> str:
    return _box().encrypt(text.encode()).decode()


def unseal(text: str) -> str:
    """Raises InvalidToken."""
    return _box().decrypt(text.encode()).decode()


def _box() -> MultiFernet:
    """Opened by the key of now or by an earlier one that is still taken."""
    keys = (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)
    return MultiFernet([Fernet(_key_from(key)) for key in keys])


def _key_from(secret: str) -> bytes:
    return urlsafe_b64encode(sha256(f"shared.people.invitation_mail\n{secret}".encode()).digest())


class SecondFactorAdapter(DefaultMFAAdapter):
    """What recovery codes are made from is sealed; what was kept before was not."""

    error_messages = DefaultMFAAdapter.error_messages | {
        "incorrect_code": "That is none of your recovery codes, or it was used. Take the next one.",
    }

    def encrypt(self, text: str) -> str:
        return SAID + seal(text)

    def decrypt(self, encrypted_text: str) -> str:
        """Sealed with a key that is gone, it is nothing that anybody knows: no code fits."""
        if not encrypted_text.startswith(SAID):
            return encrypted_text
        try:
            return unseal(encrypted_text.removeprefix(SAID))
        except InvalidToken:
            return token_hex(40)
