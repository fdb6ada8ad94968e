"""A table whose cells are parted by spaces alone, as it comes in a mail, quoted or not. Pure."""

import csv
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from practice.importing.names import known_in

FEWEST_CELLS, FEWEST_LINES, FEWEST_KNOWN = 3, 3, 2
# What stands before each line of a mail that is answered or sent on.
_QUOTED = re.compile(r"^(?:[ \t]*>)+ ?")
# And before each message of a chat: when and by whom.
_WHEN = r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4},?[ T]+\d{1,2}:\d{2}(?::\d{2})?(?: ?[ap]m)?"
_MESSAGE = re.compile(rf"^(?:\[{_WHEN}\]|{_WHEN} -) ?[^:|;,\t]{{1,40}}: ", re.IGNORECASE)
_TWO, _ONE = re.compile(r"\S+(?: \S+)*"), re.compile(r"\S+")
SPACES = " "
_FARTHEST = 12


@dataclass(frozen=True, slots=True)
class _Token:
    """A cell with where it begins and ends in its line."""

    text: str
    start: int
    end: int


def unquoted(line: str) -> str:
    """Without marks of a quotation, and without who wrote it when."""
    return _MESSAGE.sub("", _QUOTED.sub("", line.rstrip("\r\n"))).expandtabs()


def is_quoted(lines: Sequence[str]) -> bool:
    """Whether there are enough quoted lines for a table, or messages of a chat."""
    quoted = sum(line.lstrip().startswith(">") for line in lines) > FEWEST_LINES
    return quoted or any(_MESSAGE.match(line) for line in lines)


def lines_of_table(lines: Sequence[str]) -> int:
    """How many lines make a table parted by spaces; 0 where there is none."""
    found = _pattern([unquoted(line) for line in lines])
    return found[2] if found else 0


def table_of(lines: Sequence[str], separator: str) -> Iterator[tuple[int, list[str] | None]]:
    """The rows of the table with their line, and above it each line of words as a row of one cell.

    None for a row of which the cells cannot be told apart.
    """
    plain = [unquoted(line) for line in lines]
    if separator != SPACES:
        yield from enumerate(next(csv.reader([line], delimiter=separator), []) for line in plain)
        return
    pattern, width, _ = _pattern(plain) or (_TWO, 0, 0)
    split = [_tokens(line, pattern) for line in plain]
    whole = [tokens for tokens in split if len(tokens) == width]
    is_below = False
    for number, tokens in enumerate(split):
        if len(tokens) == width and width:
            is_below = True
            yield number, [token.text for token in tokens]
        elif not is_below and tokens:
            yield number, [plain[number].strip()]
        elif is_below and len(tokens) > 1 and any(map(_has_digit, tokens)):
            yield number, _placed(tokens, whole, width) if pattern is _TWO else None


def _has_digit(token: _Token) -> bool:
    return any(sign.isdigit() for sign in token.text)


def _tokens(line: str, pattern: re.Pattern[str]) -> list[_Token]:
    return [_Token(each[0], each.start(), each.end()) for each in pattern.finditer(line)]


def _pattern(lines: Sequence[str]) -> tuple[re.Pattern[str], int, int] | None:
    """What a cell is, how many a row has, and how many rows have so many; None for no table.

    Between cells there are two spaces, or one where every word is a cell.
    """
    for pattern in (_TWO, _ONE):
        split = [_tokens(line, pattern) for line in lines]
        widths = Counter(len(tokens) for tokens in split if len(tokens) >= FEWEST_CELLS)
        for width, many in widths.most_common(3):
            rows = [[token.text for token in tokens] for tokens in split if len(tokens) == width]
            if many > FEWEST_LINES and len(known_in(rows[0])) >= FEWEST_KNOWN:
                return pattern, width, many
    return None


def _placed(
    tokens: Sequence[_Token], whole: Sequence[Sequence[_Token]], width: int
) -> list[str] | None:
    """A row with empty cells: each figure below those that begin or end where it does."""
    row, last = [""] * width, -1
    for token in tokens:
        apart = [
            min(min(abs(token.start - each[at].start), abs(token.end - each[at].end))
                for each in whole)
            for at in range(width)
        ]  # fmt: skip
        nearest = min(apart)
        places = [at for at in range(width) if apart[at] == nearest]
        if len(places) != 1 or places[0] <= last or nearest > _FARTHEST:
            return None
        last = places[0]
        row[last] = token.text
    return row
