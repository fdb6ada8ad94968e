"""How phones reach this studio: chosen, tried and proven."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shared.people import access, limits, ready
from shared.people.address_form import AddressChoice
from shared.people.models import Membership
from shared.people.pictures import qr_code
from shared.people.requests import SignedInRequest
from shared.site import certificates, errors, reach

OWNING = (Membership.Role.OWNER,)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def address(request: SignedInRequest) -> HttpResponse:
    """The owner chooses; `manage.py serve` sees it and begins anew with it."""
    access.studio_or_404(request.user, OWNING)
    form = AddressChoice(request.POST or None)
    if request.method == "POST" and form.may_choose and form.is_valid():
        chosen = form.reach()
        reach.keep(settings.DATA_DIR, chosen)
        return render(request, "people/address_kept.html", shown(chosen.url, chosen.tls))
    context = shown(settings.SITE_URL, settings.REACH.tls) | {
        "form": form,
        "ticks": ready.ticks(),
        "try_link": ready.link_to_prove(ready.What.PHONE),
    }
    context["try_picture"] = qr_code(str(context["try_link"]))
    return render(request, "people/address.html", context)


def shown(url: str, tls: str) -> dict[str, object]:
    """What the pages say of an address."""
    trust = reach.trust_url(url, tls)
    return {
        "url": url,
        "only_here": reach.is_only_here(url),
        "without_signal": url.startswith("https://"),
        "trust": trust,
        "trust_picture": qr_code(trust) if trust else "",
    }


@require_POST
@login_required
def test_mail(request: SignedInRequest) -> HttpResponse:
    access.studio_or_404(request.user, OWNING)
    if not limits.may(request, "invitation_mail", request.user.email):
        return errors.too_many(request)
    ready.send_test_mail(request.user)
    messages.success(request, "The test mail is written. Below it says what becomes of it.")
    return redirect("address")


@never_cache
@require_http_methods(["GET"])
def proved(request: HttpRequest, token: str) -> HttpResponse:
    """A phone, or a test mail, has brought somebody here."""
    what = ready.prove(token)
    if what is None:
        raise Http404
    context = {"is_phone": what == ready.What.PHONE, "without_signal": request.is_secure()}
    return render(request, "people/proved.html", context)


@require_safe
def trust(request: HttpRequest) -> HttpResponse:
    """How a phone comes to trust this machine's own certificate; open without TLS."""
    if settings.REACH.tls != reach.OWN_CERTIFICATE:
        raise Http404
    return render(request, "people/trust.html", {"url": settings.SITE_URL})


@require_safe
def authority(request: HttpRequest) -> HttpResponse:
    """The authority's certificate, as phones take it in."""
    if settings.REACH.tls != reach.OWN_CERTIFICATE:
        raise Http404
    pem = certificates.authority_file(settings.DATA_DIR).read_bytes()
    answer = HttpResponse(pem, content_type="application/x-x509-ca-cert")
    answer["Content-Disposition"] = 'attachment; filename="between-lessons.crt"'
    return answer
