"""The lesson note: written in the bay, kept as it is typed."""

import json
from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from coaching.lesson_day.note_pages import note_page
from coaching.lessons import services
from coaching.lessons.models import MOST_FINDINGS, OF_FINDING, OF_LESSON, Lesson
from coaching.lessons.queries import last_lesson, lesson_or_404
from coaching.lessons.services import NOT_WORDS, read_id
from coaching.season.limits_pages import limits_shown
from practice.clips.queries import clip_or_404
from shared.kit.refused import Refused
from shared.people.requests import SignedInRequest

MOST_FIELDS = (len(OF_FINDING) + len(NOT_WORDS)) * MOST_FINDINGS + len(OF_LESSON)


@require_http_methods(["GET", "POST"])
@login_required
def note(request: SignedInRequest, lesson_id: UUID) -> HttpResponse:
    """The page; without a script its button keeps the whole of it."""
    lesson = lesson_or_404(request.user, lesson_id, writing=request.method == "POST")
    if request.method == "POST":
        fields = {name: (None, text) for name, text in _of_form(request).items()}
        done = services.keep_typed(lesson=lesson, fields=fields)
        for name, words in done.refused.items():
            messages.error(request, f"{name}: {words}")
        if request.POST.get("do") == "close" and not done.refused:
            return redirect("lessons:close", lesson.pk)
        return redirect("lessons:note", lesson.pk)
    limits = limits_shown(request.user, lesson.student)
    context = {"page": note_page(request.user, lesson), "limits": limits}
    return render(request, "lesson_day/note.html", context)


@require_POST
@login_required
def as_last_time(request: SignedInRequest, lesson_id: UUID) -> HttpResponse:
    """The last lesson's findings, to go on from."""
    lesson = lesson_or_404(request.user, lesson_id, writing=True)
    last = last_lesson(lesson.student, before=lesson)
    try:
        if last is not None:
            services.as_last_time(lesson=lesson, last=last)
    except Refused as error:
        messages.error(request, str(error))
    return redirect("lessons:note", lesson.pk)


@require_POST
@login_required
def typed(request: SignedInRequest, lesson_id: UUID) -> JsonResponse:
    """Keep what was typed: {"fields": {"0.cue": {"was": "", "is": "tail on the fence"}}}."""
    lesson = lesson_or_404(request.user, lesson_id, writing=True)
    fields = _of_json(request.body)
    if fields is None:
        return JsonResponse({"detail": "Fields as {was, is} are expected."}, status=400)
    if lesson.state == Lesson.State.PLANNED:
        return JsonResponse({"detail": "This lesson has not begun."}, status=409)
    done = services.keep_typed(lesson=lesson, fields=fields)
    answer = {"kept": done.kept, "elsewhere": done.elsewhere, "refused": done.refused}
    return JsonResponse(answer)


@require_POST
@login_required
def clip(request: SignedInRequest, lesson_id: UUID) -> HttpResponse:
    """A clip or picture taken in the lesson."""
    lesson = lesson_or_404(request.user, lesson_id, writing=True)
    upload = request.FILES.get("file")
    if upload is None:
        messages.error(request, "Choose a clip or a picture first.")
        return redirect("lessons:note", lesson.pk)
    named = [drill for finding in lesson.findings.all() for drill in finding.drills.all()]
    try:
        services.take_clip(
            lesson=lesson,
            by=request.user,
            upload=upload,
            ident=read_id(request.POST.get("id", "")) or uuid4(),
            drill=named[0] if named else None,
        )
    except Refused as error:
        messages.error(request, str(error))
    return redirect("lessons:note", lesson.pk)


@require_POST
@login_required
def this_one(request: SignedInRequest, lesson_id: UUID, clip_id: UUID) -> HttpResponse:
    """Mark a clip of this lesson as the one to copy."""
    lesson = lesson_or_404(request.user, lesson_id, writing=True)
    clip = clip_or_404(request.user, clip_id)
    if not lesson.taken.filter(clip=clip).exists():
        raise Http404
    services.choose_clip(lesson=lesson, clip=clip)
    messages.success(request, "It is the one to copy: the student finds it beside the drill.")
    return redirect("lessons:note", lesson.pk)


def _of_form(request: HttpRequest) -> dict[str, str]:
    """Every field of the plain form. Drills are boxes: none ticked is none."""
    found = {name: request.POST[name] for name in OF_LESSON if name in request.POST}
    for position in range(MOST_FINDINGS):
        for column in (*OF_FINDING, "balls"):
            name = f"{position}.{column}"
            if name in request.POST:
                found[name] = request.POST[name].strip()
        if f"{position}.fault" in request.POST:
            ticked = request.POST.getlist(f"{position}.drills")
            found[f"{position}.drills"] = ",".join(sorted(ticked))
    return {name: text for name, text in found.items() if text or _may_empty(name, found)}


def _may_empty(name: str, found: dict[str, str]) -> bool:
    """A finding of which nothing is written is not made; an emptied field is emptied."""
    place = name.rpartition(".")[0]
    return (
        not place
        or place == "0"
        or any(text for other, text in found.items() if other.startswith(f"{place}."))
    )


def _of_json(body: bytes) -> dict[str, tuple[str | None, str]] | None:
    try:
        fields: Any = json.loads(body)["fields"]
        pairs = {str(name): (pair.get("was"), pair["is"]) for name, pair in fields.items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    strings = all(isinstance(is_now, str) for _, is_now in pairs.values())
    whats = all(was is None or isinstance(was, str) for was, _ in pairs.values())
    return pairs if strings and whats and len(pairs) <= MOST_FIELDS else None
