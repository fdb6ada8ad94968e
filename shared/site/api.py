"""What every endpoint of the API shares: strict JSON in, one shape of error out."""

import math
from typing import Any

from django.http import Http404, HttpResponse
from rest_framework.exceptions import APIException, ErrorDetail, NotFound, ParseError, Throttled
from rest_framework.parsers import JSONParser
from rest_framework.views import exception_handler as usual_handler

from shared.site.middleware import answer_to_trouble


class StrictJSONParser(JSONParser):
    """JSON as RFC 8259 has it: no NaN, and nesting too deep is the sender's error."""

    strict = True

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Any = None) -> Any:
        try:
            return super().parse(stream, media_type, parser_context)
        except (ParseError, RecursionError, ValueError) as error:
            raise ParseError("This is not JSON that can be read.") from error


def exception_handler(error: Exception, context: dict[str, Any]) -> HttpResponse | None:
    """Every refusal as {"code", "detail"}, with the faults per field where there are any."""
    if answer := answer_to_trouble(context["request"], error):
        return answer
    if isinstance(error, Throttled):
        wait = math.ceil(getattr(error, "wait", None) or 1)
        error.detail = ErrorDetail(f"That was too often. Try again in {wait} seconds.", "too_many")
    elif isinstance(error, Http404):
        error = NotFound("There is no such thing, or it is not yours to see.")
    response = usual_handler(error, context)
    if response is None:
        return None
    if isinstance(error, APIException):
        code = error.get_codes()
        if isinstance(code, str):
            response.data = {"code": code, "detail": str(error.detail)}
        else:
            response.data = {
                "code": "invalid",
                "detail": "Some of it cannot be taken.",
                "fields": error.detail,
            }
    if getattr(error, "ended", False):
        response.data["ended"] = True
    return response
