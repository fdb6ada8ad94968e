"""Every sentence that stands in the code and its templates, shown today or not."""

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

from tests.reading.sentences import Sentence, sentences, sentences_of

ROOT = Path(__file__).resolve().parents[2]
# What nobody but a programmer or whoever runs the machine reads, and lists of foreign words.
NOT_FOR_READERS = re.compile(
    r"/migrations/|/management/|^shared/(site|backups|setup|jobs|settings|outside)|^practice/measures/"
    r"|importing/(names|cells|meaning|stems|spaced|preamble)|practice/log/fields|bring/(columns|terms)|^practice/phone/(schema|shell)|^coaching/transfer/"
    r"|records/(text|kinds)\.py|compliance/credit"
)
# These print below “How was this worked out?” alone.
FOLDED = {
    "coaching/board/figures.py",
    "coaching/board/rules/trend_text.py",
    "coaching/forecast/deciding.py",
    "coaching/track_record/queries.py",
    "practice/compliance/note_text.py",
    "practice/numbers/speed/pages.py",
}


def of_code() -> Iterator[tuple[str, Sentence]]:
    for path in sorted(ROOT.glob("*/**/*.py")):
        name = str(path.relative_to(ROOT))
        is_ours = name.startswith(("coaching/", "practice/", "shared/"))
        if is_ours and not NOT_FOR_READERS.search(name):
            for text in _strings(ast.parse(path.read_text())):
                found = sentences(text, name in FOLDED)
                yield from ((name, each) for each in found if each.is_whole)


def _strings(tree: ast.AST) -> Iterator[str]:
    inner: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) or _is_a_programmers(node):  # A docstring.
            inner |= {id(each) for each in ast.walk(node)}
        elif id(node) not in inner and isinstance(node, ast.JoinedStr):
            inner |= {id(each) for each in ast.walk(node)}
            yield "".join(_part(each) for each in node.values)
        elif id(node) not in inner and _is_text(node):
            yield node.value


def _is_text(node: ast.AST) -> bool:
    value = getattr(node, "value", None)
    return isinstance(node, ast.Constant) and isinstance(value, str) and " " in value.strip()


def _is_a_programmers(node: ast.AST) -> bool:
    """What is raised at whoever calls it wrongly."""
    if not isinstance(node, ast.Raise) or not isinstance(node.exc, ast.Call):
        return False
    return getattr(node.exc.func, "id", "") in {"ValueError", "TypeError", "BadData", "KeyError"}


def _part(node: ast.expr) -> str:
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else "Sam"


TAGS = (
    (re.compile(r"{%\s*comment.*?endcomment\s*%}|{#.*?#}", re.DOTALL), ""),
    (re.compile(r"{%\s*(?:elif|else|empty).*?%}", re.DOTALL), "</p><p>"),
    (re.compile(r"{{.*?pluralize.*?}}|{{.*?possessive.*?}}", re.DOTALL), ""),
    (re.compile(r"{{.*?}}", re.DOTALL), "Sam"),
    (re.compile(r"{%.*?%}", re.DOTALL), ""),
)


def of_templates() -> Iterator[tuple[str, Sentence]]:
    for path in sorted((ROOT / "templates").rglob("*")):
        if path.suffix not in {".html", ".txt"}:
            continue
        text = path.read_text()
        for pattern, instead in TAGS:
            text = pattern.sub(instead, text)
        for each in sentences_of(text):
            if each.is_whole:
                yield str(path.relative_to(ROOT)), each


def of_shelf() -> Iterator[tuple[str, Sentence]]:
    """The drills, tests and weeks that come with the house."""
    for path in sorted(ROOT.glob("practice/**/*.toml")):
        for text in _texts(tomllib.loads(path.read_text())):
            for each in sentences(text):
                yield str(path.relative_to(ROOT)), each


def _texts(value: object) -> Iterator[str]:
    """Of whatever TOML says; a caution is read as one: when, stop, who."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict) and set(value) == {"when", "stop", "who"}:
        yield f"{value['when']} {value['stop']} {value['who']}"
    elif isinstance(value, dict | list):
        for each in value.values() if isinstance(value, dict) else value:
            yield from _texts(each)
