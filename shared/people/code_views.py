"""Signing in with a code by e-mail: ask for it, enter it."""

from typing import Any

from allauth.account.internal.flows.login import record_authentication
from allauth.account.mixins import NextRedirectMixin, RedirectAuthenticatedUserMixin
from allauth.account.utils import perform_login
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from django.views.generic.edit import FormView

from shared.outbox.send import is_troubled
from shared.people import codes, limits, security
from shared.people.forms import AddressForm, CodeForm
from shared.people.models import User
from shared.site import errors

SIGN_IN = "sign in"


@method_decorator(never_cache, name="dispatch")
class Ask(RedirectAuthenticatedUserMixin, NextRedirectMixin, FormView):
    """The same answer, as fast, whether or not the address is known. Strangers get no mail."""

    form_class = AddressForm
    template_name = "account/request_login_code.html"

    def form_valid(self, form: AddressForm) -> HttpResponse:
        email = form.cleaned_data["email"]
        if not limits.may_as(self.request, "sign_in_code", email):
            return errors.too_many(self.request)
        known = User.objects.filter(email=email, is_active=True).exists()
        codes.start(self.request.session, purpose=SIGN_IN, email=email, wanted=known)
        return redirect(self.passthrough_next_url(reverse("account_confirm_login_code")))


@method_decorator(never_cache, name="dispatch")
class Confirm(RedirectAuthenticatedUserMixin, NextRedirectMixin, FormView):
    form_class = CodeForm
    template_name = "account/confirm_login_code.html"
    email: str

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        self.email = codes.waits_for(request.session, SIGN_IN) or ""
        if not self.email and not request.user.is_authenticated:
            return redirect("account_request_login_code")
        return super().dispatch(request, *args, **kwargs)

    def form_valid(self, form: CodeForm) -> HttpResponse:
        if not limits.may_as(self.request, "try_code", self.email):
            return errors.too_many(self.request)
        try:
            email = codes.check(
                self.request.session, purpose=SIGN_IN, code=form.cleaned_data["code"]
            )
        except codes.WrongCode:
            user = User.objects.filter(email=self.email).first()
            security.note(self.request, security.Kind.SIGN_IN_FAILED, by=user, what="code")
            form.add_error("code", "That is not the code. Look at the newest mail.")
            return self.form_invalid(form)
        except codes.CodeOver:
            messages.error(self.request, "That was too often. Ask for another code.")
            return redirect("account_request_login_code")
        return self._sign_in(email)

    def _sign_in(self, email: str) -> HttpResponse:
        """To whatever else this account asks for, a passkey say, and then in."""
        user = User.objects.filter(email=email, is_active=True).first()
        if user is None:
            return redirect("account_request_login_code")
        record_authentication(self.request, user, method="code", email=email)
        url = self.get_next_url()
        answer: HttpResponse = perform_login(self.request, user, email=email, redirect_url=url)
        return answer

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(**more) | {"email": self.email, "late": is_troubled()}
