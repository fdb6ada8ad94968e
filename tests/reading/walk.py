"""Every page that can be reached from the first one, by whom it is read."""

from collections.abc import Iterator
from html import unescape
from urllib.parse import urlsplit

from django.urls import Resolver404, resolve

from tests.test_no_island import LINK


def walk(client, *, alike: int) -> Iterator[tuple[str, str, str]]:
    """The address's name, the path and the page; of one address, so many pages."""
    counts: dict[str, int] = {}
    seen, waiting = set(), ["/"]
    while waiting:
        path = waiting.pop(0)
        if path in seen:
            continue
        seen.add(path)
        try:
            name = resolve(urlsplit(path).path).view_name
        except Resolver404:
            continue
        if counts.get(name, 0) >= alike or name in {"account_logout", "demo:load"}:
            continue
        counts[name] = counts.get(name, 0) + 1
        answer = client.get(path, headers={"sec-fetch-site": "same-origin"})
        if answer.status_code in {301, 302}:
            waiting.append(answer["Location"])
        elif answer.get("Content-Type", "").startswith("text/html") and not answer.streaming:
            page = answer.content.decode()
            yield name, path, page
            links = map(unescape, LINK.findall(page))
            waiting += [at for at in links if at.startswith("/") and not at.startswith("//")]
        elif answer.streaming:
            b"".join(answer.streaming_content)  # To its end: a clip's file stays open else.
