"""A stored file as an answer, whole or by ranges (RFC 9110, section 14), so that video seeks."""

import re
from collections.abc import Iterator

from django.core.files.base import File
from django.http import (
    FileResponse,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    StreamingHttpResponse,
)
from django.http.response import HttpResponseNotModified
from django.utils.http import parse_etags

CHUNK = 64 * 1024
_RANGE = re.compile(r"bytes=(\d{0,15})-(\d{0,15})", re.ASCII)


def answer(
    request: HttpRequest, file: "File[bytes]", *, kind: str, tag: str, name: str
) -> HttpResponseBase:
    """The file with a fixed type; access has been decided before this is called."""
    size = file.size
    etag = f'"{tag}"'
    headers = {
        "Content-Disposition": f'inline; filename="{name}"',
        "Content-Security-Policy": "sandbox; default-src 'none'",
        "X-Content-Type-Options": "nosniff",
        "Cache-Control": "private, max-age=0, must-revalidate",
        "Accept-Ranges": "bytes",
        "ETag": etag,
    }
    if _has_it(request.headers.get("If-None-Match", ""), etag):
        file.close()
        return HttpResponseNotModified(headers={"ETag": etag})
    asked = request.headers.get("Range", "")
    if asked and request.headers.get("If-Range", etag) == etag:
        found = byte_range(asked, size)
        if found == (-1, -1):
            file.close()
            return HttpResponse(status=416, headers={"Content-Range": f"bytes */{size}"})
        if found is not None:
            first, last = found
            content = _Part(file, first, last)
            part = StreamingHttpResponse(
                content, status=206, content_type=str(kind), headers=headers
            )
            part["Content-Range"] = f"bytes {first}-{last}/{size}"
            part["Content-Length"] = str(last - first + 1)
            return part
    whole = headers | {"Content-Length": str(size)}
    # Said, or Django would guess it from the name.
    return FileResponse(file, filename=name, content_type=str(kind), headers=whole)


def _has_it(known: str, etag: str) -> bool:
    """Whether the browser holds these very bytes (RFC 9110, 13.1.2: compared weakly)."""
    return known.strip() == "*" or etag in parse_etags(known.replace("W/", ""))


def byte_range(text: str, size: int) -> tuple[int, int] | None:
    """First and last byte of a single range; None to answer whole; (-1, -1) if it cannot be.

    Several ranges, and what is no range of bytes, are answered whole, as the standard allows.
    """
    match = _RANGE.fullmatch(text.strip())
    if match is None or match[1] == match[2] == "":
        return None
    if match[1] == "":
        length = min(int(match[2]), size)
        return (size - length, size - 1) if length else (-1, -1)
    first = int(match[1])
    last = min(int(match[2]), size - 1) if match[2] else size - 1
    if match[2] and int(match[2]) < first:
        return None
    return (first, last) if first < size else (-1, -1)


class _Part:
    """Some bytes of a file; closed with the answer, read or not."""

    def __init__(self, file: "File[bytes]", first: int, last: int) -> None:
        self.file, self.first, self.left = file, first, last - first + 1

    def __iter__(self) -> Iterator[bytes]:
        self.file.seek(self.first)
        while self.left > 0 and (chunk := self.file.read(min(CHUNK, self.left))):
            self.left -= len(chunk)
            yield chunk

    def close(self) -> None:
        self.file.close()
