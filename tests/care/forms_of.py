"""The forms of a page as a browser reads them: fields with their values, and what sends them."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

SENDERS = {"submit", "image"}
IDLE = {"button", "reset", "file"}  # A file is not chosen here.


@dataclass
class Form:
    address: str  # Of the page it stands on.
    action: str
    method: str
    fields: dict[str, list[str]] = field(default_factory=dict)
    # Each name with every value that can be chosen there.
    choices: dict[str, list[str]] = field(default_factory=dict)
    single: set[str] = field(default_factory=set)  # Of those, where one excludes the others.
    buttons: list[tuple[str, str, str]] = field(default_factory=list)  # Name, value, action.

    def put(self, name: str, value: str) -> None:
        self.fields.setdefault(name, []).append(value)


def links_of(html: str) -> list[str]:
    """Where the page leads by links."""
    reader = _Reader("")
    reader.feed(html)
    return reader.links


class _Reader(HTMLParser):
    def __init__(self, address: str) -> None:
        super().__init__()
        self.address = address
        self.forms: list[Form] = []
        self.named: dict[str, Form] = {}
        self.outside: list[tuple[str, dict[str, str]]] = []  # Those that name their form.
        self.at: Form | None = None
        self.select: tuple[Form, str] | None = None
        self.text: tuple[Form, str] | None = None
        self.words = ""
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        had = {name: value or "" for name, value in attrs}
        if tag == "a" and "href" in had:
            self.links.append(had["href"])
        elif tag == "form":
            method = had.get("method", "get").lower()
            self.at = Form(self.address, had.get("action") or self.address, method)
            self.forms.append(self.at)
            if "id" in had:
                self.named[had["id"]] = self.at
        elif tag in {"input", "button", "select", "textarea", "option"}:
            if "form" in had and had["form"] not in self.named:
                self.outside.append((tag, had))
            elif form := self.named.get(had.get("form", ""), self.at):
                self._control(tag, had, form)

    def _control(self, tag: str, had: dict[str, str], form: Form) -> None:
        name, value = had.get("name", ""), had.get("value", "")
        kind = had.get("type", "submit" if tag == "button" else "text")
        if tag == "option" and self.select:
            owner, chosen = self.select
            owner.choices[chosen].append(value)
            if "selected" in had or not owner.fields.get(chosen):
                owner.fields[chosen] = [value]
        elif tag == "select":
            self._select(form, name, is_single="multiple" not in had)
        elif tag == "textarea":
            self.text, self.words = (form, name), ""
        elif kind in SENDERS:
            form.buttons.append((name, value, had.get("formaction", "")))
        elif kind in {"radio", "checkbox"}:
            self._tick(form, name, value or "on", kind, is_ticked="checked" in had)
        elif kind not in IDLE and tag == "input":
            form.put(name, value)

    def _select(self, form: Form, name: str, *, is_single: bool) -> None:
        self.select = (form, name)
        form.choices[name] = []
        if is_single:
            form.single.add(name)

    def _tick(self, form: Form, name: str, value: str, kind: str, *, is_ticked: bool) -> None:
        form.choices.setdefault(name, []).append(value)
        if kind == "radio":
            form.single.add(name)
        if is_ticked:
            form.put(name, value)

    def handle_data(self, data: str) -> None:
        if self.text:
            self.words += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.at = None
        elif tag == "select":
            self.select = None
        elif tag == "textarea" and self.text:
            self.text[0].put(self.text[1], self.words.strip())
            self.text = None

    def close(self) -> None:
        super().close()
        for tag, had in self.outside:
            if form := self.named.get(had["form"]):
                self._control(tag, had, form)


def forms_of(html: str, address: str) -> list[Form]:
    """Those that are posted, in the order of the page."""
    reader = _Reader(address)
    reader.feed(html)
    reader.close()
    return [form for form in reader.forms if form.method == "post"]
