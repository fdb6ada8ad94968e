"""Every kind of mail can be looked at, as it reaches a reader, and says the same in both forms."""

import re
from datetime import UTC, datetime
from email.utils import parseaddr
from html import unescape
from pathlib import Path

import pytest
from django.conf import settings

from coaching.reminders import previews
from coaching.reminders.due import ReminderKind
from shared.people import invitation_mail
from shared.people.models import AccountMail, Invitation
from tests import factories
from tests.conftest import signed_in

NOW = datetime(2031, 2, 26, 12, tzinfo=UTC)
TEMPLATES = Path(settings.BASE_DIR) / "templates"


def words(text: str) -> str:
    return " ".join(re.sub(r"[\W_]+", " ", text).split())


def shown(html: str) -> str:
    """What a reader of the HTML sees, with the addresses that its links lead to."""
    html = re.sub(r'<a href="([^"]+)">(.*?)</a>', r"\2 \1", html, flags=re.DOTALL)
    return unescape(re.sub(r"<[^>]+>", " ", html))


def test_every_kind_of_reminder_has_its_letter():
    assert set(previews.letters(NOW)) == set(ReminderKind)


def test_every_template_of_a_mail_about_accounts_is_shown():
    there = {
        str(each.relative_to(TEMPLATES))
        for each in TEMPLATES.glob("*/mail/*.txt")
        if each.name != "letter.txt"
    }
    assert len(there) > 8
    assert {*previews.facts_of("Room", NOW), "people/mail/invitation.txt"} == there


@pytest.mark.parametrize("preview", previews.previews("North Room", NOW), ids=lambda it: it.name)
def test_each_is_whole_and_says_the_same_as_text_and_as_html(preview):
    for said in (preview.subject, preview.text, preview.html):
        assert said.strip()
        assert "{{" not in said
        assert "None" not in said
        assert "namespace" not in said
    # Of a reminder the two forms name the link in another order; the same words are in both.
    assert sorted(set(words(preview.text).split())) == sorted(
        set(words(shown(preview.html)).split())
    )


def test_each_reminder_says_how_to_stop_it_or_that_it_cannot_be():
    must = {kind for kind, letter in previews.letters(NOW).items() if letter.must}
    assert must == {ReminderKind.PAIN_TOLD}
    of = {preview.name: preview for preview in previews.previews("North Room", NOW)}
    for kind in ReminderKind:
        preview = of[previews.WORDS[kind]]
        for said in (preview.text, preview.html):
            assert ("/stop/" in said) is (kind not in must)
            assert ("cannot be switched off" in said) is (kind in must)


def test_those_of_invitations_name_each_kind():
    names = [each.name for each in previews.previews("North Room", NOW)]
    assert [f"Invitation: {kind.label}" for kind in Invitation.Kind] == [
        name for name in names if name.startswith("Invitation")
    ]
    assert len(set(names)) == len(names)
    senders = {each.sender for each in previews.previews("North Room", NOW) if "Invit" in each.name}
    assert {parseaddr(each)[0] for each in senders} == {"Mara Lindgren, North Room"}


@pytest.mark.django_db
def test_the_page_is_a_tap_from_the_settings_and_sends_nothing():
    coach = factories.make_coach(factories.make_studio("North Room"))
    client = signed_in(coach)
    assert "/reminders/mails/" in client.get("/settings/").text
    page = client.get("/reminders/mails/").text
    assert "Practice today: part 1, 12 minutes" in page
    assert "North Room invites you" in page
    assert not AccountMail.objects.exists()


@pytest.mark.django_db
def test_no_student_is_led_there():
    student = factories.make_student(factories.make_coach(), "Ada", user=factories.make_user("Ada"))
    client = signed_in(student.user)
    assert "/reminders/mails/" not in client.get("/settings/").text
    assert client.get("/reminders/mails/").status_code == 404


@pytest.mark.django_db
def test_a_mail_about_an_account_comes_as_text_and_html_from_one_source():
    invitation_mail.send_code("K7<b>&", "ada@example.org", until=NOW.replace(year=2999))
    made = invitation_mail.build(AccountMail.objects.get())
    assert made.subject == "Your code"
    assert made.body.startswith("Your code is K7")
    html, kind = made.alternatives[0]
    assert kind == "text/html"
    assert "<b>" not in html
    body = html[html.index("<body>") :]
    assert words(shown(body)) == words(made.body)


def test_what_is_invented_reads_like_a_week_of_somebodys():
    of = {each.name: each for each in previews.previews("North Room", NOW)}
    assert "Part 1, 12 minutes, in the garage: Gate putting." in of["Practice call"].text
    assert "2 visits are left this week." in of["Midweek offer"].text
    assert "starts on Monday 24 February" in of["New week"].text
    assert of["From the coach"].text.count("Mara Lindgren") == 2
    assert "The week of Mon 24 Feb was changed." in of["From the coach"].text
    assert "The last 10 reminders" in of["No more practice calls"].text
    assert "5 March" in of["An erasure was asked for"].text
    assert "09:30" in of["The sign-in was changed"].text
    assert "Reader" in of["Invitation: student"].text
