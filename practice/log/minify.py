"""Make our own scripts short: no comments, no needless space, short names for our own names.

Made for the phone's scripts and no others: they end statements with semicolons,
and keep no name of ours in a string. Within one statement of the top level the
same name always becomes the same short name and two names never become one, so
no binding can change; names of the top level are the same everywhere. A name that
is also written as a shorthand property (`{ name }`) keeps its own: there it is data.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise, product
from string import ascii_letters, ascii_lowercase, ascii_uppercase

_TOKEN = re.compile(
    r"""(?P<space>\s+)|(?P<comment>//[^\n]*|/\*.*?\*/)
    |(?P<text>"(?:\\.|[^"\\])*"|'(?:\\.|[^'\\])*')
    |(?P<name>[A-Za-z_$][\w$]*)|(?P<number>\d[\w.]*)
    |(?P<mark>=>|\?\.(?!\d)|\.\.\.|\+\+|--|[-+*/%&|=!<>?^~]+|[{}()\[\];,.:])""",
    re.VERBOSE | re.DOTALL,
)
_PATTERN = re.compile(r"/(?![*/])(?:\\.|\[(?:\\.|[^\]\\])*\]|[^/\\\n])+/[a-z]*")
_TEMPLATE_TEXT = re.compile(r"(?:\\.|\$(?!\{)|[^`\\$])*", re.DOTALL)
_WORDS = frozenset(
    [
        "async",
        "await",
        "break",
        "case",
        "catch",
        "class",
        "const",
        "continue",
        "default",
        "delete",
        "do",
        "else",
        "export",
        "extends",
        "finally",
        "for",
        "from",
        "function",
        "get",
        "if",
        "import",
        "in",
        "instanceof",
        "let",
        "new",
        "of",
        "return",
        "self",
        "static",
        "super",
        "switch",
        "this",
        "throw",
        "true",
        "false",
        "null",
        "undefined",
        "try",
        "typeof",
        "var",
        "void",
        "while",
        "yield",
    ]
)

Token = tuple[str, str]


def tokens(source: str) -> list[Token]:
    """The kinds and texts of a script's tokens, those inside template literals too.

    Raises ValueError at a character that begins nothing we write.
    """
    return list(_scan(source, 0, [])) if source else []


def _scan(source: str, at: int, braces: list[str]) -> Iterator[Token]:
    """`braces` remembers for each open brace whether it belongs to a template."""
    before = ""
    while at < len(source):
        kind, text = _next(source, at, before)
        at += len(text)
        if text == "`" or (text == "}" and braces and braces[-1] == "`"):
            if text == "}":
                braces.pop()
            inner = _TEMPLATE_TEXT.match(source, at)
            piece = text + (inner[0] if inner else "")
            at += len(piece) - 1
            if source.startswith("${", at):
                braces.append("`")
                piece, at = piece + "${", at + 2
            else:
                piece, at = piece + "`", at + 1
            yield "template", piece
            before = piece
            continue
        if text == "{":
            braces.append("{")
        elif text == "}":
            braces.pop()
        if kind not in {"space", "comment"}:
            yield kind, text
            before = text


def _next(source: str, at: int, before: str) -> Token:
    if source[at] == "`":
        return "template", "`"
    # A slash after an operator begins a pattern; after a value it divides.
    may_begin = not before or before[-1] in "(,=:[!&|?{};>" or before == "return"
    if source[at] == "/" and may_begin and (pattern := _PATTERN.match(source, at)):
        return "pattern", pattern[0]
    match = _TOKEN.match(source, at)
    if match is None or match.lastgroup is None:
        raise ValueError(f"Cannot read the script at: {source[at : at + 40]!r}")
    return match.lastgroup, match[0]


def minified(source: str) -> str:
    return minified_together([source])[0]


def minified_together(sources: Sequence[str]) -> list[str]:
    """Several scripts of one page: each by itself, with the same names for the same things."""
    found = [tokens(source) for source in sources]
    whole = short_names([token for script in found for token in script])
    return [_shortened(script, whole) for script in found]


def _shortened(found: list[Token], whole: dict[str, str]) -> str:
    out: list[Token] = []
    for part in statements(found):
        out += renamed(part, whole | local_names(part, whole))
    return joined(list(merged(list(bare(out)))))


def bare(found: list[Token]) -> Iterator[Token]:
    """The one plain parameter of an arrow function without its brackets."""
    skipped: set[int] = set()
    for at, token in enumerate(found):
        after = [text for _, text in found[at + 1 : at + 4]]
        if token[1] == "(" and after[1:] == [")", "=>"] and found[at + 1][0] == "name":
            skipped |= {at, at + 2}
        if at not in skipped:
            yield token


def statements(found: list[Token]) -> Iterator[list[Token]]:
    """The script cut at the ends of its top-level statements."""
    start = depth = 0
    for at, (kind, text) in enumerate(found):
        if kind == "template":
            depth += text.endswith("${") - text.startswith("}")
        elif kind == "mark":
            depth += (text in {"{", "(", "["}) - (text in {"}", ")", "]"})
        block = text == "}" and found[start][1] in {"function", "async", "class"}
        if depth == 0 and (text == ";" or block):
            yield found[start : at + 1]
            start = at + 1
    if start < len(found):
        yield found[start:]


def merged(found: list[Token]) -> Iterator[Token]:
    """`let` for every declaration, and one for those that follow each other."""
    begins: list[str] = [""]  # The first word of the statement under way, per open bracket.
    skip = False
    for at, (kind, text) in enumerate(found):
        word = "let" if text == "const" else text
        if skip:
            skip = False
            continue
        if kind == "template" or word in {"{", "(", "[", "}", ")", "]"}:
            if word[0] in "})]":
                begins.pop()
            if word in {"{", "(", "["} or word.endswith("${"):
                begins[-1] = begins[-1] or word
                begins.append("")
        elif word == ";":
            following = found[at + 1][1] if at + 1 < len(found) else ""
            if begins[-1] == "let" and following in {"let", "const"}:
                skip = True
                yield kind, ","
                continue
            begins[-1] = ""
        begins[-1] = begins[-1] or word
        if word == ";":
            begins[-1] = ""
        yield kind, word


def joined(found: list[Token]) -> str:
    """One space only where two tokens would run into one."""
    out: list[str] = []
    for at, (_, text) in enumerate(found):
        following = found[at + 1][1] if at + 1 < len(found) else ""
        if (text == ";" and following == "}") or (text == "," and following in {")", "]", "}"}):
            continue
        last = out[-1][-1] if out else ""
        if (re.match(r"[\w$]", text) and re.match(r"[\w$]", last)) or (
            last and last in "+-" and text[0] == last
        ):
            out.append(" ")
        out.append(text)
    return "".join(out)


def _places(found: list[Token]) -> Iterator[tuple[int, str, str]]:
    """Every name: where it stands, its text, and what it is there: free, key, shorthand."""
    open_marks: list[str] = []
    for at, (kind, text) in enumerate(found):
        before = found[at - 1][1] if at else ""
        after = found[at + 1][1] if at + 1 < len(found) else ""
        if kind == "name":
            in_braces = bool(open_marks) and open_marks[-1] == "{" and before in {"{", ","}
            if before in {".", "?."} or (in_braces and after == ":"):
                yield at, text, "key"
            elif in_braces and after in {",", "}", "="}:
                yield at, text, "shorthand"
            else:
                yield at, text, "free"
        elif text in {"{", "(", "["} or text.endswith("${"):
            if text.startswith("}"):
                open_marks.pop()
            open_marks.append("$" if text.endswith("${") else text)
        elif text in {"}", ")", "]"} or (kind == "template" and text.startswith("}")):
            open_marks.pop()


def _declared(found: list[Token]) -> set[str]:
    """Names that follow const, let or function, or stand among a function's parameters."""
    names = set()
    for at, (kind, text) in enumerate(found):
        if kind != "name" or text in _WORDS:
            continue
        before = found[at - 1][1] if at else ""
        after = found[at + 1][1] if at + 1 < len(found) else ""
        if before in {"const", "let", "function", "class"} or after == "=>":
            names.add(text)
    return names | _parameters(found)


def _parameters(found: list[Token]) -> set[str]:
    names: set[str] = set()
    opened: list[int] = []
    for at, (_, text) in enumerate(found):
        if text == "(":
            opened.append(at)
        elif text == ")":
            start = opened.pop()
            is_arrow = at + 1 < len(found) and found[at + 1][1] == "=>"
            if is_arrow or _is_function(found, start):
                names |= _top_names(found[start + 1 : at])
    return names


def _is_function(found: list[Token], start: int) -> bool:
    before = [text for _, text in found[max(0, start - 2) : start]]
    return "function" in before


def _top_names(found: list[Token]) -> set[str]:
    inside = [("mark", ","), *found]
    pairs = pairwise(inside)
    return {
        text for (_, before), (kind, text) in pairs if kind == "name" and before in {",", "..."}
    }


def short_names(found: list[Token]) -> dict[str, str]:
    """Names of the top level: the most used get capitals, the others two letters.

    A name that stays as it is anywhere (data, or not ours) is mapped to itself.
    """
    places = list(_places(found))
    free = Counter(text for _, text, role in places if role == "free")
    fixed = {text for _, text, role in places if role == "shorthand"} | _WORDS
    fixed |= set(free) - _declared(found)
    ours = _top_level(found) - fixed
    fresh = (name for name in _fresh(ascii_uppercase, ascii_letters) if name not in fixed)
    most_used = (name for name, _ in free.most_common() if name in ours)
    return {name: name for name in fixed} | dict(zip(most_used, fresh, strict=False))


def _fresh(single: str, double: str) -> Iterator[str]:
    yield from single
    yield from ("".join(letters) for letters in product(double, repeat=2))


def _top_level(found: list[Token]) -> set[str]:
    names = set()
    for part in statements(found):
        words = [text for _, text in part[:3]]
        if words[0] in {"const", "let", "function", "class"}:
            names.add(words[1])
        elif words[:2] == ["async", "function"]:
            names.add(words[2])
    return names


def local_names(part: list[Token], whole: dict[str, str]) -> dict[str, str]:
    """Names inside one statement, in the order they come: small letters, used again in the next."""
    free = dict.fromkeys(text for _, text, role in _places(part) if role == "free")
    taken = set(whole.values())
    fresh = (name for name in _fresh(ascii_lowercase, ascii_lowercase) if name not in taken)
    return dict(zip((name for name in free if name not in whole), fresh, strict=False))


def renamed(found: list[Token], names: dict[str, str]) -> list[Token]:
    out = list(found)
    for at, text, role in _places(found):
        if role == "free" and text in names:
            out[at] = ("name", names[text])
    return out
