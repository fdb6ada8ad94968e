"""Work that waits until the answer has been sent, so that its time tells the asker nothing."""

import logging
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

logger = logging.getLogger(__name__)
KEY = "shared.after"


def after_answer(request: HttpRequest, work: Callable[[], object]) -> None:
    """Do it in this process once the answer is out. A failure is logged; nobody hears of it."""
    request.META.setdefault(KEY, []).append(work)


class AfterAnswer:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        for work in request.META.get(KEY, ()):
            closers: list[Callable[[], object]] = response._resource_closers  # type: ignore[attr-defined]  # noqa: SLF001
            closers.append(_logged(work))  # Django has no public place for it.
        return response


def _logged(work: Callable[[], object]) -> Callable[[], object]:
    def run() -> None:
        try:
            work()
        except Exception:
            logger.exception("Work after an answer failed")

    return run
