"""Pain is kept whoever reads it: one person may be who teaches a child and a parent of it."""

import pytest
from django.utils import timezone

from coaching.reminders import plan
from coaching.reminders.due import ReminderKind
from coaching.reminders.models import Notice
from practice.care.models import PainNote, Stop
from practice.log.models import Entry
from shared.people import guardians, services
from shared.people.models import Invitation, Membership, User
from tests import factories
from tests.log.entries import Phone, entry

pytestmark = pytest.mark.django_db
PAIN = {"lvl": 8, "where": "lower back", "signs": ["numb"], "new": True, "p": None}


def test_a_coach_who_left_and_is_a_guardian_now_is_told_once():
    """Two notices of one reader and note were one key: the phone's entry was refused for ever."""
    left = factories.make_coach(factories.studio_of(factories.make_coach(role="owner")))
    mother = factories.make_user("Mother")
    child = factories.make_child(left, mother)
    services.end_membership(membership=Membership.objects.get(user=left))
    guardians.invite(student=child, by=mother, name="Pat", email="pat@example.org")
    father = User.objects.get(pk=left.pk)  # As of now: what one may do is asked once.
    guardians.join(Invitation.objects.get(), father, messages=True, clips=False)
    sent, reason = Phone(child, mother).receipt(entry(child, pain=PAIN))
    assert (sent, reason) == ("stored", "")
    assert Entry.objects.count() == PainNote.objects.count() == 1
    assert Stop.objects.exists()
    told = Notice.objects.filter(kind=ReminderKind.PAIN_TOLD, recipient=father)
    assert told.count() == 1


def test_where_the_coach_has_left_the_owner_is_told():
    """The one notice went to who had left, and was called off: nobody knew."""
    owner = factories.make_coach(role="owner")
    coach = factories.make_coach(factories.studio_of(owner))
    student = factories.make_student(coach)
    assert Phone(student).receipt(entry(student, pain=PAIN)) == ["stored", ""]
    assert Notice.objects.get().recipient == coach
    Notice.objects.all().delete()
    services.end_membership(membership=Membership.objects.get(user=coach))
    assert Phone(student).receipt(entry(student, pain=PAIN | {"lvl": 9})) == ["stored", ""]
    notice = Notice.objects.get(kind=ReminderKind.PAIN_TOLD)
    assert notice.recipient == owner
    assert plan.objection(notice, timezone.now()) == ""
