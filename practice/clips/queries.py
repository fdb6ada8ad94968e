"""Who sees which clip. Everything that serves one asks here first."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import DateField, DateTimeField, OuterRef, QuerySet, Subquery, UUIDField
from django.http import Http404
from django.utils import timezone

from practice.clips.models import Clip
from practice.log.models import Entry, Result
from shared.people import access
from shared.people.models import Student, User
from shared.site.prepared import Prepared
from shared.site.together import Question, Rows

PAGE = 24
SESSIONS = 12


def _kept() -> QuerySet[Clip]:
    return _kept_on(timezone.now().date())


def _kept_on(today: date) -> QuerySet[Clip]:
    return Clip.objects.filter(removed_at=None, expires_on__gte=today)


def clip_or_404(user: User, clip_id: UUID) -> Clip:
    """A clip the user may see: of a student they teach, of themselves, or of their child.

    A minor's is nobody's while no guardian agrees to clips.
    """
    found: list[Clip] = _one_kept(clip=clip_id, today=timezone.now().date())
    if not found:
        raise Http404
    clip = found[0]
    clip.student = access.student_read_or_404(user, clip.student_id)
    if not access.may_be_seen(clip.student):
        raise Http404
    return clip


_one_kept = Prepared(
    lambda clip, today: (
        _kept_on(today).filter(pk=clip).select_related("author", "drill__current", "entry")
    ),
    clip=UUIDField,
    today=DateField,
)


def clips_of(student: Student, *, drill: UUID | None = None, page: int = 0) -> list[Clip]:
    """A page of clips, newest first, and one more if there is another page. One query."""
    found = _kept().filter(student=student)
    if drill is not None:
        found = found.filter(drill=drill)
    rows = found.select_related("author", "drill__current", "entry").order_by("-made_at", "pk")
    return list(rows[page * PAGE : (page + 1) * PAGE + 1])


def copies_asked(student: Student) -> Question[dict[UUID, Clip]]:
    """The one to copy of each drill that has one, where films of the student may be shown; to be
    asked with others."""
    return Question(
        lambda takes, clips: {clip.drill_id: clip for clip in clips} if takes.film else {},
        access.taken_asked(student),
        Rows(_copies, student=student.pk, today=timezone.now().date()),
    )


_copies = Prepared(
    lambda student, today: (
        _kept_on(today)
        .filter(student=student, drill__isnull=False, is_model=True)
        .order_by("made_at")
    ),
    student=UUIDField,
    today=DateField,
)


def with_entries_asked(roots: Iterable[UUID]) -> Question[dict[UUID, list[Clip]]]:
    """What was filmed or said with these sessions, of which there are some, and may be shown, by
    their root; to be asked with others."""
    now = timezone.now()
    of = {"roots": list(roots), "today": now.date(), "grown": now - access.GRACE}
    return Question(_by_root, Rows(_with_entries, **of))


def _by_root(clips: Iterable[Clip]) -> dict[UUID, list[Clip]]:
    told: dict[UUID, list[Clip]] = {}
    for clip in clips:
        if clip.entry:
            told.setdefault(clip.entry.root, []).append(clip)
    return told


_with_entries = Prepared(
    lambda roots, today, grown: (
        _kept_on(today)
        .filter(entry__root__in=[roots], student__in=access.students_seen(grown))
        .select_related("entry")
        .order_by("made_at", "pk")
    ),
    roots=UUIDField,
    today=DateField,
    grown=DateTimeField,
)


def sessions_of(student: Student) -> list[tuple[UUID, date, str]]:
    """The latest sessions a clip may belong to: id, day, first drill. One query."""
    first = Result.objects.filter(entry=OuterRef("pk"), drill__isnull=False).order_by("position")
    entries = Entry.objects.filter(student=student, counts=True).annotate(
        drill=Subquery(first.values("drill__current__name")[:1])
    )
    rows = entries.order_by("-day", "-at").values_list("pk", "day", "drill")[:SESSIONS]
    return [(pk, day, drill or "") for pk, day, drill in rows]


@dataclass(frozen=True, slots=True)
class ClipView:
    """One clip as the templates print it."""

    id: UUID
    drill: str
    session: date | None
    words: str
    by: str
    day: date
    until: date
    length: str
    is_picture: bool
    is_sound: bool
    is_model: bool
    has_still: bool
    may_remove: bool


def length_of(clip: Clip) -> str:
    return f"{clip.seconds:.0f} s" if clip.seconds else ""


def view_of(clip: Clip, viewer: User, *, teaches: bool) -> ClipView:
    return ClipView(
        id=clip.pk,
        drill=str(clip.drill) if clip.drill else "",
        session=clip.entry.day if clip.entry else None,
        words=clip.words,
        by=str(clip.author),
        day=clip.made_at.date(),
        until=clip.expires_on,
        length=length_of(clip),
        is_picture=clip.is_picture,
        is_sound=clip.is_sound,
        is_model=clip.is_model,
        has_still=bool(clip.still),
        may_remove=teaches or clip.author_id == viewer.pk,
    )
