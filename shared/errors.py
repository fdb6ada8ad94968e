"""Pages for what went wrong, in words that say what to do."""

from django.http import HttpRequest, HttpResponse, JsonResponse

from shared.middleware import refusal, wants_json


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    title = "This page was open too long. Go back, reload it and send again."
    return refusal(request, 403, "csrf", title)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    title = "There is no such page, or it is not yours to see."
    return refusal(request, 404, "not_found", title)


def server_error(request: HttpRequest) -> HttpResponse:
    said = "Something went wrong on our side. What you saved before is safe. Try again in a moment."
    if wants_json(request):
        return JsonResponse({"code": "fault", "detail": said}, status=500)
    return HttpResponse(said, status=500, content_type="text/plain; charset=utf-8")


def too_many(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    title = "Too many tries. Wait five minutes, then try again."
    response = refusal(request, 429, "too_many", title)
    response["Retry-After"] = "300"
    return response
