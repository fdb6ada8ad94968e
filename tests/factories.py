"""Plain functions that make what a test needs, and nothing else."""

from datetime import UTC, date, datetime
from itertools import count

from practice.drills.models import Area, Drill, DrillRevision
from practice.weeks.models import Part, Week
from shared.people.models import Guardianship, Membership, Student, Studio, User

MONDAY = date(2031, 2, 24)
NOON = datetime(2031, 2, 26, 12, tzinfo=UTC)  # The Wednesday of that week.
WEDNESDAY_EVENING = datetime(2031, 2, 26, 20, tzinfo=UTC)
_numbers = count(1)


def make_user(name: str = "Someone", **fields) -> User:
    fields.setdefault("email", f"someone{next(_numbers)}@example.org")
    password = fields.pop("password", None)
    return User.objects.create_user(name=name, password=password, **fields)


def make_studio(name: str = "Test room", **fields) -> Studio:
    return Studio.objects.create(name=name, **fields)


def make_coach(studio: Studio | None = None, role: str = Membership.Role.COACH, **fields) -> User:
    user = make_user(**({"name": "Coach"} | fields))
    Membership.objects.create(studio=studio or make_studio(), user=user, role=role)
    return user


def studio_of(coach: User) -> Studio:
    return Studio.objects.get(memberships__user=coach)


def make_student(
    coach: User, name: str = "Student", *, with_user: bool = True, **fields
) -> Student:
    if with_user and "user" not in fields:
        fields["user"] = make_user(name)
    return Student.objects.create(
        studio=studio_of(coach), lead_coach=coach, name=name, joined_on=date(2030, 1, 1), **fields
    )


def make_child(
    coach: User, guardian: User | None = None, *, born_year: int = 2018, **fields
) -> Student:
    """A minor with a guardian whose consent stands."""
    child = make_student(coach, born_year=born_year, **fields)
    make_guardian_of(child, guardian)
    return child


def make_guardian_of(child: Student, guardian: User | None = None) -> None:
    """Whose consent stands."""
    Guardianship.objects.create(
        student=child,
        user=guardian or make_user("Guardian"),
        consent_text_version=1,
        consents_to_record=True,
        consents_to_messages=True,
        consented_at=NOON,
    )


def make_drill(
    studio: Studio, name: str = "Ladder", dose: str = "10@50, 8@70, 6@90", **fields
) -> Drill:
    drill = Drill.objects.create(studio=studio, is_test=fields.pop("is_test", False))
    fields.setdefault("area", Area.SWING)
    fields.setdefault("purpose", "Keep the move while the speed rises.")
    drill.current = DrillRevision.objects.create(drill=drill, name=name, dose=dose, **fields)
    drill.save(update_fields=["current"])
    return drill


def make_week(student: Student, opens: date = MONDAY, *, sent: bool = True, **fields) -> Week:
    fields.setdefault("author", student.lead_coach)
    if sent:
        fields.setdefault("published_on", opens)
        fields.setdefault("sent_at", datetime(opens.year, opens.month, opens.day, 8, tzinfo=UTC))
    state = Week.State.SENT if sent else Week.State.DRAFT
    return Week.objects.create(student=student, opens=opens, state=state, **fields)


def make_part(
    week: Week, drill: Drill, *, sessions: int = 3, minutes: float = 15, **fields
) -> Part:
    fields.setdefault("dose", drill.current.dose)
    fields.setdefault("dose_asked", fields["dose"])
    fields.setdefault("sessions_asked", sessions)
    fields.setdefault("priority", week.parts.count() + 1)
    return Part.objects.create(
        week=week,
        drill=drill,
        revision=drill.current,
        sessions=sessions,
        minutes=minutes,
        added_by=week.author,
        **fields,
    )
