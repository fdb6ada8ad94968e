"""The speed book in words and figures, for the coach, and for the student in one sentence."""

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from practice.measures.answers import TooLittle
from practice.numbers.kit import text as said
from practice.numbers.speed.book import (
    Goal,
    SpeedBook,
    SpeedLine,
    SpeedOutlook,
    Spreads,
    Top,
    Trend,
)
from practice.numbers.speed.figure import figure_of
from practice.numbers.speed.text import (
    GROWING,
    SIGNAL_WORDS,
    SpeedReader,
    basis_of,
    title_of,
    verdict_words,
    where_of,
    word_of,
)
from shared.kit.drawing.charts import OverDays

if TYPE_CHECKING:
    from practice.measures.claim import Claim

GROWTH = "In a child, growth may be why speed changes. So we read nothing into it."


@dataclass(frozen=True, slots=True)
class LineView:
    """One line of the book: the answer first, the figure second, what it stands on below."""

    key: str
    title: str
    where: str
    answer: str
    basis: str
    notes: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    chart: OverDays


@dataclass(frozen=True, slots=True)
class SpeedPage:
    """What templates/numbers/speed.html and own_speed.html need, and nothing else."""

    lines: tuple[LineView, ...]
    notes: tuple[str, ...]


def speed_page(book: SpeedBook, reader: SpeedReader) -> SpeedPage:
    """For those who teach."""
    lines = tuple(_line(each, number, reader) for number, each in enumerate(book.lines))
    return SpeedPage(lines, tuple(_book_notes(book)))


def first_answers(book: SpeedBook, reader: SpeedReader, most: int) -> list[tuple[str, str]]:
    """Title and answer of the newest lines, as `speed_page` has them, without their figures."""
    return [(title_of(line.line), _answer(line, reader)) for line in book.lines[:most]]


def own_speed_page(book: SpeedBook, reader: SpeedReader) -> SpeedPage:
    """For the student and guardians: one sentence and a small figure; only what held is told."""
    return SpeedPage(tuple(_own(each, n, reader) for n, each in enumerate(book.lines)), ())


def _line(line: SpeedLine, number: int, reader: SpeedReader) -> LineView:
    return LineView(
        key=str(number),
        title=title_of(line.line),
        where=where_of(line.line),
        answer=_answer(line, reader),
        basis=basis_of(line),
        notes=tuple(_notes(line, reader)),
        facts=tuple(_facts(line, reader)),
        chart=figure_of(line, reader),
    )


def _answer(line: SpeedLine, reader: SpeedReader) -> str:
    if isinstance(line.claim, TooLittle):
        return _too_soon(line, line.claim, reader)
    return compared(line, line.claim, reader)


def _too_soon(line: SpeedLine, little: TooLittle, reader: SpeedReader) -> str:
    words = f"Too soon to say: {little.have} of {little.need} test days."
    if line.everyday is not None:
        days = min(3, len(line.days))
        words += f" The last {said.many(days, 'day')}: {reader.speed(line.everyday)}."
    return words


def compared(line: SpeedLine, claim: "Claim", reader: SpeedReader) -> str:
    """'Up 4.0 mph, held. The start was 146.9 mph; since then it is 150.9. A real change begins …'

    The verdict first, with its unit: the door note has room for no more.
    """
    before, now = reader.speed(claim.before), reader.bare(claim.now)
    words = f"The start was {before}; since then it is {now}."
    if claim.is_recent:
        words = f"Three test days were {before}; the last three are {now}."
    real = f"A real change begins at {reader.speed(claim.reach)}."
    first = _judged(line, claim, reader)
    return " ".join(filter(None, (first, words, said_together(claim, reader), real)))


def said_together(claim: "Claim", reader: SpeedReader) -> str:
    """'All students here went up 1.2 mph meanwhile. That is taken off.' Empty where not."""
    by = reader.bare(abs(claim.together))
    if by == reader.bare(0.0):
        return ""
    way = "up" if claim.together > 0 else "down"
    return f"All students here went {way} {by} {reader.sign} meanwhile. That is taken off."


def _judged(line: SpeedLine, claim: "Claim", reader: SpeedReader) -> str:
    """'Down 6.7 mph, held.', 'Level at 152.8 mph.'; by as much as the figures beside it differ."""
    if not (claim.better or claim.worse):
        level = claim.answer == "did not move"
        return f"Level at {reader.speed(claim.now)}." if level else f"{verdict_words(line)}."
    now, before, together = (
        Decimal(f"{reader.in_unit(each):.1f}") for each in (claim.now, claim.before, claim.together)
    )
    return f"{word_of(claim)} {abs(now - before - together)} {reader.sign}, held."


def _notes(line: SpeedLine, reader: SpeedReader) -> list[str]:
    notes = []
    if reader.is_minor:
        notes.append(GROWTH)
    if line.others:
        notes.append(
            f"{said.sentence(said.many(len(line.others), 'day'))} shown hollow: fewer than six "
            "swings, from memory, or before the block. Shown, and not judged."
        )
    return notes


def _book_notes(book: SpeedBook) -> list[str]:
    notes = []
    if book.starts_on:
        notes.append(f"The block starts on {said.day(book.starts_on)}.")
    if book.more:
        notes.append(f"{said.many(book.more, 'older line')} not shown.")
    if book.elsewhere:
        swings = said.many(book.elsewhere, "swing")
        notes.append(f"{swings} with a speed outside a speed test: not joined with these.")
    if book.is_cut:
        notes.append("More swings are kept than one page holds; the oldest are left out.")
    return notes


def _facts(line: SpeedLine, reader: SpeedReader) -> list[tuple[str, str]]:
    facts = []
    facts.append(("Steadiness", _steady(line, reader)))
    facts.append(("Spread", _spreads(line.spreads, reader)))
    facts.append(("Limits", _limits(line, reader)))
    facts.append(("Trend", _trend(line.trend, reader)))
    if line.goal is not None:
        facts.append(("Aim", _goal(line.goal, reader)))
    facts.append(("Top swing", _top(line.top, reader)))
    return facts


def _top(top: Top, reader: SpeedReader) -> str:
    return (
        f"{reader.speed(top.speed)} on {said.day(top.day)}, the fastest of "
        f"{said.many(top.swings, 'swing')}. More swings give a faster best."
    )


def _steady(line: SpeedLine, reader: SpeedReader) -> str:
    steady, known = line.steady, line.day_spread
    if isinstance(steady, TooLittle):
        return _little(steady)
    if isinstance(known, TooLittle):
        return _little(known)
    low, high = said.outward(reader.in_unit(known.low), reader.in_unit(known.high), 1)
    words = (
        f"Floor {reader.speed(steady.floor)}, day-to-day spread {reader.speed(steady.spread)} "
        f"({low} to {high}) over the last 6 of {steady.n} test days"
    )
    if steady.first_spread is None:
        return f"{words}."
    words += f"; over the first 6 it was {reader.speed(steady.first_spread)}."
    if steady.confirmed:
        return f"{words} Steadier, twice over; by chance fewer than one in twenty would be."
    if steady.steadier:
        return f"{words} Looks steadier; by chance up to one in five would."
    return words


def _spreads(spreads: Spreads | TooLittle, reader: SpeedReader) -> str:
    if isinstance(spreads, TooLittle):
        return _little(spreads)
    between = "not distinguishable from zero"
    if spreads.between is not None:
        between = reader.speed(spreads.between)
    return (
        f"Between days {between}, within a day {reader.speed(spreads.within)} "
        f"({spreads.days} days, {spreads.swings} swings)."
    )


def _limits(line: SpeedLine, reader: SpeedReader) -> str:
    if isinstance(line.limits, TooLittle):
        return _little(line.limits)
    words = f"{reader.bare(line.limits.low)} to {reader.speed(line.limits.high)}"
    if not line.signals:
        return f"{words}; every test day lies within, and there is no run."
    signals = (f"{said.day(day)}: {SIGNAL_WORDS[rule]}" for day, rule in line.signals)
    return f"{words}; " + "; ".join(signals) + "."


def _trend(trend: Trend | TooLittle, reader: SpeedReader) -> str:
    if isinstance(trend, TooLittle):
        return _little(trend)
    slope = trend.slope
    low, high = said.outward(reader.in_unit(7 * slope.low), reader.in_unit(7 * slope.high), 2)
    return (
        f"{reader.signed(7 * slope.value, 2)} {reader.sign} a week "
        f"({low} to {high}, 19 times in 20), {slope.n} test days."
    )


def _goal(goal: Goal, reader: SpeedReader) -> str:
    aim = reader.speed(goal.aim)
    if goal.outlook is SpeedOutlook.REACHED:
        return f"{aim}: everyday speed is there."
    if goal.outlook is SpeedOutlook.TOO_SOON:
        return f"{aim}: too soon to say."
    if goal.outlook is SpeedOutlook.AT_THE_LINE:
        return f"{aim}: the trend line is there, the last three days are not yet."
    if goal.outlook is SpeedOutlook.TOO_FAR:
        return f"{aim}: further off than has been watched; a date would be a guess."
    if goal.outlook is SpeedOutlook.NOT_ON_TREND or goal.earliest is None or goal.likely is None:
        return f"{aim}: not on this trend."
    until = f"and {said.day(goal.secure)}" if goal.secure else "and a day beyond what can be seen"
    return (
        f"{aim}: between {said.day(goal.earliest)} {until} if the trend went on, most likely "
        f"{said.day(goal.likely)}. A straight line is optimistic."
    )


def _little(little: TooLittle) -> str:
    if little.missing and little.need > little.have + 1:
        return f"Too little to say: {little.have} of the {little.need} needed. {little.reason}"
    return f"Too little to say. {little.reason}"


# --- for the student and guardians ---


def _own(line: SpeedLine, number: int, reader: SpeedReader) -> LineView:
    return LineView(
        key=str(number),
        title=title_of(line.line),
        where=where_of(line.line),
        answer=own_answer(line, reader),
        basis=basis_of(line),
        notes=(),
        facts=(),
        chart=figure_of(line, reader, plain=True),
    )


def own_answer(line: SpeedLine, reader: SpeedReader) -> str:
    """One sentence or two. A child's speed is neither praised nor mourned."""
    if line.everyday is None or len(line.days) < 3:
        more = 3 - len(line.days)
        return f"{said.sentence(said.many(more, 'more test day'))} until there is a usual speed."
    usual = f"{said.sentence(reader.whose)} usual is {reader.speed(line.everyday)}"
    if reader.is_minor:
        return f"{usual}. {GROWING}"
    claim = line.claim
    if isinstance(claim, TooLittle):
        return f"{usual}. Whether it has moved is too soon to say."
    words = _held_words(usual, claim, line, reader)
    if claim.answer == "cannot tell yet":
        words = f"{usual}. Whether it has moved is too soon to say."
    elif claim.is_recent:
        words = (
            f"{usual}, {'up' if claim.value > 0 else 'down'} on the three test days before. It is "
            f"more than days differ. Your coach looks at it with you."
        )
    return " ".join(filter(None, (words, said_together(claim, reader))))


def _held_words(usual: str, claim: "Claim", line: SpeedLine, reader: SpeedReader) -> str:
    if claim.better:
        return (
            f"{usual}, up from {reader.speed(claim.before)} at the start. It is more than days "
            f"differ, and it has held."
        )
    if claim.worse:
        lower = reader.speed(-claim.value)
        return f"{usual}. It is {lower} lower than at the start. Your coach looks at it with you."
    best = max(each.figure for each in line.days)
    return (
        f"The best day was {reader.speed(best)}. {usual}, as at the start. Next thing to build is "
        f"the usual."
    )
