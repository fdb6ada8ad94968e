"""Who may see what. The only place that decides; views and the API ask here.

A thing that is not yours looks exactly like one that does not exist.
"""

from datetime import datetime
from uuid import UUID

from django.db.models import Q, QuerySet
from django.http import Http404
from django.utils import timezone

from shared.people.models import ADULT_AGE, Guardianship, Membership, Student, Studio, User

Role = Membership.Role
TEACHING = (Role.OWNER, Role.COACH, Role.ASSISTANT)
PLANNING = (Role.OWNER, Role.COACH)
STRENGTH = (Role.HELPER,)
GYM = PLANNING + STRENGTH


def all_roles_by_studio(user: User) -> dict[UUID, set[str]]:
    """The studios in which the user works now, each with the user's roles there."""
    return user.roles_by_studio if user.is_authenticated else {}


def _works_in(user: User, roles: tuple[str, ...]) -> list[UUID]:
    """The studios in which this user works now, in one of these roles."""
    found = all_roles_by_studio(user)
    return [studio_id for studio_id, here in found.items() if not here.isdisjoint(roles)]


def studios_of(user: User, roles: tuple[str, ...] = TEACHING) -> QuerySet[Studio]:
    """The studios in which this user works now, in one of these roles."""
    return Studio.objects.filter(pk__in=_works_in(user, roles))


def teaches(user: User) -> bool:
    return bool(_works_in(user, TEACHING))


def students_taught_by(user: User, roles: tuple[str, ...] = TEACHING) -> QuerySet[Student]:
    """Present students of every studio in which the user works in one of these roles."""
    return Student.objects.filter(studio__in=_works_in(user, roles), left_on=None)


def students_planned_by(user: User) -> QuerySet[Student]:
    """Students whose weeks this user may set and send: owners and coaches, not assistants."""
    return students_taught_by(user, PLANNING)


def own_places(user: User) -> QuerySet[Student]:
    """The user's own places as a student."""
    if not user.is_authenticated:
        return Student.objects.none()
    return Student.objects.filter(user=user, left_on=None)


def children_of(user: User) -> QuerySet[Student]:
    """Students for whom this user is a guardian whose consent stands."""
    if not user.is_authenticated:
        return Student.objects.none()
    wards = Guardianship.objects.filter(user=user, withdrawn_at=None).values("student")
    return Student.objects.filter(pk__in=wards, left_on=None)


def students_logged_by(user: User) -> QuerySet[Student]:
    """Students for whom this user may log: themselves, and their children."""
    return Student.objects.filter(
        Q(pk__in=own_places(user).values("pk")) | Q(pk__in=children_of(user).values("pk"))
    )


def students_who_left(user: User) -> QuerySet[Student]:
    """Former students of the studios in which the user may enter students."""
    studios = _works_in(user, PLANNING)
    return Student.objects.filter(studio__in=studios, left_on__isnull=False)


def may_plan_in(user: User, studio: Studio) -> bool:
    """Whether the user may set weeks and write drills in this studio."""
    return studio.pk in _works_in(user, PLANNING)


def may_be_recorded(student: Student) -> bool:
    """Whether anything may be stored about this student now."""
    if not student.is_minor:
        return student.left_on is None
    return (
        student.left_on is None
        and student.guardianships.filter(withdrawn_at=None, consents_to_record=True).exists()
    )


def guardianships_of(user: User) -> QuerySet[Guardianship]:
    """Every tie of a guardian to a present student, also one whose consent is withdrawn."""
    found = Guardianship.objects.filter(user=user, student__left_on=None)
    return found.select_related("student__studio").order_by("student__name")


def may_write_to(student: Student) -> bool:
    """Whether an adult may write to this student here.

    To a minor only while a guardian who reads every line has agreed to it.
    """
    if not student.is_minor:
        return student.left_on is None
    agreed = student.guardianships.filter(withdrawn_at=None, consents_to_messages=True)
    return student.left_on is None and agreed.exists()


def may_be_seen(student: Student) -> bool:
    """Whether clips of this student may be kept and shown; of a minor while a guardian agrees."""
    if not student.is_minor:
        return student.left_on is None
    agreed = student.guardianships.filter(withdrawn_at=None, consents_to_clips=True)
    return student.left_on is None and agreed.exists()


def children_unseen_since(moment: datetime) -> QuerySet[Student]:
    """Those entered as minors of whom no guardian has agreed to clips since before then."""
    agreed = Guardianship.objects.filter(withdrawn_at=None, consents_to_clips=True)
    heard = Guardianship.objects.filter(changes__at__gt=moment)
    return (
        Student.objects.filter(born_year__isnull=False)
        .exclude(pk__in=agreed.values("student"))
        .exclude(pk__in=heard.values("student"))
    )


def guardianship_or_404(user: User, student_id: UUID) -> Guardianship:
    """The user's own tie to a child, also when its consent is withdrawn."""
    guardianship = guardianships_of(user).filter(student=student_id).first()
    if guardianship is None:
        raise Http404
    return guardianship


def guardians_of(student: Student) -> QuerySet[User]:
    """The guardians whose consent stands."""
    return User.objects.filter(
        guardianships__student=student, guardianships__withdrawn_at=None, is_active=True
    )


def student_taught_or_404(user: User, student_id: UUID) -> Student:
    return _one(students_taught_by(user), student_id)


def student_planned_or_404(user: User, student_id: UUID) -> Student:
    return _one(students_planned_by(user), student_id)


def student_logged_or_404(user: User, student_id: UUID) -> Student:
    return _one(students_logged_by(user), student_id)


def students_read_by(user: User) -> QuerySet[Student]:
    """Students whose numbers this user may read: those taught, the user's own, the children."""
    return Student.objects.filter(
        Q(pk__in=students_taught_by(user).values("pk"))
        | Q(pk__in=students_logged_by(user).values("pk"))
    )


def student_read_or_404(user: User, student_id: UUID) -> Student:
    return _one(students_read_by(user), student_id)


def child_or_404(user: User, student_id: UUID) -> Student:
    return _one(children_of(user), student_id)


def studio_or_404(user: User, roles: tuple[str, ...] = TEACHING) -> Studio:
    """The studio the user works in (the one joined first, if several)."""
    mine = Membership.objects.filter(
        user=user, ended_at=None, role__in=roles, studio__in=_works_in(user, roles)
    )
    membership = mine.select_related("studio").order_by("since").first()
    if membership is None:
        raise Http404
    return membership.studio


def _one(students: QuerySet[Student], student_id: UUID) -> Student:
    try:
        return students.select_related("studio").get(pk=student_id)
    except Student.DoesNotExist:
        raise Http404 from None


def end_membership(membership: Membership) -> None:
    """End somebody's work in a studio; it shows at their next request."""
    Membership.objects.filter(pk=membership.pk).update(ended_at=timezone.now())


def roles_by_studio(user: User) -> dict[UUID, set[str]]:
    """The studios in which the user teaches now, each with the teaching roles."""
    all_roles = all_roles_by_studio(user)
    teaching = {studio_id: found & set(TEACHING) for studio_id, found in all_roles.items()}
    return {studio_id: found for studio_id, found in teaching.items() if found}


def reads_pain(user: User, roles: set[str], lead_coach_id: UUID) -> bool:
    """Whether pain notes are open to somebody with these roles in the student's studio.

    Health data: for coaches, and for an owner who coaches the student. Everybody else
    who teaches sees the limit and not the note.
    """
    return Role.COACH in roles or (Role.OWNER in roles and lead_coach_id == user.pk)


def _adults() -> Q:
    """As Student.is_minor says it: only the year is known, and in doubt it is the younger."""
    return Q(born_year=None) | Q(born_year__lt=timezone.now().date().year - ADULT_AGE)


def is_strength_coach(user: User) -> bool:
    """Whether the user works as a strength coach somewhere."""
    return bool(_works_in(user, STRENGTH))


def _shared_with(user: User) -> QuerySet[Student]:
    """Present students whom a coach has shared with this strength coach, and no others."""
    if not user.is_authenticated:
        return Student.objects.none()
    return students_taught_by(user, STRENGTH).filter(strength_coaches=user)


def strength_coaches_in(studio: Studio) -> QuerySet[User]:
    """Those with whom a coach of this studio may share a student's days in the gym."""
    working = Membership.objects.filter(studio=studio, ended_at=None, role__in=STRENGTH)
    return User.objects.filter(pk__in=working.values("user")).order_by("name", "pk")


def students_strengthened_by(user: User) -> QuerySet[Student]:
    """Adults shared with this strength coach."""
    return _shared_with(user).filter(_adults())


def is_strength_coach_of(user: User, student: Student) -> bool:
    return students_strengthened_by(user).filter(pk=student.pk).exists()


def _strength_read_by(user: User) -> QuerySet[Student]:
    """Adults whose strength this user may read, once they have agreed."""
    cared = students_cared_for_by(user).values("pk")
    lifting = students_strengthened_by(user).values("pk")
    return Student.objects.filter(_adults(), Q(pk__in=cared) | Q(pk__in=lifting))


def reads_strength(user: User, student: Student) -> bool:
    return _strength_read_by(user).filter(pk=student.pk).exists()


def strength_read_or_404(user: User, student_id: UUID) -> Student:
    return _one(_strength_read_by(user), student_id)


def adult_places(user: User) -> QuerySet[Student]:
    """The user's own places as an adult student."""
    return own_places(user).filter(_adults())


def adult_place_or_404(user: User, student_id: UUID) -> Student:
    """The user's own place as a student, of an adult only."""
    return _one(adult_places(user), student_id)


def students_cared_for_by(user: User) -> QuerySet[Student]:
    """Students whose pain notes this user may read and whose stops they may clear."""
    coached = Q(studio__in=_works_in(user, (Role.COACH,)))
    led = Q(studio__in=_works_in(user, (Role.OWNER,)), lead_coach=user)
    return students_taught_by(user).filter(coached | led)


def student_cared_for_or_404(user: User, student_id: UUID) -> Student:
    return _one(students_cared_for_by(user), student_id)


def students_in_gym_of(user: User) -> QuerySet[Student]:
    """Students whose gym strip this user keeps: those planned, and those shared."""
    return Student.objects.filter(
        Q(pk__in=students_planned_by(user).values("pk")) | Q(pk__in=_shared_with(user).values("pk"))
    )


def student_in_gym_or_404(user: User, student_id: UUID) -> Student:
    return _one(students_in_gym_of(user), student_id)


def student_timed_or_404(user: User, student_id: UUID) -> Student:
    """A student whose own days the user may tell: student, guardian, or who plans the weeks."""
    own, planned = students_logged_by(user), students_planned_by(user)
    either = Student.objects.filter(
        Q(pk__in=own.values("pk")) | Q(pk__in=planned.values("pk")), left_on=None
    )
    return _one(either, student_id)
