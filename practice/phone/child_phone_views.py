"""A child's own phone: the guardian's page that offers it, and the device's that takes it."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from practice.log.models import PhoneOffer
from practice.phone import child_phones, keys, push
from practice.phone.handing_over import hand_over
from shared.people import access, known_devices, limits, ready
from shared.people.device_text import device_words
from shared.people.models import Student
from shared.people.pictures import qr_code
from shared.people.requests import SignedInRequest
from shared.people.sessions import DEVICE, PHONE
from shared.site import errors

BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def phones(request: SignedInRequest, student_id: UUID) -> HttpResponse:
    """The child's phones, each with its End; a button makes an offer, shown this once."""
    student = access.child_or_404(request.user, student_id)
    if not child_phones.may_have(student):
        raise Http404
    context = {"student": student, "phones": _rows(student)}
    if request.method == "POST":
        shown = child_phones.offer(student=access.recordable(student), by=request.user)
        context |= {"offer": shown, "picture": qr_code(shown.link)}
    return render(request, "phone/child_phones.html", context)


def _rows(student: Student) -> list[dict[str, object]]:
    found = child_phones.phones_of(student).select_related("push_device")[: keys.MOST_PER_STUDENT]
    return [
        {
            "id": key.pk,
            "device": device_words(key.device),
            "since": key.made_at,
            "used": key.last_used_at,
            "reminds": push.is_nudged(key),
        }
        for key in found
    ]


@require_POST
@login_required
def end_phone(request: SignedInRequest, student_id: UUID, key_id: UUID) -> HttpResponse:
    student = access.child_or_404(request.user, student_id)
    if not keys.end(child_phones.phones_of(student).filter(pk=key_id)):
        raise Http404
    messages.success(request, "That phone shows nothing any more. What waits on it stays there.")
    return redirect("log:child_phones", student_id)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def by_code(request: HttpRequest) -> HttpResponse:
    """Six digits, typed on the device."""
    if request.method != "POST":
        return render(request, "phone/phone_code.html")
    if not limits.may(request, "phone_code", "all"):
        return errors.too_many(request)
    try:
        return _take(request, child_phones.by_code(request.POST.get("code", "")[:20]))
    except child_phones.OfferOver:
        return render(request, "phone/phone_code.html", {"is_wrong": True}, status=422)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def by_link(request: HttpRequest, link: str) -> HttpResponse:
    """A button first, so that nothing that looks ahead takes the offer."""
    try:
        found = child_phones.by_link(link)
        if request.method != "POST":
            return render(request, "phone/take_phone.html", {"name": found.student.name})
        return _take(request, found)
    except child_phones.OfferOver:
        return render(request, "phone/link_over.html", {"is_phone": True}, status=410)


def _take(request: HttpRequest, found: PhoneOffer) -> HttpResponse:
    """This device is the child's from now on: signed in by its key, and by nothing else."""
    answer = redirect("log:shell")
    browser = known_devices.remember(request, answer).id
    device = request.headers.get("User-Agent", "")
    secret, key = child_phones.take(found, device=device, browser=browser)
    login(request, key.user, backend=BACKEND)
    request.session[PHONE] = str(key.pk)
    request.session[DEVICE] = device_words(device)
    request.session.set_expiry(keys.LIFETIME)
    known_devices.tell_page(answer, key.user_id)
    ready.note_phone(request)
    return hand_over(answer, found.student, secret, is_own=True)
