"""Load the demo: people, drills, weeks and logs, relative to the moment of loading.

The same seed makes the same demo. Only facts are written here, through the same
door a phone uses; whatever the board then says comes out of the rules.
"""

import uuid
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone

from coaching.demo import cast
from coaching.demo.answers import load_answers
from coaching.demo.cast import CastMember, CastPart
from coaching.demo.clips import load_clips
from coaching.demo.documents import documents_of
from coaching.demo.lessons import load_lessons
from coaching.demo.mails import load_mails
from coaching.demo.measured import tested_speeds
from coaching.demo.reports import load_reports
from coaching.demo.seasons import load_season
from coaching.demo.story import WeekStory, weeks_of
from coaching.demo.tried_out import load_try_outs, with_try_out
from coaching.demo.wedges import load_wedges
from coaching.groups.models import Group
from coaching.season import gate_sweep
from practice.compliance.tally import recompute
from practice.drills.models import Drill
from practice.flows.take_entry import receive_past
from practice.numbers.now import reckoning, studio_reckoning
from practice.weeks.models import Excusal, Part, Week
from shared.kit.weeks import practice_day
from shared.people import access, consent, invitations, second_adult, services
from shared.people.access import Recordable, recordable_students
from shared.people.events import studio_made
from shared.people.models import (
    AccountMail,
    ConsentChange,
    Invitation,
    Membership,
    Student,
    Studio,
    User,
)

SEED = 20310226
TODAY_OFFSET = 2  # Today is the third day of the demo's week, whatever the weekday.
Role = Membership.Role


class AlreadyInUse(RuntimeError):
    """The demo goes into an empty installation only."""


def load(now: datetime | None = None) -> Iterator[str]:
    """Load everything in one transaction, a line of progress per student; then the pictures.

    Raises AlreadyInUse if any studio exists.
    """
    now = now or timezone.now()
    with transaction.atomic():
        if Studio.objects.exists():
            raise AlreadyInUse("There is a studio here already. The demo goes into an empty one.")
        town_today = practice_day(now, cast.TOWN_ZONE)
        studio, coach = _house(town_today)
        gym_coach = studio.memberships.get(role=Role.HELPER).user
        shelf = {drill.shipped_as: drill for drill in Drill.objects.filter(studio=studio)}
        yield f"{studio.name}: {len(shelf)} drills on the shelf"
        begun: Counter[int] = Counter()  # Lessons of a day follow one another.
        for person in cast.STUDENTS:
            student = _student(studio, coach, person, now)
            load_lessons(student, coach, shelf, now, begun[person.lesson])
            begun[person.lesson] += 1
            load_wedges(student, coach, shelf, now, Random(f"{SEED} balls {person.name}"))
            line = _history(student, person, shelf, now)
            this_week = town_today - timedelta(days=TODAY_OFFSET)
            load_season(student, this_week, practice_day(now, person.zone), shelf, gym_coach)
            load_answers(student)
            load_reports(student, practice_day(now, person.zone))
            load_mails(student, now, Random(f"{SEED} mails {person.name}"))
            yield line
        _juniors(studio, coach)
        studio_reckoning.sweep(now)
        reckoning.sweep(now)
        gate_sweep.sweep(now)
        AccountMail.objects.all().delete()  # Nobody is told of what is invented.
    for student in recordable_students().filter(studio=studio):
        load_clips(student, shelf)


def _house(today: date) -> tuple[Studio, User]:
    """The studio and those who work there. Its week starts so that today is the third day."""
    studio = Studio.objects.create(
        name=cast.STUDIO,
        time_zone=cast.TOWN_ZONE,
        first_weekday=(today.weekday() - TODAY_OFFSET) % 7,
        safeguarding_contact=f"{cast.OWNER}, 01632 960 000",
        is_demo=True,
    )
    coach = _user(cast.COACH)
    for name, role in (
        (cast.OWNER, Role.OWNER),
        (cast.ASSISTANT, Role.ASSISTANT),
        (cast.STRENGTH_COACH, Role.HELPER),
    ):
        Membership.objects.create(studio=studio, user=_user(name), role=role)
    Membership.objects.create(studio=studio, user=coach, role=Role.COACH)
    for hook in studio_made:
        hook(studio, coach)
    return studio, coach


def _juniors(studio: Studio, coach: User) -> None:
    """The squad of those under 18. Its sessions are for whoever tries it."""
    squad = Group.objects.create(studio=studio, name=cast.SQUAD, made_by=coach)
    squad.students.set([student for student in studio.students.all() if student.is_minor])


def _user(name: str, zone: str = cast.TOWN_ZONE) -> User:
    address = name.lower().replace(" ", ".") + "@example.org"
    return User.objects.create_user(address, name=name, time_zone=zone)


def _student(studio: Studio, coach: User, person: CastMember, now: datetime) -> Recordable:
    """Comes as in a real studio, through an invitation; then some time passes."""
    student = _child(studio, coach, person) if person.guardian else _adult(studio, coach, person)
    today = practice_day(now, person.zone)
    student.joined_on = today - timedelta(days=7 * len(person.past) + 10)
    student.next_lesson = today + timedelta(days=person.lesson)
    student.next_event = today + timedelta(days=person.event[0]) if person.event else None
    student.next_event_name = person.event[1] if person.event else ""
    student.goal, student.plays_seated = person.goal, person.seated
    student.save()
    long_ago = now - timedelta(days=120)
    student.guardianships.update(consented_at=long_ago)
    ConsentChange.objects.filter(guardianship__student=student).update(at=long_ago)
    return access.recordable(student)


def _adult(studio: Studio, coach: User, person: CastMember) -> Student:
    invitation = services.enter_adult(
        studio=studio, by=coach, name=person.name, email="", hand=_hand(person), plays_seated=False
    )
    user = _user(person.name, person.zone)
    return services.join_as_student(invitation=invitation, user=user, time_zone=person.zone)


def _child(studio: Studio, coach: User, person: CastMember) -> Student:
    """The guardian consents, the owner confirms as second adult, and the child gets a phone."""
    invitation = invitations.invite(
        by=coach, studio=studio, kind=Invitation.Kind.GUARDIAN, name=person.guardian
    )
    born = timezone.now().year - (person.years or 0)
    child = {
        "name": person.name, "born_year": born, "hand": _hand(person), "time_zone": person.zone,
    }  # fmt: skip
    guardian = _user(person.guardian, person.zone)
    student = consent.give(invitation, guardian, child=child, messages=True, clips=False)
    second_adult.confirm(student, access.owners_of(studio).get())
    services.user_of_child(student)
    student.refresh_from_db()
    return student


def _hand(person: CastMember) -> str:
    return Student.Hand.LEFT if person.left_handed else Student.Hand.RIGHT


def _history(
    student: Recordable, person: CastMember, shelf: dict[str, Drill], now: datetime
) -> str:
    """Weeks, excusals and entries of one student; returns the line of progress."""
    town_today = practice_day(now, cast.TOWN_ZONE)
    this_week = town_today - timedelta(days=TODAY_OFFSET)
    random = Random(f"{SEED} {person.name}")
    for first, last in person.excused:
        Excusal.objects.create(
            student=student,
            first=this_week + timedelta(days=first),
            last=this_week + timedelta(days=last),
            told_by=student.user,
            told_at=now - timedelta(days=4),
        )
    entries = 0
    tried = load_try_outs(student, shelf, this_week)
    for told in weeks_of(person, today_offset=TODAY_OFFSET):
        opens = this_week - timedelta(days=7 * told.ago)
        story = with_try_out(told, opens, tried, person.name)
        week = _week(student, story, opens, shelf)
        for sent in documents_of(person, story, week, shelf, random):
            if sent.received_at <= now:
                receive_past(
                    sent.document, student, writer=_writer(student, person), at=sent.received_at
                )
                entries += 1
        recompute(student, opens)
    tests = tested_speeds(student, shelf, now)
    return f"{person.name}: {len(person.past) + 1} weeks, {entries} sessions, {tests} speed tests"


def _writer(student: Recordable, person: CastMember) -> User:
    """A guardian writes for a child who only writes on the last day of the week."""
    if person.guardian and person.style == "written later":
        return student.guardianships.get().user
    if student.user is None:
        raise RuntimeError(f"{student.name} has no sign-in.")
    return student.user


def _week(student: Recordable, story: WeekStory, opens: date, shelf: dict[str, Drill]) -> Week:
    sent_at = datetime.combine(opens - timedelta(days=1), time(17), ZoneInfo(student.time_zone))
    week = Week.objects.create(
        student=student,
        opens=opens,
        state=Week.State.SENT,
        author=student.lead_coach,
        sent_at=sent_at,
        published_on=opens - timedelta(days=1),
    )
    Part.objects.bulk_create(
        _part(week, asked, shelf[asked.drill], n) for n, asked in enumerate(story.parts, start=1)
    )
    return week


def _part(week: Week, asked: CastPart, drill: Drill, priority: int) -> Part:
    if drill.current is None:
        raise RuntimeError(f"{drill.shipped_as} has no wording.")
    return Part(
        id=uuid.uuid4(),
        week=week,
        priority=priority,
        drill=drill,
        revision=drill.current,
        dose=asked.dose,
        dose_asked=asked.dose,
        sessions=asked.sessions,
        sessions_asked=asked.sessions,
        minutes=asked.minutes,
        cue=asked.cue,
        added_by=week.author,
        added_at=week.sent_at or timezone.now(),
        days=list(asked.days),
        swaps=[str(pk) for pk in drill.swaps.values_list("pk", flat=True)],
    )
