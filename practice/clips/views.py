"""A student's clips: looked at, sent, marked, removed."""

from uuid import UUID, uuid4

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
    require_safe,
)

from practice.clips import queries, services, serving
from practice.clips.models import Clip
from practice.drills.models import Drill
from practice.log.models import Entry
from shared.kit.refused import Refused
from shared.people import access
from shared.people.events import tell_looked_at
from shared.people.models import Student, User
from shared.people.requests import SignedInRequest

MOST_PAGES = 100


def _student_or_404(user: User, student_id: UUID) -> tuple[Student, bool]:
    """The student, and whether the user teaches them."""
    taught = access.students_taught_by(user).filter(pk=student_id).select_related("studio").first()
    if taught is not None:
        return taught, True
    return access.student_followed_or_404(user, student_id), False


@require_http_methods(["GET", "POST"])
@login_required
def of_student(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The clips of one student; POST sends one more."""
    student, teaches = _student_or_404(request.user, student_id)
    if request.method == "POST":
        return _send(request, access.student_kept_for_or_404(request.user, student_id))
    if not teaches:
        tell_looked_at(request.user, student)
    return _page(request, student, teaches=teaches)


def _page(
    request: SignedInRequest, student: Student, *, teaches: bool, error: str = ""
) -> HttpResponse:
    page = _number(request.GET.get("page", ""))
    seen = access.may_be_seen(student)
    found = queries.clips_of(student, page=page) if seen else []
    if not teaches and request.method != "POST":
        services.mark_seen(clips=found[: queries.PAGE], by=request.user)
    shown = [queries.view_of(each, request.user, teaches=teaches) for each in found]
    context = {
        "student": student,
        "teaches": teaches,
        "clips": shown[: queries.PAGE],
        "older": page + 1 if len(shown) > queries.PAGE else None,
        "may_be_seen": seen,
        "drills": _drills(student),
        "sessions": queries.sessions_of(student),
        "chosen_session": request.POST.get("entry") or request.GET.get("entry", ""),
        "chosen": request.POST.get("drill") or request.GET.get("drill", ""),
        "ident": uuid4(),
        "error": error,
    }
    return render(request, "clips/clips.html", context, status=400 if error else 200)


def _send(request: SignedInRequest, student: access.Recordable) -> HttpResponse:
    """Take one file. A script gets JSON, so that a queue knows what became of it."""
    upload = request.FILES.get("file")
    try:
        if upload is None:
            raise Refused("Choose a clip or a picture first.")  # noqa: TRY301 (one answer for all)
        clip = services.keep_clip(
            student=student,
            author=request.user,
            upload=upload,
            ident=_ident(request.POST.get("id", "")),
            drill=_drill(student, request.POST.get("drill", "")),
            entry=_entry(student, request.POST.get("entry", "")),
            words=request.POST.get("words", ""),
            still=request.FILES.get("still"),
        )
    except Refused as error:
        if request.headers.get("X-Fragment"):
            return JsonResponse({"detail": str(error)}, status=400)
        _, teaches = _student_or_404(request.user, student.pk)
        return _page(request, student, teaches=teaches, error=str(error))
    if request.headers.get("X-Fragment"):
        return JsonResponse({"id": str(clip.pk)})
    messages.success(request, "It is kept.")
    return redirect("clips:of_student", student.pk)


@require_safe
@login_required
def one(request: SignedInRequest, clip_id: UUID) -> HttpResponseBase:
    """The file itself, to whoever may see it, by ranges if asked."""
    clip = queries.clip_or_404(request.user, clip_id)
    return _stored(request, clip, still=False)


@require_safe
@login_required
def still(request: SignedInRequest, clip_id: UUID) -> HttpResponseBase:
    """Its still, if it came with one."""
    clip = queries.clip_or_404(request.user, clip_id)
    if not clip.still:
        raise Http404
    return _stored(request, clip, still=True)


def _stored(request: HttpRequest, clip: Clip, *, still: bool) -> HttpResponseBase:
    field = clip.still if still else clip.file
    try:
        file = field.open("rb")
    except FileNotFoundError:
        raise Http404 from None
    kind = Clip.Kind.JPEG if still else clip.kind
    name = "still.jpg" if still else f"clip.{clip.suffix}"
    tag = f"{clip.digest[:32]}{'s' if still else ''}"
    return serving.answer(request, file, kind=kind, tag=tag, name=name)


@require_GET
@login_required
def watch(request: SignedInRequest, clip_id: UUID) -> HttpResponse:
    """One clip on a page of its own, with its words."""
    clip = queries.clip_or_404(request.user, clip_id)
    _, teaches = _student_or_404(request.user, clip.student_id)
    if not teaches:
        services.mark_seen(clips=[clip], by=request.user)
        tell_looked_at(request.user, clip.student)
    view = queries.view_of(clip, request.user, teaches=teaches)
    context = {"clip": view, "student": clip.student, "teaches": teaches}
    return render(request, "clips/watch.html", context)


@require_POST
@login_required
def remove(request: SignedInRequest, clip_id: UUID) -> HttpResponse:
    """By whoever sent it, and by those who teach the student."""
    clip = queries.clip_or_404(request.user, clip_id)
    _, teaches = _student_or_404(request.user, clip.student_id)
    is_childs = access.wards_of(request.user).filter(pk=clip.student_id).exists()
    if not (teaches or is_childs or clip.author_id == request.user.pk):
        raise Http404
    services.remove_clip(clip=clip)
    messages.success(request, "Deleted. Nobody sees it any more.")
    return redirect("clips:of_student", clip.student_id)


@require_POST
@login_required
def model(request: SignedInRequest, clip_id: UUID) -> HttpResponse:
    """Mark it as the one to copy, or no longer."""
    clip = queries.clip_or_404(request.user, clip_id)
    access.student_taught_or_404(request.user, clip.student_id)
    if clip.is_sound:  # There is nothing to copy in words.
        raise Http404
    services.choose_model(clip=clip, is_model=request.POST.get("is") == "1")
    return redirect("clips:watch", clip.pk)


# --- what a form names ---------------------------------------------------------------------


def _ident(text: str) -> UUID:
    return _uuid(text) or uuid4()


def _uuid(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None


def _drill(student: Student, text: str) -> Drill | None:
    """A drill of the studio's own shelf, or none."""
    ident = _uuid(text)
    if ident is None:
        return None
    return Drill.objects.filter(pk=ident, studio=student.studio_id).first()


def _entry(student: Student, text: str) -> Entry | None:
    ident = _uuid(text)
    return Entry.objects.filter(pk=ident, student=student).first() if ident else None


def _drills(student: Student) -> list[tuple[UUID, str]]:
    shelf = Drill.objects.filter(studio=student.studio_id, archived_at=None, current__isnull=False)
    rows = shelf.order_by("current__name").values_list("pk", "current__name")
    return list(rows[:400])


def _number(text: str) -> int:
    return min(int(text), MOST_PAGES) if text.isdecimal() and len(text) < 4 else 0
