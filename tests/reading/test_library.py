"""No sentence of a library reaches a reader: each is said in our words, in shared/locale."""

import gettext
import importlib
import re
from pathlib import Path

import allauth
import django
import pytest
from django import forms
from django.contrib.messages.storage.base import BaseStorage
from django.test import Client

from tests.reading.sentences import sentences_of
from tests.test_routes import (
    ALL,
    address,
    asked,
    cast,  # noqa: F401 (a fixture)
    methods_of,
    put_back,
)

ROOT = Path(__file__).resolve().parents[2]
OURS = ROOT / "shared/locale/en/LC_MESSAGES"
MESSAGE = re.compile(r'^msgid(?:_plural)? ((?:".*"\n)+)', re.MULTILINE)
PLACEHOLDER = re.compile(r"%(?:\\\()?(?:\w+\\?\))?[sdr]|\\\{\w*\\\}")
SENTENCE = re.compile(r"[A-Z“].*\s.*\.$", re.DOTALL)
# What stands in the libraries' lists and is said by us in the same words.
PLAIN = {"Too many failed login attempts. Try again later."}


def messages(path: Path) -> set[str]:
    found = MESSAGE.findall(path.read_text())
    texts = ("".join(re.findall(r'"(.*)"', each)) for each in found)
    return {text.replace('\\"', '"').replace("\\n", "\n") for text in texts if text}


def of_libraries() -> set[str]:
    """Every sentence in the catalogues of those whose forms and errors are shown."""
    places = [Path(package.__file__).parent for package in (django, allauth)]
    paths = [
        places[0] / "conf/locale/en/LC_MESSAGES/django.po",
        places[0] / "contrib/auth/locale/en/LC_MESSAGES/django.po",
        places[1] / "locale/de/LC_MESSAGES/django.po",  # Any: the same in each.
    ]
    return {text for path in paths for text in messages(path) if SENTENCE.match(text)}


@pytest.fixture(scope="module")
def library() -> re.Pattern:
    """Whatever stands in their places."""
    texts = sorted(of_libraries())
    assert len(texts) > 200
    return re.compile("|".join(PLACEHOLDER.sub(".{0,80}?", re.escape(text)) for text in texts))


def forms_of_ours() -> list[type[forms.BaseForm]]:
    for path in (*ROOT.glob("*/**/*form*.py"), *ROOT.glob("*/**/*inputs.py")):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        if name.startswith(("shared.", "practice.", "coaching.")) and "migrations" not in name:
            importlib.import_module(name)
    found, waiting = [], [forms.BaseForm]
    while waiting:
        waiting += (kinds := waiting.pop().__subclasses__())
        found += [each for each in kinds if each.__module__.startswith(OUR_ROOTS)]
    return found


OUR_ROOTS = ("shared.", "practice.", "coaching.")


def test_no_field_refuses_in_a_library_s_words(library):
    kinds = forms_of_ours()
    assert len(kinds) > 40
    faults = set()
    for kind in kinds:
        for name, each in getattr(kind, "base_fields", {}).items():
            checks = [getattr(check, "message", "") for check in each.validators]
            for said in (*each.error_messages.values(), *checks):
                if library.fullmatch(str(said)):
                    faults.add(f"{said} ({kind.__name__}.{name})")
    assert not faults, "\n".join(sorted(faults))


def test_no_list_begins_with_dashes():
    """A choice that is still open says so in words."""
    dashed = {
        f"{kind.__name__}.{name}"
        for kind in forms_of_ours()
        for name, each in getattr(kind, "declared_fields", {}).items()
        if isinstance(each, forms.ModelChoiceField) and each.empty_label
        if set(each.empty_label) == {"-"}
    }
    assert not dashed


def test_the_compiled_words_are_the_written_ones():
    """msgfmt -o django.mo django.po, after each change."""
    with (OURS / "django.mo").open("rb") as file:
        known = gettext.GNUTranslations(file)
    written = re.findall(r'^msgid "(.+)"$', (OURS / "django.po").read_text(), re.MULTILINE)
    assert len(written) > 50
    same = [text for text in written if known.gettext(text) == text]
    assert not [text for text in same if known.ngettext(text, text, 2) == text]


@pytest.fixture
def kept_words(monkeypatch) -> list[str]:
    """What was said to the next page, which is not looked at."""
    said, add = [], BaseStorage.add

    def added(storage, level, message, *more):
        said.append(str(message))
        add(storage, level, message, *more)

    monkeypatch.setattr(BaseStorage, "add", added)
    return said


@pytest.mark.django_db
@pytest.mark.parametrize("actor", ["owner", "coach", "student", "guardian", "anonymous"])
def test_no_page_refuses_in_a_library_s_words(cast, actor, library, kept_words):  # noqa: F811
    """Every address is sent nothing, then nonsense; whatever it says to that is ours."""
    clients, _, things = cast
    client, faults, told = clients[actor], set(), 0
    for name, route in ALL.items():
        path = address(route, things)
        is_ours = path.startswith("/api/") or name.startswith("health:")
        if is_ours or "post" not in methods_of(path):  # Nobody is told a word there.
            continue
        typed = nonsense(asked(client, "get", path))
        for data in ({}, typed) if typed else ({},):
            answer = posted(client, path, data)
            if answer.streaming or not answer.get("Content-Type", "").startswith("text/html"):
                continue
            for said in sentences_of(answer.content.decode()):
                told += 1
                if library.fullmatch(said.text):
                    faults.add(f"{name}: {said.text}")
    assert told > 100
    assert kept_words or actor == "anonymous"
    faults |= {f"On the next page: {said}" for said in kept_words if library.fullmatch(said)}
    assert not faults, "\n".join(sorted(faults))


def posted(client: Client, path: str, data: dict[str, str]):
    cookies = client.cookies.copy()
    with put_back():
        answer = client.post(path, data)
    client.cookies = cookies
    return answer


def nonsense(page) -> dict[str, str]:
    """Something that fits nowhere, in every field that the page has."""
    if page.streaming or not page.get("Content-Type", "").startswith("text/html"):
        return {}
    names = re.findall(r'<(?:input|textarea|select)\b[^>]*\bname="([^"]+)"', page.content.decode())
    return {
        name: "~ no such thing ~ 99999999999" for name in names if name != "csrfmiddlewaretoken"
    }
