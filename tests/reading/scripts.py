"""What scripts say: their strings, and their templates, which are read as pages.

A reader of strings, comments, patterns and templates, and of nothing else of the language.
"""

import re
from collections.abc import Iterator

from tests.reading.sentences import Sentence, sentences, sentences_of
from tests.reading.source import ROOT

FOLDERS = ("practice/phone/shell", "static/js")
# A stroke after one of these begins a pattern; after anything else it divides.
BEFORE_A_PATTERN = re.compile(r"(?:[(,=:\[!&|?{;+]|=>|\breturn)\s*$")
PATTERN = re.compile(r"/(?:\\.|\[(?:\\.|[^\]\\])*\]|[^/\\\[])+/[a-z]*")
COMMENT = re.compile(r"//[^\n]*|/\*.*?\*/", re.DOTALL)
STRING = re.compile(r'"((?:\\.|[^"\\])*)"|\'((?:\\.|[^\'\\])*)\'')
MARKUP = re.compile(r"(?<![\w$])h$")
SAID_INSTEAD = "Sam"  # As in templates: what stands here is somebody's or something's name.


class Script:
    """A script's texts, each with whether it is markup, in the order in which they end."""

    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.found: list[tuple[str, bool]] = []
        self._code()
        assert self.at == len(text), f"read to {self.at} of {len(text)}"

    def _code(self) -> None:
        """To the bracket that closes what was opened before, or to the end."""
        depth = 0
        while self.at < len(self.text):
            here = self.text[self.at]
            if match := self._match():
                self.at = match.end()
            elif here == "`":
                self._template()
            else:
                depth += {"{": 1, "}": -1}.get(here, 0)
                if depth < 0:
                    return
                self.at += 1

    def _match(self) -> re.Match[str] | None:
        """A comment, a string or a pattern that begins here."""
        if found := COMMENT.match(self.text, self.at):
            return found
        if found := STRING.match(self.text, self.at):
            self.found.append((found[1] or found[2] or "", False))
            return found
        before = self.text[max(0, self.at - 40) : self.at]
        if self.text[self.at] == "/" and BEFORE_A_PATTERN.search(before):
            return PATTERN.match(self.text, self.at)
        return None

    def _template(self) -> None:
        is_markup = bool(MARKUP.search(self.text[max(0, self.at - 2) : self.at]))
        said, self.at = "", self.at + 1
        while (here := self.text[self.at]) != "`":
            if self.text.startswith("${", self.at):
                self.at += 2
                self._code()
                said += SAID_INSTEAD
                self.at += 1
            else:
                said += self.text[self.at : self.at + 2] if here == "\\" else here
                self.at += 2 if here == "\\" else 1
        self.at += 1
        self.found.append((said, is_markup))


def said_by(text: str) -> Iterator[Sentence]:
    """Whatever stands in a script and may be read: a word alone is a name in the code."""
    for said, is_markup in Script(text).found:
        if is_markup:
            yield from sentences_of(said)
        elif " " in said.strip():
            yield from sentences(said)


def of_scripts(*, whole: bool = True) -> Iterator[tuple[str, Sentence]]:
    """What every script of ours says: its sentences, or its labels too."""
    for path in sorted(path for folder in FOLDERS for path in (ROOT / folder).glob("*.js")):
        name = str(path.relative_to(ROOT))
        said = said_by(path.read_text())
        yield from ((name, each) for each in said if each.is_whole or not whole)
