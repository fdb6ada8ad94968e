"""The sign-in library's forms in our words: its labels, hints and placeholders replaced."""

from typing import Any

from allauth.account import forms as account
from allauth.mfa.base import forms as second
from allauth.mfa.webauthn import forms as passkeys
from django import forms

EMAIL = "Your e-mail"
LABELS = {
    "login": EMAIL,
    "email": EMAIL,
    "password": "Password",
    "oldpassword": "Password of now",
    "password1": "New password",
    "password2": "The same once more",
    "code": "Recovery code",
    "name": "A name for it",
}


class OurWords:
    """Put before one of the library's forms."""

    fields: dict[str, forms.Field]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.label = LABELS.get(name, field.label)
            field.help_text = ""
            field.widget.attrs.pop("placeholder", None)


class Login(OurWords, account.LoginForm):
    pass


class ResetPassword(OurWords, account.ResetPasswordForm):
    pass


class ResetPasswordKey(OurWords, account.ResetPasswordKeyForm):
    pass


class ChangePassword(OurWords, account.ChangePasswordForm):
    pass


class SetPassword(OurWords, account.SetPasswordForm):
    pass


class Reauthenticate(OurWords, account.ReauthenticateForm):
    pass


class RecoveryCode(OurWords, second.AuthenticateForm):
    pass


class RecoveryCodeAgain(OurWords, second.ReauthenticateForm):
    pass


class AddPasskey(OurWords, passkeys.AddWebAuthnForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["name"] = self.fields["name"].initial = "My passkey"
