"""The forms of a page, as a browser would send them."""

from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass
class Form:
    """One form: where it goes, how, what it holds as it stands, and what it offers."""

    action: str
    method: str
    holds: dict[str, list[str]] = field(default_factory=dict)
    kinds: dict[str, str] = field(default_factory=dict)
    offers: dict[str, list[str]] = field(default_factory=dict)

    def offer(self, name: str, value: str) -> None:
        self.offers.setdefault(name, []).append(value)

    def put(self, name: str, kind: str, value: str | None) -> None:
        if name and name != "csrfmiddlewaretoken":
            self.kinds.setdefault(name, kind)
            held = self.holds.setdefault(name, [])
            if value is not None:
                held.append(value)


class _Reader(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.page, self.found = page, []
        self.form = self.select = self.area = None
        self.text = ""

    def handle_starttag(self, tag, attrs):
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.form = Form(given.get("action") or self.page, given.get("method", "get").lower())
            self.found.append(self.form)
        elif self.form is None:
            return
        elif tag in {"input", "button"}:
            kind = given.get("type", "text" if tag == "input" else "submit")
            self.form.offer(given.get("name", ""), given.get("value", ""))
            on = kind not in {"checkbox", "radio"} or "checked" in given
            self.form.put(given.get("name", ""), kind, given.get("value", "on") if on else None)
        elif tag == "textarea":
            self.area, self.text = given.get("name", ""), ""
        elif tag == "select":
            self.select = given.get("name", "")
            self.form.put(self.select, "select", None)
        elif tag == "option" and self.select:
            self.form.offer(self.select, given.get("value", ""))
            if "selected" in given:
                self.form.put(self.select, "select", given.get("value", ""))

    def handle_data(self, data):
        if self.area is not None:
            self.text += data

    def handle_endtag(self, tag):
        if tag == "form":
            self.form = None
        elif tag == "textarea" and self.form is not None and self.area is not None:
            self.form.put(self.area, "textarea", self.text.strip())
            self.area = None
        elif tag == "select":
            self.select = None


def forms_of(page: str, html: str) -> list[Form]:
    """Every form of a page."""
    reader = _Reader(page)
    reader.feed(html)
    return reader.found
