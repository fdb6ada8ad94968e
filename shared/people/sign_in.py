"""How the sign-in library behaves here."""

from typing import Any
from urllib.parse import quote

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core.exceptions import ImmediateHttpResponse
from django.conf import settings
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from shared import errors


class AccountAdapter(DefaultAccountAdapter):
    error_messages = DefaultAccountAdapter.error_messages | {
        "email_password_mismatch": "This address and this password do not go together.",
        "incorrect_code": "That is not the code. Look at the newest mail.",
        "incorrect_password": "That is not your password.",
        "enter_current_password": "That is not your password of now.",
        "too_many_login_attempts": "Too many tries. Wait five minutes, then try again.",
        "rate_limited": "Too many tries. Wait a little, then try again.",
        "account_inactive": "This sign-in is closed. Ask your studio.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Nobody signs up by themselves: people come by invitation."""
        return False

    def pre_authenticate(self, request: HttpRequest, **credentials: Any) -> None:
        """Too many tries are refused before any password is hashed, with a status that says so."""
        try:
            super().pre_authenticate(request, **credentials)
        except ValidationError as error:
            if error.code != "too_many_login_attempts":
                raise
            raise ImmediateHttpResponse(errors.too_many(request)) from error

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """Without the request: an address in a mail is never the one somebody asked by."""
        facts = {**context, "site_url": settings.SITE_URL, "email": email}
        facts.pop("request", None)
        self.render_mail(template_prefix, email, facts).send()

    def get_reset_password_from_key_url(self, key: str) -> str:
        path = reverse("account_reset_password_from_key", kwargs={"uidb36": "UID", "key": "KEY"})
        return settings.SITE_URL + path.replace("UID-KEY", quote(key))

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        return reverse("settings")


def no_such_page(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
    """For a page of the sign-in library that we do not have but that it must be able to name."""
    raise Http404
