"""Fill the phone tests' database: run as a program, prints what the tests need as JSON."""

import json
import os
from datetime import date, timedelta

import django


def session_of(user) -> str:
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY

    from shared.people.sessions import SessionStore

    store = SessionStore()
    store[SESSION_KEY] = str(user.pk)
    store[BACKEND_SESSION_KEY] = "allauth.account.auth_backends.AuthenticationBackend"
    store[HASH_SESSION_KEY] = user.get_session_auth_hash()
    store.save()
    return store.session_key


def weeks_of(student, drills):
    """Last week and this one, each with a ladder of three steps first."""
    from django.utils import timezone

    from shared.kit.weeks import practice_day, week_start
    from tests import factories

    opens = week_start(practice_day(timezone.now(), student.time_zone), 0)
    for first in (opens - timedelta(days=7), opens):
        week = factories.make_week(student, first, sent_at=timezone.now())
        factories.make_part(
            week, drills[0], sessions=7, cue="tail stays on the fence", swaps=[str(drills[1].pk)]
        )
        factories.make_part(week, drills[1], sessions=2, minutes=12)
    return [str(part.pk) for part in week.parts.order_by("priority")]


def measured_week(student):
    """This week with a speed test, called distances and a wedge card, in that order."""
    from django.utils import timezone

    from shared.kit.weeks import practice_day, week_start
    from tests import factories

    opens = week_start(practice_day(timezone.now(), student.time_zone), 0)
    week = factories.make_week(student, opens, sent_at=timezone.now())
    tests = [
        ("Speed test", "6@max", {"measures": "club_speed", "rest_seconds": 45}),
        ("Called distances", "4 balls", {"measures": "carry", "targets": "60, 40 yd"}),
        ("Wedge card", "2x2 balls", {"measures": "carry"}),
    ]
    for name, dose, fields in tests:
        drill = factories.make_drill(student.studio, name, dose, is_test=True, **fields)
        factories.make_part(week, drill, sessions=3)
    return [str(part.pk) for part in week.parts.order_by("priority")]


def link_of(student, weeks_ago: int = 0) -> str:
    """The path of the link that a reminder of that week brought."""
    from urllib.parse import urlsplit

    from django.utils import timezone

    from practice.phone.links import week_link
    from shared.kit.weeks import practice_day, week_start

    opens = week_start(practice_day(timezone.now(), student.time_zone), 0)
    opens -= timedelta(days=7 * weeks_ago)
    return urlsplit(week_link(student, opens)).path


def main() -> None:
    from django.utils import timezone

    from coaching.season.services import add_event
    from practice.drills.models import Caution
    from shared.kit.weeks import practice_day, week_start
    from shared.people.models import Membership, Student, User
    from tests import factories

    coach = factories.make_coach(name="Odile Coach")
    studio = factories.studio_of(coach)
    ladder = factories.make_drill(
        studio,
        "Wall-back turns",
        setup="Stand a hand from a wall.",
        clean_means="The back stays on it.",
        has_stop_rule=True,
    )
    putts = factories.make_drill(studio, "Putting gate", "20 balls")
    sam = factories.make_student(coach, "Sam Sample")
    other = factories.make_student(coach, "Robin Other")
    careful = factories.make_student(coach, "Kim Careful")
    turns = factories.make_drill(studio, "Slow turns", "10@50")
    Caution.objects.create(
        drill=turns, when="If your back is stiff,", stop="skip the turns.", who="Odile will look."
    )
    guardian = factories.make_user("Gail Guardian")
    children = [
        factories.make_child(coach, guardian, name=name, with_user=False)
        for name in ("Ada Child", "Ben Child")
    ]
    wanda = factories.make_student(coach, "Wanda Wedge")
    User.objects.filter(pk=wanda.user_id).update(distance_unit="yd", speed_unit="mph")
    strength = factories.make_coach(studio, Membership.Role.HELPER, name="Stella Strength")
    careful.strength_coaches.add(strength)
    this = week_start(practice_day(timezone.now(), careful.time_zone), 0)
    add_event(student=careful, kind="test", name="Speed test", first=this + timedelta(days=3))
    Student.objects.update(joined_on=date(2020, 1, 1))
    seeded = {
        "parts": weeks_of(sam, [ladder, putts]),
        "other_parts": weeks_of(other, [ladder, putts]),
        "careful_parts": weeks_of(careful, [turns, putts]),
        "measured_parts": measured_week(wanda),
        "child_parts": [weeks_of(child, [ladder, putts])[0] for child in children],
        "students": {s.name: str(s.pk) for s in (sam, other, careful, wanda, *children)},
        "links": {"sam": link_of(sam), "robin": link_of(other), "over": link_of(sam, 2)},
        "cookies": {
            "sam": session_of(sam.user),
            "robin": session_of(other.user),
            "kim": session_of(careful.user),
            "gail": session_of(guardian),
            "coach": session_of(coach),
            "strength": session_of(strength),
            "wanda": session_of(wanda.user),
        },
    }
    print(json.dumps(seeded))


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.browser.settings")
    django.setup()
    main()
