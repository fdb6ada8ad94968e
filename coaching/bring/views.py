"""Bring your list: paste or send it, look at every row, bring it; then send the invitations."""

import io
from collections.abc import Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import Truncator
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coaching.bring import past, services
from coaching.bring.columns import PEOPLE, ListTable, Sort, recognised
from coaching.bring.layouts import as_list
from coaching.bring.models import Batch
from coaching.bring.past_rows import (
    PRACTICE,
    is_past_practice,
    likely_order,
    read_past,
    said_order,
)
from coaching.bring.rows import read_rows
from practice.importing.cells import Cell, text_of
from practice.importing.days import DateOrder
from practice.importing.reading import BadRow, closing_rows, kind_of, rows_of
from practice.importing.records import Unreadable
from shared.outbox.mail_sender import reaches_nobody
from shared.people import access, invitations, limits, ready
from shared.people.models import Studio
from shared.people.requests import SignedInRequest
from shared.people.today import today_of
from shared.people.undelivered import DID_NOT_ARRIVE
from shared.site import errors

MOST_TEXT = 200_000
PAST = "past"
ORDERS = {DateOrder.DMY: "day before month", DateOrder.MDY: "month before day"}
EXAMPLE = "Ada Hill\tada@example.org\tTuesday\t16:30\nKim Ray\t\tThu\t5 pm\tparent@example.org"


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def bring(request: SignedInRequest) -> HttpResponse:
    """The box, and under it what will become of every row. Nothing is kept before it is brought."""
    studio = access.studio_or_404(request.user, access.PLANNING)
    if request.method != "POST":
        return _page(request, studio, "", {})
    try:
        rows = _rows(request)
        is_past = _is_past(request, rows)
        _check_length(rows, is_past=is_past)
    except Unreadable as error:
        typed = request.POST.get("list", "")
        return _page(request, studio, typed, {"fault": str(error)}, status=400)
    return (_past if is_past else _people)(request, studio, rows)


def _check_length(rows: Sequence[Sequence[Cell]], *, is_past: bool) -> None:
    if not is_past and len(rows) > services.MOST_PEOPLE + 1:
        raise Unreadable("Bring at most 200 people at once. Split the list.")


def _is_past(request: SignedInRequest, rows: Sequence[Sequence[Cell]]) -> bool:
    """Whether it is past practice: as somebody said, else as it looks."""
    said = request.POST.get("sort")
    return said == PAST if said and not request.FILES else is_past_practice(rows)


def _past(request: SignedInRequest, studio: Studio, rows: list[list[Cell]]) -> HttpResponse:
    """Past practice: what becomes of every row, and with one button kept, as from memory."""
    fixed = None if request.FILES else _chosen(request, rows, PRACTICE)
    table = recognised(rows, fixed, PRACTICE)
    today = today_of(studio)
    said = "" if request.FILES else request.POST.get("order", "")
    # What somebody has said of an earlier list gives way to what this one says itself.
    told = said_order(table)
    asked = DateOrder(said) if said in ORDERS else likely_order(table, today)
    order = told or asked
    read = read_past(table, past.students_of(request.user, studio), today, order)
    outcomes = past.outcomes(studio, read)
    count = sum(each.brings for each in outcomes)
    shown: dict[str, Any] = {
        "is_past": True,
        "orders": {} if told else ORDERS,
        "order": order,
        "outcomes": outcomes,
        "columns": _columns(table, PRACTICE),
        "count": count,
        "left_out": len(outcomes) - count,
    }
    if "bring" in request.POST and not request.FILES:
        if not count:
            shown["fault"] = "No row can be brought yet: each says below what to mend."
        elif not limits.may(request, "list", str(studio.pk)):
            return errors.too_many(request)
        else:
            batch = past.keep(studio=studio, by=request.user, rows=read)
            return redirect("bring:batch", batch.pk)
    return _page(request, studio, _as_text(rows), shown)


def _people(request: SignedInRequest, studio: Studio, rows: list[list[Cell]]) -> HttpResponse:
    """Students: what becomes of every row, and with one button they are brought."""
    table = recognised(rows, None if request.FILES else _chosen(request, rows, PEOPLE))
    people = read_rows(table, services.coaches_of(studio), today_of(studio))
    outcomes = services.outcomes(studio, people)
    brought = [each for each in outcomes if each.brings]
    adults = [each for each in brought if not each.person.is_minor]
    shown: dict[str, Any] = {
        "outcomes": outcomes,
        "columns": _columns(table, PEOPLE),
        "lacks_first": "last_name" in table.fields and not {"name", "first_name"} & {*table.fields},
        "count": len(brought),
        "left_out": len(outcomes) - len(brought),
        "adults": len(adults),
        "is_adult": "is_adult" in request.POST,
    }
    if "bring" in request.POST and not request.FILES:
        if adults and "is_adult" not in request.POST:
            shown["adult_fault"] = "Tick this, or write a guardian’s mail for who is under 18."
        elif not brought:
            shown["fault"] = "No row can be brought yet: each says below what to mend."
        elif not limits.may(request, "list", str(studio.pk)):
            return errors.too_many(request)
        else:
            batch = services.bring(studio=studio, by=request.user, people=people)
            return redirect("bring:batch", batch.pk)
    return _page(request, studio, _as_text(rows), shown)


def _rows(request: SignedInRequest) -> list[list[Cell]]:
    """The rows of the file, or of what was pasted. Raises Unreadable."""
    sent = request.FILES.get("file")
    typed = request.POST.get("list", "")
    if sent is None and len(typed) > MOST_TEXT:
        raise Unreadable("That is too long. Bring it in parts of at most 200 people.")
    if sent is None and not typed.strip():
        raise Unreadable("Paste your list, or choose a file.")
    file = io.BytesIO(typed.encode() if sent is None else sent.read())
    found: list[list[Cell]] = []
    # A person is a row, whatever they are called.
    kind = replace(kind_of(file), is_turned=False, is_by_club=False)
    with closing_rows(rows_of(file, kind, past.MOST_ROWS + 2)) as rows:
        for number, row in rows:
            if isinstance(row, BadRow):
                raise Unreadable(f"Row {number}: {row.reason}")
            found.append(row)
            if len(found) > past.MOST_ROWS + 1:
                raise Unreadable("Bring at most 2000 rows at once. Split the list.")
    return as_list(found)


def _chosen(request: SignedInRequest, rows: Sequence[Sequence[Cell]], sort: Sort) -> dict[int, str]:
    """What somebody has said that columns are; nothing where it was of another sort of list."""
    if request.POST.get("was", request.POST.get("sort")) != request.POST.get("sort"):
        return {}
    width = max((len(row) for row in rows), default=0)
    said = ((column, request.POST.get(f"column-{column}")) for column in range(width))
    return {
        column: name
        for column, name in said
        if name is not None and (name in sort.fields or name == "")
    }


def _columns(table: ListTable, sort: Sort) -> list[dict[str, Any]]:
    """Each column with its heading, an example, and what it is taken for."""
    columns = []
    for index, name in enumerate(table.fields):
        cells = (text_of(row[index]) for row in table.rows)
        example = next((cell for cell in cells if cell), "empty")
        columns.append(
            {
                "index": index,
                "heading": table.headings[index],
                "example": Truncator(example).chars(40),
                "choices": [("", "leave out"), *sort.fields.items()],
                "chosen": name,
            }
        )
    return columns


def _as_text(rows: Sequence[Sequence[Cell]]) -> str:
    """As a sheet copies it, so that a row can be mended in the box."""
    return "\n".join("\t".join(" ".join(text_of(cell).split()) for cell in row) for row in rows)


def _page(
    request: SignedInRequest, studio: Studio, text: str, shown: dict[str, Any], status: int = 200
) -> HttpResponse:
    context = {"studio": studio, "text": text, "example": EXAMPLE, **shown}
    return render(request, "bring/bring.html", context, status=status)


def _batch(request: SignedInRequest, batch_id: UUID) -> Batch:
    studios = access.studios_of(request.user, access.PLANNING)
    return get_object_or_404(
        Batch.objects.select_related("studio"), pk=batch_id, studio__in=studios
    )


@require_safe
@login_required
def batch(request: SignedInRequest, batch_id: UUID) -> HttpResponse:
    """Everybody who was brought, and one button for all of the invitations."""
    found = _batch(request, batch_id)
    if found.remembered.exists():
        rows_kept = found.remembered.select_related("student").order_by("student__name", "day")
        return render(request, "bring/past.html", {"batch": found, "rows": rows_kept})
    brought = found.listed.select_related("invitation", "student").prefetch_related(
        "student__series", "invitation__mails"
    )
    rows = [(each, _standing(each.invitation, reaches_nobody())) for each in brought]
    open_ones = invitations.open_ones().filter(listed__batch=found)
    context = {
        "batch": found,
        "rows": rows,
        "to_send": open_ones.filter(mails=None).exclude(email="").count(),
        "open": open_ones.count(),
        "ticks": ready.open_ticks(),
        "nobody": reaches_nobody(),
    }
    return render(request, "bring/batch.html", context)


def _standing(invitation: Any, nobody: bool) -> str:
    if invitation.accepted_at:
        return "has come in"
    if invitation.revoked_at:
        return "taken back"
    mails = list(invitation.mails.all())
    if not mails:
        return "not mailed yet" if invitation.email else "no mail: show the invitation"
    last = mails[-1]
    if last.state == "sent" and not last.why:
        return "mailed"
    if last.why.startswith(DID_NOT_ARRIVE):
        return DID_NOT_ARRIVE
    return "written to a file, as no mail server is set" if nobody or last.why else "waits its turn"


@require_POST
@login_required
def send(request: SignedInRequest, batch_id: UUID) -> HttpResponse:
    found = _batch(request, batch_id)
    count = services.send(batch=found)
    if reaches_nobody():
        words = f"{count} invitations are written to files: no mail server is set."
    else:
        words = f"{count} invitations go out now. Below stands what becomes of each."
    messages.success(request, words)
    return redirect("bring:batch", found.pk)


@require_POST
@login_required
def take_back(request: SignedInRequest, batch_id: UUID) -> HttpResponse:
    found = _batch(request, batch_id)
    if found.remembered.exists():
        messages.success(request, f"Taken back: {past.take_back(batch=found)} rows. None is kept.")
        return redirect("bring:list")
    went, stayed = services.take_back(batch=found)
    words = f"Taken back: {went}."
    if stayed:
        words += f" {stayed} had come in already, or have something kept, and stay."
    messages.success(request, words)
    return redirect("students")


@require_POST
@login_required
def forget_past(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """What was remembered of one student goes."""
    student = access.student_planned_or_404(request.user, student_id)
    went = past.forget(student=student)
    messages.success(request, f"Taken back: {went} rows from memory. None is kept.")
    return redirect("board:weeks", student.pk)
