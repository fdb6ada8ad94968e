"""Reports: drafted from the record, worded and read by the coach, then sent."""

from datetime import date, timedelta
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from coaching.reports import services
from coaching.reports.body import body_of
from coaching.reports.models import Report
from shared.kit.refused import Refused
from shared.people import access
from shared.people.events import tell_looked_at
from shared.people.models import User
from shared.people.requests import SignedInRequest, followed_or_404
from shared.people.today import today_of

SHOWN = 40
USUAL_SPAN = timedelta(weeks=12)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def of_student(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The reports of one student; POST begins one."""
    student = access.student_planned_or_404(request.user, student_id)
    today = today_of(student)
    first, last, error = str(today - USUAL_SPAN), str(today), ""
    if request.method == "POST":
        first, last = request.POST.get("first", ""), request.POST.get("last", "")
        try:
            report = services.draft(
                student=student, by=request.user, first=_day(first), last=_day(last)
            )
        except Refused as refused:
            error = str(refused)
        else:
            return redirect("reports:show", report.pk)
    found = Report.objects.filter(student=student).order_by("-made_at")[:SHOWN]
    context = {
        "student": student,
        "reports": found,
        "first": first,
        "last": last,
        "error": error,
    }
    return render(request, "reports/of_student.html", context, status=400 if error else 200)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refused("Give the first and the last day of the report.") from None


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def show(request: SignedInRequest, report_id: UUID) -> HttpResponse:
    """One report: to the coach with its words and buttons, once sent to its readers too."""
    report = _report_or_404(request.user, report_id, writing=request.method == "POST")
    error = ""
    if request.method == "POST":
        try:
            return _act(request, report)
        except Refused as refused:
            error = str(refused)
    student = report.student
    tell_looked_at(request.user, student)
    plans = access.students_planned_by(request.user).filter(pk=student.pk).exists()
    reader = services.reader_of(student, request.user)
    context = {
        "report": report,
        "student": student,
        "body": report.body
        if report.sent_at
        else body_of(student, reader, report.first, report.last),
        "may_write": plans and report.sent_at is None,
        "words": request.POST.get("words", report.words),
        "error": error,
    }
    return render(request, "reports/report.html", context, status=400 if error else 200)


def _act(request: SignedInRequest, report: Report) -> HttpResponse:
    """Keep the words, send it, or drop the draft. Raises Refused."""
    if request.POST.get("do") == "discard":
        services.discard(report=report)
        return redirect("reports:of_student", report.student_id)
    services.keep_words(report=report, words=request.POST.get("words", ""))
    if request.POST.get("do") == "send":
        services.send(report=report, by=request.user, has_read=request.POST.get("read") == "1")
        messages.success(
            request,
            f"{report.student.name} and those who care for them can read it. Their mails say so; "
            "What was sent shows when.",
        )
    else:
        messages.success(request, "Kept. Nothing is sent yet.")
    return redirect("reports:show", report.pk)


@require_safe
@login_required
def own(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """Reports that were sent, for the student and the guardians."""
    student = followed_or_404(request, student_id)
    tell_looked_at(request.user, student)
    found = Report.objects.filter(student=student, sent_at__isnull=False).order_by("-sent_at")
    return render(request, "reports/own.html", {"student": student, "reports": found[:SHOWN]})


def _report_or_404(user: User, report_id: UUID, *, writing: bool) -> Report:
    """A report of a student whose weeks the user sets; once sent, of oneself or one's child."""
    reports = Report.objects.select_related("student__studio", "student__user", "by")
    planned = access.students_planned_by(user)
    found = reports.filter(pk=report_id, student__in=planned).first()
    if found is None and not writing:
        mine = access.students_followed_by(user)
        found = reports.filter(pk=report_id, student__in=mine, sent_at__isnull=False).first()
    if found is None:
        raise Http404
    return found
