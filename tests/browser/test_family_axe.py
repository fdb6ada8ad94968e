"""The pages of a family and of closed records by the rules of WCAG 2.2 AA, in both themes."""

from datetime import timedelta

import pytest
from django.utils import timezone

from practice.care import looks
from shared.people import access, consent
from shared.people.models import Membership, Student
from shared.people.services import user_of_child
from tests import factories
from tests.browser.test_pages_axe import faults_of, opened

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OWNERS = [
    "/people/", "/students/", "/students/{child}/guardians/", "/students/{child}/care/",
    "/students/{child}/care/read-by/", "/students/{away}/closed/", "/students/{new}/confirm/",
]  # fmt: skip
GUARDIANS = [
    "/child/{child}/", "/child/{child}/consents/", "/child/{child}/guardians/",
    "/child/{child}/phones/", "/child/{child}/read-by/", "/settings/", "/forget/",
]  # fmt: skip
ASK_AGAIN = [
    "/settings/mail/", "/account/password/set/", "/account/passkeys/", "/account/passkeys/add/",
    "/students/{id}/copy/", "/students/{id}/erase/",
]  # fmt: skip


def test_no_page_that_asks_again_who_it_is_breaks_a_rule(browser, live_server, student):
    page = opened(browser, live_server, student.user, proven=True)
    found = faults_of(page, ASK_AGAIN, {"id": student.pk})
    page.goto("/settings/mail/")
    page.get_by_label("Your e-mail").fill("new@example.org")
    page.get_by_role("button", name="Send the six digits").click()
    page.get_by_label("Code").wait_for()
    found += faults_of(page, ["/settings/mail/"], {})
    page.context.close()
    assert found == [], "\n\n".join(found)


def test_no_page_of_a_family_breaks_a_rule_or_scrolls_sideways(browser, live_server):
    coach, guardian = factories.make_coach(name="Coach"), factories.make_user("Gil Guardian")
    owner = factories.make_coach(factories.studio_of(coach), Membership.Role.OWNER, name="Owner")
    child, away, new, grown = (
        factories.make_child(coach, guardian, name=name, with_user=False)
        for name in ("Kim", "Lou", "Max", "Ray")
    )
    consent.tie(child, factories.make_user("Pat Parent"), messages=True, clips=False)
    consent.change(away.guardianships.get(), record=False, messages=False, clips=False)
    looks.state_need(student=access.recordable(child), user=owner, why="I take over in March")
    Student.objects.filter(pk=new.pk).update(awaits_second_adult=True)
    day = timezone.localdate() - timedelta(days=3)
    Student.objects.filter(pk=grown.pk).update(born_year=day.year - 18, turns_18_on=day)
    names = {"child": child.pk, "away": away.pk, "new": new.pk, "grown": grown.pk}
    found = []
    walks = ((owner, OWNERS), (guardian, GUARDIANS), (user_of_child(grown), ["/of-age/{grown}/"]))
    for user, addresses in walks:
        page = opened(browser, live_server, user)
        found += faults_of(page, addresses, names)
        page.context.close()
    assert found == [], "\n\n".join(found)
