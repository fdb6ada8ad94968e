"""Pages about reminders: choosing them, stopping them from a mail, and whether they run."""

from uuid import UUID
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coaching.reminders import chance, facts, mail, previews, queries, services, starts
from coaching.reminders import sent as what_went
from coaching.reminders.forms import RuleForm
from coaching.reminders.if_then import sentence
from coaching.reminders.models import Silence
from shared.outbox.mail_sender import reaches_nobody
from shared.people import access, undelivered
from shared.people.models import Membership, Student, User
from shared.people.requests import SignedInRequest
from shared.site.together import together


@require_safe
@login_required
def mine(request: SignedInRequest) -> HttpResponse:
    """Whose reminders? Straight on to the only ones there are."""
    choices = queries.students_to_set(request.user)
    teaches = access.teaches(request.user)
    if len(choices) == 1 and not teaches:
        return redirect("reminders:of", choices[0].url_id)
    if not choices and not teaches:
        raise Http404
    context = {
        "choices": choices,
        "teaches": teaches,
        "help": chance.sentences(queries.calls_drawn(request.user)) if teaches else (),
        "evening_on": queries.evening_is_on(request.user),
        "summary_on": queries.summary_is_on(request.user),
        "owns": access.studios_of(request.user, (Membership.Role.OWNER,)).exists(),
    }
    return render(request, "reminders/mine.html", context)


@require_safe
@login_required
def mails(request: SignedInRequest) -> HttpResponse:
    """Every mail of the house, with invented people in it, in the name of the coach's studio."""
    studio = access.studio_or_404(request.user, access.PLANNING)
    shown = previews.previews(studio.name, timezone.now())
    context = {"previews": shown, "nobody": reaches_nobody()}
    return render(request, "reminders/mails.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def of(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    student = access.student_logged_or_404(request.user, student_id)
    rule = services.rule_of(student)
    is_adult = student.born_year is None
    form = RuleForm(
        request.POST or None,
        initial=RuleForm.initial_of(rule),
        is_adult=is_adult,
        first_weekday=student.studio.first_weekday,
        label_suffix="",
    )
    if request.method == "POST" and form.is_valid():
        services.change_rule(student=student, **form.cleaned_data)
        services.end_silence(user=request.user, student=student)
        messages.success(request, "Kept. It holds from now on.")
        return redirect("reminders:of", student_id)
    family = facts.family_asked(student)
    silent = set(Silence.objects.filter(student=student).values_list("user", flat=True))
    heard = [reader for reader in family.readers if reader.pk not in silent]
    context = {
        "form": form,
        "student": student,
        "plan": sentence(rule.plan),
        "start": starts.usual(student, timezone.now()),
        "stopped": chance.is_unheard(rule, request.user),
        "unheard": chance.UNHEARD,
        "is_self": student.user_id == request.user.pk,
        "is_agreed": family.may.answer,
        "reach": ["you" if reader.pk == request.user.pk else str(reader) for reader in heard],
        "all_stopped": bool(family.readers) and not heard,
        "silenced": request.user.pk in silent,
    }
    status = 422 if form.errors else 200
    return render(request, "reminders/of.html", context, status=status)


@require_safe
@login_required
def sent(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """For the coach: what went to this student's readers, what waits, what was opened."""
    student = access.student_cared_for_or_404(request.user, student_id)
    waits = what_went.waiting_asked(student, timezone.now())
    addresses = undelivered.addresses_asked(student)
    together(*waits.rows(), addresses)
    context = {
        "student": student,
        "rows": what_went.sent(student, ZoneInfo(request.user.time_zone)),
        "waiting": what_went.waiting(waits),
        "unreachable": not waits.family.told,
        "undelivered": undelivered.of(addresses.answer),
        "by_file": not settings.EMAIL_BACKEND.endswith("smtp.EmailBackend"),
    }
    return render(request, "reminders/sent.html", context)


@require_POST
@login_required
def none(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """No reminders at all, or again as chosen."""
    student = access.student_logged_or_404(request.user, student_id)
    _stop(request.user, student, off=request.POST.get("off") == "1")
    return redirect("reminders:of", student_id)


@require_POST
@login_required
def summary(request: SignedInRequest) -> HttpResponse:
    if not access.teaches(request.user):
        raise Http404
    services.change_summary(user=request.user, on=request.POST.get("on") == "1")
    return redirect("reminders:mine")


@require_POST
@login_required
def evening(request: SignedInRequest) -> HttpResponse:
    if not access.teaches(request.user):
        raise Http404
    services.change_evening(user=request.user, on=request.POST.get("on") == "1")
    return redirect("reminders:mine")


@csrf_exempt  # A mail program posts it without a cookie (RFC 8058); the signature is the proof.
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def stop(request: HttpRequest, token: str) -> HttpResponse:
    """From a mail, without a sign-in. Opening it changes nothing: scanners open links."""
    try:
        read = mail.read_stop_link(token)
    except mail.StopOver:
        return render(request, "reminders/stop_over.html", status=410)
    if read is None:
        raise Http404
    user, student = read
    if request.method == "POST":
        _stop(user, student, off=request.POST.get("on") != "1")
    context = {"stopped": _is_stopped(user, student), "about_students": student is None}
    return render(request, "reminders/stop.html", context)


def _stop(user: User, student: Student | None, *, off: bool) -> None:
    if student is None:
        services.change_summary(user=user, on=not off)
        if off:
            services.change_evening(user=user, on=False)
    elif off:
        services.silence(user=user, student=student)
    else:
        services.end_silence(user=user, student=student)


def _is_stopped(user: User, student: Student | None) -> bool:
    if student is None:
        return not queries.summary_is_on(user)
    return Silence.objects.filter(user=user, student=student).exists()


@require_safe
@login_required
def running(request: SignedInRequest) -> HttpResponse:
    """For the owner: do reminders tick, and which mails were refused."""
    studio = access.studio_or_404(request.user, (Membership.Role.OWNER,))
    return render(request, "reminders/running.html", {"run": queries.running(request.user, studio)})
