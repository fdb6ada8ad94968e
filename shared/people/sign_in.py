"""How the sign-in library behaves here."""

from collections.abc import Iterable
from datetime import timedelta
from typing import Any
from urllib.parse import quote
from zoneinfo import ZoneInfo

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core.exceptions import ImmediateHttpResponse
from django.conf import settings
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from shared.people import ends, events, invitation_mail, known_devices, limits, security
from shared.people.device_text import device_words
from shared.people.models import User
from shared.people.sessions import DEVICE
from shared.site import errors
from shared.site.after import after_answer

# What was changed, by the library's name for its mail.
CHANGED = {
    "account/email/password_changed": "The password of your sign-in was changed.",
    "account/email/password_set": "A password was set for your sign-in.",
    "account/email/password_reset": "The password of your sign-in was set anew by a mailed link.",
    "mfa/email/webauthn_added": "A passkey was added to your sign-in.",
    "mfa/email/webauthn_removed": "A passkey was removed from your sign-in.",
    "mfa/email/recovery_codes_generated": "New recovery codes were made for your sign-in.",
}
MAIL_GOOD_FOR = timedelta(hours=1)


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
        """Too many tries are refused before any password is hashed, with a status that says so.

        The library takes the count back when the password was right.
        """
        email = credentials.get("email") or ""
        self._login_failed_rl_usage = limits.count_as(request, "password", email)
        if not self._login_failed_rl_usage:
            raise ImmediateHttpResponse(errors.too_many(request))

    def authentication_failed(self, request: HttpRequest, **credentials: Any) -> None:
        email = (credentials.get("email") or "").strip().lower()
        user = User.objects.filter(email=email).first()
        security.note(request, security.Kind.SIGN_IN_FAILED, by=user, what="password")

    def login(self, request: HttpRequest, user: Any) -> None:
        super().login(request, user)
        security.note(request, security.Kind.SIGNED_IN, by=user)
        request.session[DEVICE] = device_words(request.headers.get("User-Agent", ""))

    def logout(self, request: HttpRequest) -> None:
        """By one's own wish: what this browser could read without a sign-in ends as well."""
        if request.user.is_authenticated:
            security.note(request, security.Kind.SIGNED_OUT, by=request.user)
            for hook in events.signing_out:
                hook(request)
        super().logout(request)

    def get_logout_redirect_url(self, request: HttpRequest) -> str:
        return reverse("signed_out")

    def post_login(self, request: HttpRequest, user: Any, **facts: Any) -> HttpResponse:
        response: HttpResponse = super().post_login(request, user, **facts)
        known_devices.remember(request, response, user.email)
        known_devices.tell_page(response, user.pk)
        return response

    @transaction.atomic
    def set_password(self, user: Any, password: str) -> None:
        """The ones before it are over, also in a backup that is brought back."""
        super().set_password(user, password)
        ends.note_print(
            ends.What.PASSWORD, ends.digest_of(user.pk), ends.print_of(user.pk, user.password)
        )

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """Without the request: an address in a mail is never the one somebody asked by.

        Written down after the answer, which is as fast for an address that nobody here has.
        """
        facts = {**context, "site_url": settings.SITE_URL, "email": email}
        facts.pop("request", None)
        message = self.render_mail(template_prefix, email, facts)
        until = timezone.now() + MAIL_GOOD_FOR
        after_answer(self.request, lambda: invitation_mail.put(message, until=until))

    def send_notification_mail(
        self, template_prefix: str, user: Any, context: Any = None, email: str | None = None
    ) -> None:
        """Tell the user, whoever it was who changed how to sign in."""
        tell_changed(self.request, user, CHANGED[template_prefix], to=[user.email])

    def get_reset_password_from_key_url(self, key: str) -> str:
        path = reverse("account_reset_password_from_key", kwargs={"uidb36": "UID", "key": "KEY"})
        return settings.SITE_URL + path.replace("UID-KEY", quote(key))

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        return reverse("settings")


def tell_changed(request: HttpRequest, user: User, what: str, *, to: Iterable[str]) -> None:
    """Write down that a way in was changed, and mail it to these addresses of the user."""
    security.note(request, security.Kind.WAY_IN_CHANGED, by=user, what=what)
    facts = {
        "changed": what,
        "at": timezone.localtime(timezone.now(), ZoneInfo(user.time_zone)),
        "device": device_words(request.headers.get("User-Agent", "")),
        "page": settings.SITE_URL + reverse("settings"),
        "email": user.email,
    }
    for address in to:
        facts["moved"] = address != user.email
        message = invitation_mail.letter("people/mail/changed.txt", facts, address)
        invitation_mail.put(message, until=timezone.now() + invitation_mail.NEWS_GOOD_FOR)


def no_such_page(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
    """For a page of the sign-in library that we do not have but that it must be able to name."""
    raise Http404
