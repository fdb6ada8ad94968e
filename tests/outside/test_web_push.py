"""Messages to browsers against the examples printed in RFC 8291 and RFC 8292."""

from datetime import UTC, datetime, timedelta

import pytest
from cryptography.exceptions import InvalidTag

from shared.outbox import web_push
from tests.outbox.push_service import Browser, claims_of, unbase

pytestmark = pytest.mark.outside

# RFC 8291, section 5 and appendix A.
PLAIN = b"When I grow up, I want to be a watermelon"
OURS = "yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw"
THEIRS = "q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94"
P256DH = "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
AUTH = "BTBZMqHH6r4Tts7J_aSIgg"
SALT = "DGv6ra1nlYgDCS1FRnbzlw"
BODY = (
    "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27ml"
    "mlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPT"
    "pK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN"
)
# RFC 8292, section 2.4.
VAPID = (
    "vapid t=eyJ0eXAiOiJKV1QiLCJhbGciOiJFUzI1NiJ9.eyJhdWQiOiJodHRwczovL3B1c2guZXhhbXBsZS5uZXQiLCJ"
    "leHAiOjE0NTM1MjM3NjgsInN1YiI6Im1haWx0bzpwdXNoQGV4YW1wbGUuY29tIn0.i3CYb7t4xfxCDquptFOepC9GAu_"
    "HLGkMlMuCGSK2rpiUfnK9ojFwDXb1JrErtmysazNjjvW2L9OkSSHzvoD1oA, "
    "k=BA1Hxzyi1RUM1b5wjxsn7nGxAszw2u61m164i3MrAIxHF6YK5h4SDYic-dRuU_RCPCfA5aq9ojSwk5Y2EmClBPs"
)


def their_browser() -> Browser:
    return Browser(web_push.key_from(unbase(THEIRS)), unbase(AUTH))


def test_a_message_is_sealed_as_the_standard_prints_it():
    ours, salt = web_push.key_from(unbase(OURS)), unbase(SALT)
    body = web_push.sealed(PLAIN, p256dh=P256DH, auth=AUTH, ours=ours, salt=salt)
    assert web_push.to_text(body) == BODY


def test_the_browser_of_our_tests_opens_what_the_standard_prints():
    assert their_browser().opened(unbase(BODY)) == PLAIN
    spoiled = bytearray(unbase(BODY))
    spoiled[-1] ^= 1
    with pytest.raises(InvalidTag):
        their_browser().opened(bytes(spoiled))


@pytest.mark.parametrize("size", [0, 1, 41, web_push.LONGEST_PLAIN])
def test_what_is_sealed_for_one_browser_opens_there_and_nowhere_else(size):
    browser = Browser()
    body = web_push.sealed(b"x" * size, **browser.keys)
    assert browser.opened(body) == b"x" * size
    assert len(body) <= 4096  # What every push service takes (RFC 8030, 7.2).
    with pytest.raises(InvalidTag):
        Browser(secret=browser.secret).opened(body)


def test_a_message_too_long_for_one_record_is_refused():
    with pytest.raises(ValueError, match="too many"):
        web_push.sealed(b"x" * (web_push.LONGEST_PLAIN + 1), **Browser().keys)


def test_our_reading_of_a_signature_is_the_standards():
    said = {"aud": "https://push.example.net", "exp": 1453523768, "sub": "mailto:push@example.com"}
    assert claims_of(VAPID) == said


def test_a_header_says_who_we_are_to_one_service_for_less_than_a_day():
    key, now = web_push.key_from(web_push.new_scalar()), datetime(2031, 2, 26, 17, tzinfo=UTC)
    header = web_push.signed("https://push.example.net/a/b?c", key, "https://our.example", now)
    claims = claims_of(header)
    assert claims["aud"] == "https://push.example.net"
    assert claims["sub"] == "https://our.example"
    assert now < datetime.fromtimestamp(claims["exp"], UTC) <= now + timedelta(hours=24)
    assert header.endswith(web_push.to_text(web_push.point_of(key.public_key())))
