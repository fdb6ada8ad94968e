"""Sending a file of shots, naming its columns, watching it come in, and taking it back."""

import csv
from collections.abc import Iterator
from dataclasses import replace
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from practice.importing import naming, queries, services
from practice.importing.columns import FIELDS, Plan
from practice.importing.models import ShotFile
from practice.importing.reading import MOST_ROWS
from practice.importing.records import Unreadable
from practice.importing.rows import inert
from practice.importing.services import MOST_BYTES, REASON, ROW_NUMBER
from shared.kit.refused import Refused
from shared.people import access
from shared.people.models import Student
from shared.people.requests import SignedInRequest

State = ShotFile.State


def _student(request: SignedInRequest, student_id: UUID) -> access.Recordable:
    """A student of whoever asks, about whom something may be stored."""
    return access.student_kept_for_or_404(request.user, student_id)


def _file(request: SignedInRequest, student_id: UUID, file_id: UUID) -> ShotFile:
    student = _student(request, student_id)
    file = get_object_or_404(ShotFile, pk=file_id, student=student)
    file.student = student
    return file


def _is_own(request: SignedInRequest, student: Student) -> bool:
    return not access.students_taught_by(request.user).filter(pk=student.pk).exists()


@require_http_methods(["GET", "HEAD"])
@login_required
def files(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    return _files(request, _student(request, student_id))


def _files(
    request: SignedInRequest, student: Student, fault: str = "", status: int = 200
) -> HttpResponse:
    context = {
        "student": student,
        "is_own": _is_own(request, student),
        "files": queries.files_of(student),
        "fault": fault,
        "most_mb": MOST_BYTES >> 20,
        "most_rows": MOST_ROWS,
    }
    return render(request, "importing/files.html", context, status=status)


@csrf_exempt  # `_take` asks for the token, once it is known that a body may be read at all.
@require_POST
@login_required
def take(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """A body of 30 MB is taken here: only from somebody whose student this is."""
    return _take(request, _student(request, student_id))


@csrf_protect
def _take(request: SignedInRequest, student: access.Recordable) -> HttpResponse:
    sent = request.FILES.get("file")
    if sent is None:
        return _files(request, student, "Choose a file first.", 400)
    try:
        file = services.take(
            student=student,
            by=request.user,
            name=sent.name or "",
            size=sent.size or 0,
            chunks=sent.chunks(),
        )
    except Refused as refusal:
        return _files(request, student, str(refusal), 400)
    return redirect("importing:file", student.pk, file.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def file(request: SignedInRequest, student_id: UUID, file_id: UUID) -> HttpResponse:
    kept = _file(request, student_id, file_id)
    if kept.state == State.COLUMNS:
        return _columns(request, kept)
    context = {"student": kept.student, "file": kept, "is_own": _is_own(request, kept.student)}
    return render(request, "importing/file.html", context)


def _columns(request: SignedInRequest, kept: ShotFile) -> HttpResponse:
    """Name the columns: show the first rows by what is named, or bring them in."""
    plan, faults = Plan.from_json(kept.plan), {}
    asks_again = False
    if request.method == "POST":
        usual = {"distance": request.user.distance_unit, "speed": request.user.speed_unit}
        named = naming.read(request.POST.dict(), usual, kept.header)
        plan, faults = named.plan, named.faults
        asks_again = named.has_new_units
    try:
        shown = queries.preview(kept, plan, request.user)
    except Unreadable as error:
        services.drop(file=kept)
        return _files(request, kept.student, str(error), 400)
    plan = replace(plan, order=shown.order, asks_order=bool(shown.asked_day), year=shown.year)
    if "bring" in request.POST:
        if shown.asked_day:
            faults = faults | {"order": f"Say what day {shown.asked_day} is."}
        elif shown.lacks_year and "year" not in request.POST:
            faults = faults | {"year": "Look at this year. Then bring them in."}
        if shown.names_another and "own" not in request.POST:
            faults = faults | {"own": f"Say whose shots these are: {shown.names_another} is named."}
        if not faults and not asks_again:
            services.name_columns(file=kept, by=request.user, plan=plan)
            return redirect("importing:file", kept.student_id, kept.pk)
    context = {
        "student": kept.student,
        "file": kept,
        "plan": plan,
        "preview": shown,
        "faults": faults,
        "is_own": "own" in request.POST,
        "asks_again": asks_again and "bring" in request.POST,
        "fields": FIELDS.values(),
        "orders": queries.ORDERS,
        "swings": queries.SWINGS,
    }
    return render(request, "importing/columns.html", context, status=400 if faults else 200)


@require_GET
@login_required
def progress(request: SignedInRequest, student_id: UUID, file_id: UUID) -> HttpResponse:
    """The part of the page that moves."""
    kept = _file(request, student_id, file_id)
    return render(request, "importing/_progress.html", {"student": kept.student, "file": kept})


class _Echo:
    """A file that hands back what is written."""

    def write(self, line: str) -> str:
        return line


@require_GET
@login_required
def refused(request: SignedInRequest, student_id: UUID, file_id: UUID) -> StreamingHttpResponse:
    """The rows that could not be taken, with the reason; to be mended and sent again."""
    kept = _file(request, student_id, file_id)
    answer = StreamingHttpResponse(_refused_lines(kept), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="refused rows.csv"'
    return answer


def _refused_lines(kept: ShotFile) -> Iterator[str]:
    writer = csv.writer(_Echo())
    ours = {REASON, ROW_NUMBER}
    header = [name for name in kept.header if name.lower() not in ours]
    # A mark at the start, by which spreadsheets know the letters.
    yield "﻿" + writer.writerow([inert(name) for name in header] + [REASON, ROW_NUMBER])
    rows = kept.refused.order_by("number").values_list("cells", "reason", "number")
    for cells, reason, number in rows.iterator(chunk_size=2_000):
        padded = [*cells, *[""] * (len(header) - len(cells))]
        yield writer.writerow([*map(inert, padded), inert(reason), number])


@require_POST
@login_required
def take_back(request: SignedInRequest, student_id: UUID, file_id: UUID) -> HttpResponse:
    kept = _file(request, student_id, file_id)
    services.take_back(file=kept)
    messages.success(request, "Taken back. Its shots are gone; the file may be sent again.")
    return redirect("importing:files", student_id)


@require_POST
@login_required
def drop(request: SignedInRequest, student_id: UUID, file_id: UUID) -> HttpResponse:
    kept = _file(request, student_id, file_id)
    services.drop(file=kept)
    messages.success(request, "Dropped. Nothing of it was kept.")
    return redirect("importing:files", student_id)
