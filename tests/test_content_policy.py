"""The policy is worded once a process; the nonce is of one page alone."""

import re

import pytest
from csp.constants import HEADER
from csp.exceptions import CSPNonceError
from csp.utils import build_policy
from django.http import HttpResponse
from django.test import RequestFactory

from shared.site.content_policy import ContentPolicy


def answered(policy, *, asks):
    """A request and its answer, of a page that asks for its nonce or does not."""
    request = RequestFactory().get("/")
    policy.process_request(request)
    nonce = str(request.csp_nonce) if asks else None
    return request, policy.process_response(request, HttpResponse()), nonce


def directives(text):
    return {part.strip() for part in text.split(";")}


@pytest.fixture
def policy():
    return ContentPolicy(lambda request: HttpResponse())


def test_each_page_has_a_nonce_of_its_own_and_it_stands_in_its_policy(policy):
    seen = set()
    for _ in range(3):
        _, response, nonce = answered(policy, asks=True)
        assert directives(response[HEADER]) == directives(build_policy(nonce=nonce))
        seen |= set(re.findall(r"'nonce-([^']+)'", response[HEADER]))
    assert len(seen) == 3


def test_a_page_without_a_nonce_allows_none_and_none_is_given_later(policy):
    answered(policy, asks=True)
    request, response, _ = answered(policy, asks=False)
    assert directives(response[HEADER]) == directives(build_policy())
    assert "nonce" not in response[HEADER]
    with pytest.raises(CSPNonceError):
        str(request.csp_nonce)


def test_what_has_a_policy_of_its_own_keeps_it(policy):
    request = RequestFactory().get("/")
    policy.process_request(request)
    own = HttpResponse(headers={HEADER: "sandbox"})
    assert policy.process_response(request, own)[HEADER] == "sandbox"
