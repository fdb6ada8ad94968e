"""What the API takes and answers, the same for everybody: made once a process, sent compressed."""

import hashlib
from functools import cache
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import condition, require_safe
from drf_spectacular.generators import SchemaGenerator
from rest_framework.renderers import JSONRenderer

MEDIA_TYPE = "application/vnd.oai.openapi+json"


@cache
def _schema() -> bytes:
    generator: Any = SchemaGenerator  # The library gives it no types.
    made: bytes = JSONRenderer().render(generator().get_schema(public=True))
    return made


@cache
def _tag() -> str:
    return f'"{hashlib.sha256(_schema()).hexdigest()[:20]}"'


@require_safe
@gzip_page
@condition(etag_func=lambda _request: _tag())
def schema(_request: HttpRequest) -> HttpResponse:
    return HttpResponse(_schema(), content_type=MEDIA_TYPE)
