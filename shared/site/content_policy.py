"""The content policy, worded once a process: from page to page only the nonce differs."""

from functools import cached_property
from http import HTTPStatus
from typing import Any

from csp.constants import HEADER
from csp.middleware import CheckableLazyObject, CSPMiddleware
from csp.utils import build_policy
from django.conf import settings
from django.http import HttpResponseBase

MARK = "nonce of a page"
SHOWN = (HTTPStatus.NOT_FOUND, HTTPStatus.INTERNAL_SERVER_ERROR)  # By Django's pages with styles.


class ContentPolicy(CSPMiddleware):
    """As the library's for a policy that no view changes, and none changes it here."""

    @cached_property
    def _without(self) -> str:
        return build_policy()

    @cached_property
    def _with_mark(self) -> str:
        return build_policy(nonce=MARK)

    def process_response(self, request: Any, response: HttpResponseBase) -> HttpResponseBase:
        shows_fault = response.status_code in (
            HTTPStatus.NOT_FOUND,
            HTTPStatus.INTERNAL_SERVER_ERROR,
        )
        if settings.DEBUG and shows_fault:  # Django's own page of a fault has styles in it.
            return response
        nonce = getattr(request, "_csp_nonce", None)
        response.setdefault(
            HEADER, self._with_mark.replace(MARK, nonce) if nonce else self._without
        )
        if nonce is None:  # Whoever asks for one now would get what the header does not say.
            request.csp_nonce = CheckableLazyObject(self._csp_nonce_post_response)
        return response
