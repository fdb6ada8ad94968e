"""Who may see what. The only place that decides; views and the API ask here.

A thing that is not yours looks exactly like one that does not exist. Consent is part of
every answer: a child whose guardian has withdrawn exists for nobody who works here, and
only what this module hands out as `Recordable` can be written about.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from inspect import signature
from typing import Any, Generic, NamedTuple, NewType, TypeVar, cast
from uuid import UUID

from django.db.models import DateTimeField, Exists, OuterRef, Q, QuerySet, UUIDField
from django.db.models.functions import ExtractYear
from django.http import Http404
from django.utils import timezone

from shared.people.local_day import LocalDay
from shared.people.models import (
    ADULT_AGE,
    CareNeed,
    Guardianship,
    Membership,
    Student,
    Studio,
    User,
)
from shared.site.prepared import Prepared, columns_of, made_of
from shared.site.together import Question, Rows

Role = Membership.Role
TEACHING = (Role.OWNER, Role.COACH, Role.ASSISTANT)
PLANNING = (Role.OWNER, Role.COACH)
STRENGTH = (Role.HELPER,)
GYM = PLANNING + STRENGTH
# A student about whom something may be kept now. Made here and nowhere else.
Recordable = NewType("Recordable", Student)
# The first text of the consents that names voice notes.
NAMES_VOICE = 3
TO_CLIPS: dict[str, bool | int] = {"consents_to_clips": True}
TO_VOICE = TO_CLIPS | {"consent_text_version__gte": NAMES_VOICE}
# How long a record stands by the guardians' consent once the child is of age and has not answered.
GRACE = timedelta(weeks=4)
# So long somebody works here before they may confirm a colleague's new child.
SETTLED = timedelta(days=7)
NOWHERE = UUID(int=0)  # No studio: for a question that names some, of who works in none.
Found = TypeVar("Found", bound=Student)


class NotRecordable(Exception):
    """Nothing may be kept about this student now."""


def agreed(grown: datetime | None = None, /, **purpose: bool | int) -> Q:
    """Of those who answer for themselves everybody; of the others those with a sound consent.

    Every guardian must stand by it, and a second adult must have confirmed the child. Once the
    child is of age that holds for GRACE, until the child answers alone (coming_of_age.py):
    whoever was of age at `grown`, so long ago, has none any more.
    `purpose` names one more consent, as `consents_to_clips=True`.
    """
    ties = Guardianship.objects.filter(student=OuterRef("pk"), ended_at=None)
    refused = ~Q(withdrawn_at=None, **purpose)
    sound = Q(awaits_second_adult=False) & Exists(ties) & ~Exists(ties.filter(refused))
    return Q(born_year=None) | (sound & ~of_age(grown or timezone.now() - GRACE))


def of_age(at: datetime) -> Q:
    """Of those entered as minors those who are 18 by then, as Student.of_age_on says it."""
    day = LocalDay(at, "time_zone")
    told = Q(turns_18_on__isnull=False, turns_18_on__lte=day)
    by_year = Q(turns_18_on=None, born_year__lt=ExtractYear(day) - ADULT_AGE)
    return Q(born_year__isnull=False) & (told | by_year)


def recordable_students(grown: datetime | None = None, /) -> QuerySet[Recordable]:
    """Present students about whom something may be kept, and who may be read, now."""
    found = Student.objects.filter(agreed(grown), left_on=None)
    return cast("QuerySet[Recordable]", found)


def of_recordable() -> Exists:
    """Whether a row's student is one, asked of each row: all students of the house are many more
    than those who have something due."""
    return Exists(recordable_students().filter(pk=OuterRef("student")))


def recordable_or_none(student: Student) -> Recordable | None:
    """The student as somebody to write about, asked of the database."""
    return Recordable(student) if may_be_recorded(student) else None


def recordable(student: Student) -> Recordable:
    """The same where it is a fault if nothing may be kept. Raises NotRecordable."""
    found = recordable_or_none(student)
    if found is None:
        raise NotRecordable
    return found


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


def students_taught_by(user: User, roles: tuple[str, ...] = TEACHING) -> QuerySet[Recordable]:
    """Present students of every studio in which the user works in one of these roles."""
    studios = _works_in(user, roles)
    return taught_in(studios=studios, grown=timezone.now() - GRACE)


def who_teaches(user: User, now: datetime) -> dict[str, Any]:
    """The arguments of `taught_in` that say who this user is, for a query that is prepared."""
    return {"studios": _works_in(user, TEACHING), "grown": now - GRACE}


def who_plans(user: User, now: datetime) -> dict[str, Any]:
    """The same for `students_planned_by`."""
    return {"studios": _works_in(user, PLANNING), "grown": now - GRACE}


def taught_in(*, studios: list[UUID], grown: datetime) -> QuerySet[Recordable]:
    """What `students_taught_by` says, of values alone."""
    return recordable_students(grown).filter(studio__in=studios)


def students_planned_by(user: User) -> QuerySet[Recordable]:
    """Students whose weeks this user may set and send: owners and coaches, not assistants."""
    return students_taught_by(user, PLANNING)


def own_places(user: User) -> QuerySet[Student]:
    """The user's own places as a student, to read; also where nothing more is kept."""
    return _places(user.pk) if user.is_authenticated else Student.objects.none()


def _places(user: UUID) -> QuerySet[Student]:
    return Student.objects.filter(user=user, left_on=None)


def children_of(user: User) -> QuerySet[Student]:
    """Students for whom this user is a guardian, to read; also after a consent was withdrawn.

    Of those who are of age only who has let this guardian read on.
    """
    if not user.is_authenticated:
        return Student.objects.none()
    return _children(user.pk, timezone.now())


def _children(user: UUID, now: datetime) -> QuerySet[Student]:
    tied = Guardianship.objects.filter(user=user, ended_at=None).values("student")
    return Student.objects.filter(pk__in=tied, left_on=None).exclude(of_age(now))


def has_grown_children(user: User) -> bool:
    """Whether this user read somebody as a guardian until they were of age. One query."""
    open_until_then = Q(guardianships__ended_at=None) & of_age(timezone.now())
    handed_over = Q(guardianships__ended_at__isnull=False, guardianships__ended_why="")
    grown = open_until_then | (handed_over & Q(born_year=None))
    return Student.objects.filter(Q(guardianships__user=user) & grown).exists()


def wards_of(user: User) -> QuerySet[Student]:
    """Those of them who are minors: the user answers and logs for them."""
    return children_of(user).filter(born_year__isnull=False)


def students_followed_by(user: User) -> QuerySet[Student]:
    """Those whose whole record is the user's to read: their own, and their children's."""
    if not user.is_authenticated:
        return Student.objects.none()
    return followed_of(user=user.pk, now=timezone.now())


def followed_of(*, user: UUID, now: datetime) -> QuerySet[Student]:
    """What `students_followed_by` says, of values alone."""
    own, children = _places(user).values("pk"), _children(user, now).values("pk")
    return Student.objects.filter(Q(pk__in=own) | Q(pk__in=children))


def students_logged_by(user: User) -> QuerySet[Recordable]:
    """Students for whom this user may log now: themselves, and their children."""
    if not user.is_authenticated:
        return recordable_students().none()
    now = timezone.now()
    return logged_of(user=user.pk, now=now, grown=now - GRACE)


def logged_of(*, user: UUID, now: datetime, grown: datetime) -> QuerySet[Recordable]:
    """What `students_logged_by` says, of values alone."""
    wards = _children(user, now).filter(born_year__isnull=False).values("pk")
    theirs = Q(pk__in=_places(user).values("pk")) | Q(pk__in=wards)
    return recordable_students(grown).filter(theirs)


def logged_for(user: User, student: Student) -> Recordable | None:
    """The student, whose row has just been read, where `students_logged_by` names it.

    For an adult in the own place that row says it; for a child the database is asked.
    """
    if student.born_year is None and student.user_id == user.pk:
        return Recordable(student) if student.left_on is None else None
    is_theirs = student_logged_or_404.find(user, student.pk) is not None
    return Recordable(student) if is_theirs else None


def students_who_left(user: User) -> QuerySet[Student]:
    """Former students of the studios in which the user may enter students."""
    studios = _works_in(user, PLANNING)
    return Student.objects.filter(agreed(), studio__in=studios, left_on__isnull=False)


def students_closed_to(user: User) -> QuerySet[Student]:
    """Children of the user's own studios of whom nothing may be kept: to erase or hand out."""
    studios = _works_in(user, (Role.OWNER,))
    return Student.objects.filter(studio__in=studios).exclude(agreed())


def closed_children_near(user: User) -> QuerySet[Student]:
    """Children of the studios the user teaches in of whom nothing may be kept: names to miss."""
    near = Student.objects.filter(studio__in=_works_in(user, TEACHING), left_on=None)
    return near.exclude(agreed())


def children_to_confirm(user: User) -> QuerySet[Student]:
    """New children whom a colleague let in, and whom the user may confirm as second adult."""
    new = Student.objects.filter(awaits_second_adult=True, left_on=None)
    settled = Membership.objects.filter(_settled(), user=user.pk)
    return new.filter(studio__in=settled.values("studio")).exclude(lead_coach=user)


def _settled() -> Q:
    """Owners, and coaches who came some time ago: nobody is let in to confirm a child."""
    came = Q(role=Role.OWNER) | Q(role=Role.COACH, since__lt=timezone.now() - SETTLED)
    return came & Q(ended_at=None)


def confirmers_of(student: Student) -> QuerySet[User]:
    """Those who may confirm a new child: owners and coaches but whoever invited the guardian."""
    working = Membership.objects.filter(_settled(), studio=student.studio_id)
    others = User.objects.filter(pk__in=working.values("user"), is_active=True)
    return others.exclude(pk=student.lead_coach_id)


def students_handed_out_to(user: User) -> QuerySet[Student]:
    """Those of whom the user may take a copy of everything, or have it erased.

    Their own place once they are adults, their children, and as owner everybody of the studio;
    those who have left, and children whose consent is withdrawn, as well.
    """
    tied = Guardianship.objects.filter(user=user, ended_at=None).values("student")
    minors = Student.objects.filter(born_year__isnull=False).exclude(of_age(timezone.now()))
    studios = _works_in(user, (Role.OWNER,))
    own = places_handed_out_to(user).values("pk")
    wards = minors.filter(pk__in=tied).values("pk")
    return Student.objects.filter(Q(pk__in=own) | Q(pk__in=wards) | Q(studio__in=studios))


def places_handed_out_to(user: User) -> QuerySet[Student]:
    """The user's own places as an adult, also where they have left."""
    return Student.objects.filter(_adults(), user=user).select_related("studio")


def owns(user: User, studio: Studio) -> bool:
    return studio.pk in _works_in(user, (Role.OWNER,))


def student_handed_out_or_404(user: User, student_id: UUID) -> Student:
    return _one(students_handed_out_to(user), student_id)


def may_plan_in(user: User, studio: Studio) -> bool:
    """Whether the user may set weeks and write drills in this studio."""
    return studio.pk in _works_in(user, PLANNING)


def may_be_recorded(student: Student) -> bool:
    """Whether anything may be stored about this student now."""
    return taken_asked(student).answer.words


def may_write_to(student: Student) -> bool:
    """Whether an adult may write to this student here.

    To a child only while every guardian has agreed to it; each of them reads every line.
    """
    return write_asked(student).answer


def write_asked(student: Student) -> Question[bool]:
    """The same, to be asked with others."""
    if student.born_year is None or not student.is_minor:
        return Question(lambda: student.born_year is None and student.left_on is None)
    return Question(bool, Rows(_written_to, student=student.pk, grown=timezone.now() - GRACE))


_written_to = Prepared(
    lambda student, grown: Student.objects.filter(
        agreed(grown, consents_to_messages=True),
        Exists(
            Guardianship.objects.filter(
                student=OuterRef("pk"), ended_at=None, withdrawn_at=None, user__is_active=True
            )
        ),
        pk=student,
        left_on=None,
    ).values_list("pk"),
    student=UUIDField,
    grown=DateTimeField,
)


def may_be_seen(student: Student) -> bool:
    """Whether clips of this student may be kept and shown; of a child while guardians agree."""
    return taken_asked(student).answer.film


def may_be_heard(student: Student) -> bool:
    """Whether voice notes of this student may be kept; of a child while every guardian has
    agreed to the text that names them."""
    return taken_asked(student).answer.voice


class Taken(NamedTuple):
    """What may be kept of a student: words and counts, films, voices."""

    words: bool
    film: bool
    voice: bool


def taken_asked(student: Student) -> Question[Taken]:
    """`may_be_recorded`, `may_be_seen` and `may_be_heard` in one answer, to be asked with others;
    of who answers for themselves without a query."""
    if student.born_year is None:
        return Question(lambda: Taken(*[student.left_on is None] * 3))
    grown = timezone.now() - GRACE
    return Question(
        lambda found: Taken(*map(bool, found[0] if found else [False] * 3)),
        Rows(_takes, student=student.pk, grown=grown),
    )


_takes = Prepared(
    lambda student, grown: (
        Student.objects.filter(pk=student, left_on=None)
        .annotate(
            words=agreed(grown),
            film=agreed(grown, **TO_CLIPS),
            voice=agreed(grown, **TO_VOICE),
        )
        .values_list("words", "film", "voice")
    ),
    student=UUIDField,
    grown=DateTimeField,
)


def students_seen(grown: datetime | None = None, /) -> QuerySet[Student]:
    """Those whose clips may be kept and shown, as `may_be_seen` says it of one."""
    return Student.objects.filter(agreed(grown, consents_to_clips=True), left_on=None)


def guardianships_of(user: User) -> QuerySet[Guardianship]:
    """Every tie of a guardian to a present minor, also one whose consent is withdrawn."""
    wards = wards_of(user).values("pk")
    found = Guardianship.objects.filter(user=user, ended_at=None, student__in=wards)
    return found.select_related("student__studio").order_by("student__name")


def children_unseen_since(moment: datetime) -> QuerySet[Student]:
    """Those entered as minors of whom a guardian refuses clips since before then."""
    heard = Guardianship.objects.filter(changes__at__gt=moment)
    return Student.objects.exclude(agreed(consents_to_clips=True)).exclude(
        pk__in=heard.values("student")
    )


def answers_for(user: User, child: Student | None) -> bool:
    """Whether the user is a guardian of this child, whose record is open."""
    if child is None or not user.is_active or not may_be_recorded(child):
        return False
    return guardianships_of(user).filter(student=child).exists()


def guardianship_or_404(user: User, student_id: UUID) -> Guardianship:
    """The user's own tie to a child, also when its consent is withdrawn."""
    guardianship = guardianships_of(user).filter(student=student_id).first()
    if guardianship is None:
        raise Http404
    return guardianship


def guardians_of(student: Student) -> QuerySet[User]:
    """The guardians of a minor whose consent stands."""
    return _guardians(student.pk) if student.is_minor else User.objects.none()


def guardians_asked(student: Student) -> Question[list[User]]:
    """The same, to be asked with others."""
    return Rows(_guardians_of, student=student.pk) if student.is_minor else Question(list)


def _guardians(student: UUID) -> QuerySet[User]:
    ties = Guardianship.objects.filter(student=student, ended_at=None, withdrawn_at=None)
    return User.objects.filter(pk__in=ties.values("user"), is_active=True)


_guardians_of = Prepared(lambda student: _guardians(student).order_by("pk"), student=UUIDField)


class _Gate(Generic[Found]):
    """One student of those that `among` finds, with studio and coach, or a 404.

    `among` is told of the user by values alone, those of them that it names. What it names
    otherwise are the studios in which the user works in the roles given under that name.
    """

    def __init__(self, among: Callable[..., QuerySet[Found]], **roles: tuple[str, ...]) -> None:
        named = signature(among).parameters
        self._values, self._roles = _VALUES.keys() & named, roles
        self._asked = Prepared(
            lambda student, **who: (
                among(**who | {name: [who[name]] for name in roles})
                .filter(pk=student)
                .values_list(*_BESIDE)
            ),
            student=UUIDField,
            **dict.fromkeys(roles, UUIDField),
            **{name: _VALUES[name] for name in self._values},
        )

    def __call__(self, user: User, student_id: UUID) -> Found:
        student = self.find(user, student_id)
        if student is None:
            raise Http404
        return student

    def find(self, user: User, student_id: UUID) -> Found | None:
        if not user.is_authenticated:
            return None
        now = timezone.now()
        told = {"user": user.pk, "now": now, "grown": now - GRACE}
        who = {name: told[name] for name in self._values}
        who |= {name: _works_in(user, roles) or [NOWHERE] for name, roles in self._roles.items()}
        for row in self._asked(student=student_id, **who):
            student, student.studio, student.lead_coach = made_of(row, Student, Studio, User)
            return cast("Found", student)
        return None


_VALUES = {"user": UUIDField, "now": DateTimeField, "grown": DateTimeField}
_BESIDE = columns_of(("", Student), ("studio__", Studio), ("lead_coach__", User))
student_taught_or_404 = _Gate(taught_in, studios=TEACHING)
student_planned_or_404 = _Gate(taught_in, studios=PLANNING)
# A student of a studio that is the user's own.
student_owned_or_404 = _Gate(taught_in, studios=(Role.OWNER,))


def student_invited_or_404(user: User, student_id: UUID) -> Student:
    """A place into which the user may ask somebody: one they plan, or a grown child's that is
    closed, for the owner. Asking writes nothing about the student."""
    closed = students_closed_to(user).filter(left_on=None)
    either = Q(pk__in=students_planned_by(user).values("pk")) | Q(pk__in=closed.values("pk"))
    return _one(Student.objects.filter(either), student_id)


student_logged_or_404 = _Gate(logged_of)


def _kept_for(
    *, user: UUID, studios: list[UUID], now: datetime, grown: datetime
) -> QuerySet[Recordable]:
    """Students to whose record the user may add: whoever teaches them, or logs for them.

    Not a former guardian whom a grown child lets read on.
    """
    taught = taught_in(studios=studios, grown=grown)
    logged = logged_of(user=user, now=now, grown=grown)
    either = Q(pk__in=taught.values("pk")) | Q(pk__in=logged.values("pk"))
    return recordable_students(grown).filter(either)


student_kept_for_or_404 = _Gate(_kept_for, studios=TEACHING)
student_followed_or_404 = _Gate(followed_of)


def _read_by(
    *, user: UUID, studios: list[UUID], now: datetime, grown: datetime
) -> QuerySet[Student]:
    """Students whose numbers this user may read: those taught, the user's own, the children."""
    taught = taught_in(studios=studios, grown=grown).values("pk")
    followed = followed_of(user=user, now=now).values("pk")
    return Student.objects.filter(Q(pk__in=taught) | Q(pk__in=followed))


student_read_or_404 = _Gate(_read_by, studios=TEACHING)
child_or_404 = _Gate(_children)


def studio_or_404(user: User, roles: tuple[str, ...] = TEACHING) -> Studio:
    """The studio the user works in (the one joined first, if several)."""
    first = user.joined_first(roles) if user.is_authenticated else None
    found = _studio(studio=first) if first else []
    if not found:
        raise Http404
    studio: Studio = found[0]
    return studio


_studio = Prepared(lambda studio: Studio.objects.filter(pk=studio), studio=UUIDField)


def _one(students: QuerySet[Found], student_id: UUID) -> Found:
    try:
        return students.select_related("studio", "lead_coach").get(pk=student_id)
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


def may_need_pain(roles: set[str]) -> bool:
    """Whether somebody with these roles in the student's studio may say that they need it."""
    return not roles.isdisjoint(PLANNING)


def reads_pain(user: User, roles: set[str], student_id: UUID, lead_coach_id: UUID) -> bool:
    """Whether pain notes are open to somebody with these roles in the student's studio.

    Health data, read by need: for the lead coach, and for an owner or coach who has said why
    they need it (`care_needs`). Everybody else who teaches sees the limit and not the note.
    """
    return may_need_pain(roles) and (lead_coach_id == user.pk or student_id in user.pain_needs)


def _adults(now: datetime | None = None) -> Q:
    """As Student.is_minor says it."""
    return Q(born_year=None) | of_age(now or timezone.now())


def is_strength_coach(user: User) -> bool:
    """Whether the user works as a strength coach somewhere."""
    return bool(_works_in(user, STRENGTH))


def _shared_with(user: User) -> QuerySet[Recordable]:
    """Present students whom a coach has shared with this strength coach, and no others."""
    if not user.is_authenticated:
        return recordable_students().none()
    gyms, grown = _works_in(user, STRENGTH), timezone.now() - GRACE
    return _shared(user=user.pk, gyms=gyms, grown=grown)


def _shared(*, user: UUID, gyms: list[UUID], grown: datetime) -> QuerySet[Recordable]:
    return taught_in(studios=gyms, grown=grown).filter(strength_coaches=user)


def strength_coaches_in(studio: Studio) -> QuerySet[User]:
    """Those with whom a coach of this studio may share a student's days in the gym."""
    working = Membership.objects.filter(studio=studio, ended_at=None, role__in=STRENGTH)
    return User.objects.filter(pk__in=working.values("user")).order_by("name", "pk")


def planners_in(studio: Studio) -> QuerySet[User]:
    """Those who may lead students of this studio."""
    working = Membership.objects.filter(studio=studio, ended_at=None, role__in=PLANNING)
    return User.objects.filter(pk__in=working.values("user")).order_by("name", "pk")


def owners_of(studio: Studio) -> QuerySet[User]:
    owning = Membership.objects.filter(studio=studio, ended_at=None, role=Role.OWNER)
    return User.objects.filter(pk__in=owning.values("user"), is_active=True).order_by("pk")


def lead_works_here(student: Student) -> bool:
    """Whether who leads the student still plans in the studio: work that ends leaves the name."""
    planning = Membership.objects.filter(studio=student.studio_id, role__in=PLANNING)
    return planning.filter(user=student.lead_coach_id, ended_at=None).exists()


def students_strengthened_by(user: User) -> QuerySet[Recordable]:
    """Adults shared with this strength coach."""
    return _shared_with(user).filter(_adults())


def is_strength_coach_of(user: User, student: Student) -> bool:
    return students_strengthened_by(user).filter(pk=student.pk).exists()


def _strength_read_by(
    *, user: UUID, studios: list[UUID], gyms: list[UUID], now: datetime, grown: datetime
) -> QuerySet[Student]:
    """Adults whose strength this user may read, once they have agreed."""
    cared = cared_for(user=user, studios=studios, now=now, grown=grown).values("pk")
    lifting = _shared(user=user, gyms=gyms, grown=grown).values("pk")
    return Student.objects.filter(_adults(now), Q(pk__in=cared) | Q(pk__in=lifting))


def reads_strength(user: User, student: Student) -> bool:
    return strength_read_or_404.find(user, student.pk) is not None


def growing_place_or_404(user: User, student_id: UUID) -> Student:
    """The user's own place that was entered as a child's and is not taken over yet."""
    return _one(own_places(user).filter(born_year__isnull=False), student_id)


def readers_let_by(user: User) -> QuerySet[Guardianship]:
    """Former guardians whom the user, grown up, has let read on."""
    places = own_places(user).filter(born_year=None).values("pk")
    found = Guardianship.objects.filter(student__in=places, ended_at=None)
    return found.select_related("user", "student").order_by("user__name", "pk")


def adult_places(user: User) -> QuerySet[Student]:
    """The user's own places as an adult student."""
    return own_places(user).filter(_adults())


def adult_place_or_404(user: User, student_id: UUID) -> Student:
    """The user's own place as a student, of an adult only."""
    return _one(adult_places(user), student_id)


def students_cared_for_by(user: User) -> QuerySet[Recordable]:
    """Students whose pain notes this user may read and whose stops they may clear."""
    return cared_for(**who_cares(user, timezone.now()))


def who_cares(user: User, now: datetime) -> dict[str, Any]:
    """The arguments of `cared_for` that say who this user is, for a query that is prepared."""
    studios = _works_in(user, PLANNING)
    return {"user": user.pk, "studios": studios, "now": now, "grown": now - GRACE}


def cared_for(
    *, user: UUID, studios: list[UUID], now: datetime, grown: datetime
) -> QuerySet[Recordable]:
    """What `students_cared_for_by` says, of values alone."""
    needed = CareNeed.objects.filter(student=OuterRef("pk"), user=user, until__gt=now)
    cared = Q(lead_coach=user) | Exists(needed)
    return recordable_students(grown).filter(cared, studio__in=studios)


student_cared_for_or_404 = _Gate(cared_for, studios=PLANNING)
strength_read_or_404 = _Gate(_strength_read_by, studios=PLANNING, gyms=STRENGTH)


def students_in_gym_of(user: User) -> QuerySet[Recordable]:
    """Students whose gym strip this user keeps: those planned, and those shared."""
    return _in_gym(
        user=user.pk,
        studios=_works_in(user, PLANNING),
        gyms=_works_in(user, STRENGTH),
        grown=timezone.now() - GRACE,
    )


def _in_gym(
    *, user: UUID, studios: list[UUID], gyms: list[UUID], grown: datetime
) -> QuerySet[Recordable]:
    shared = _shared(user=user, gyms=gyms, grown=grown)
    planned = taught_in(studios=studios, grown=grown)
    either = Q(pk__in=planned.values("pk")) | Q(pk__in=shared.values("pk"))
    return recordable_students(grown).filter(either)


student_in_gym_or_404 = _Gate(_in_gym, studios=PLANNING, gyms=STRENGTH)
# A student whose own days the user may tell: student, guardian, or who plans the weeks.
student_timed_or_404 = _Gate(_kept_for, studios=PLANNING)
