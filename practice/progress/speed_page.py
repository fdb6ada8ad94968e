"""The speed book in words and figures, for the coach, and for the student in one sentence."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from practice.measures.answers import TooLittle
from practice.progress import said
from practice.progress.speed_book import Goal, Outlook, SpeedBook, SpeedLine, Spreads, Top, Trend
from practice.progress.speed_figure import figure_of
from practice.progress.speed_words import Reader, basis_of, title_of, verdict_words, where_of
from shared.drawing.charts import OverDays

if TYPE_CHECKING:
    from practice.measures.change import Change, Steadiness

GROWTH = "A change in a child's speed is growth until shown otherwise: nothing is made of it."


@dataclass(frozen=True, slots=True)
class LineView:
    """One line of the book: the answer first, the figure second, what it stands on below."""

    key: str
    title: str
    where: str
    verdict: str
    answer: str
    basis: str
    notes: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    chart: OverDays


@dataclass(frozen=True, slots=True)
class SpeedPage:
    """What templates/progress/speed.html and own_speed.html need, and nothing else."""

    lines: tuple[LineView, ...]
    notes: tuple[str, ...]


def speed_page(book: SpeedBook, reader: Reader) -> SpeedPage:
    """For those who teach."""
    lines = tuple(_line(each, number, reader) for number, each in enumerate(book.lines))
    return SpeedPage(lines, tuple(_book_notes(book)))


def own_speed_page(book: SpeedBook, reader: Reader) -> SpeedPage:
    """For the student and guardians: one sentence and a small figure; only what held is told."""
    return SpeedPage(tuple(_own(each, n, reader) for n, each in enumerate(book.lines)), ())


def _line(line: SpeedLine, number: int, reader: Reader) -> LineView:
    return LineView(
        key=str(number),
        title=title_of(line.line),
        where=where_of(line.line),
        verdict=verdict_words(line),
        answer=_answer(line, reader),
        basis=basis_of(line),
        notes=tuple(_notes(line, reader)),
        facts=tuple(_facts(line, reader)),
        chart=figure_of(line, reader),
    )


def _answer(line: SpeedLine, reader: Reader) -> str:
    if isinstance(line.change, TooLittle):
        return _too_soon(line, line.change, reader)
    words = f"{compared(line.change, reader)} {_judged(line.change)}"
    if line.held is line.recent and not isinstance(line.recent, TooLittle):
        words = f"{recently(line.recent, reader)} {words}"
    return f"{words} The best swing is not used."


def _too_soon(line: SpeedLine, little: TooLittle, reader: Reader) -> str:
    words = f"Too soon to say: {little.have} of {little.need} test days."
    if line.everyday is not None:
        days = min(3, len(line.days))
        words += f" The last {said.many(days, 'day')}: {reader.speed(line.everyday)}."
    return words


def compared(change: "Change", reader: Reader) -> str:
    """'Everyday speed 152.1, start 146.9: +5.2, needed 2.5 mph.'"""
    return (
        f"Everyday speed {reader.bare(change.now)}, start {reader.bare(change.before)}: "
        f"{reader.signed(change.change)}, needed {reader.speed(change.needed)}."
    )


def _judged(change: "Change") -> str:
    if change.verdict == "Level":
        return "Level: within the usual day-to-day swing."
    if change.held:
        return f"{change.verdict}, held."
    return f"{change.verdict}, not held yet: the next test day must say the same."


def recently(recent: "Change", reader: Reader) -> str:
    held = ", held" if recent.held and recent.verdict != "Level" else ""
    return (
        f"Last 3 test days against the 3 before: {reader.signed(recent.change)}, "
        f"needed {reader.speed(recent.needed)}: {recent.verdict}{held}."
    )


def _notes(line: SpeedLine, reader: Reader) -> list[str]:
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


def _facts(line: SpeedLine, reader: Reader) -> list[tuple[str, str]]:
    facts = []
    if not isinstance(line.recent, TooLittle):
        facts.append(("Recent check", recently(line.recent, reader)))
    facts.append(("Steadiness", _steady(line.steady, reader)))
    facts.append(("Spread", _spreads(line.spreads, reader)))
    facts.append(("Limits", _limits(line, reader)))
    facts.append(("Trend", _trend(line.trend, reader)))
    if line.goal is not None:
        facts.append(("Aim", _goal(line.goal, reader)))
    facts.append(("Top swing", _top(line.top, reader)))
    return facts


def _top(top: Top, reader: Reader) -> str:
    return (
        f"{reader.speed(top.speed)} on {said.day(top.day)}, the fastest of "
        f"{said.many(top.swings, 'swing')}. A best rises with the number of swings."
    )


def _steady(steady: "Steadiness | TooLittle", reader: Reader) -> str:
    if isinstance(steady, TooLittle):
        return _little(steady)
    words = (
        f"Floor {reader.speed(steady.floor)}, day-to-day spread {reader.speed(steady.spread)} "
        f"over the last 6 of {steady.n} test days"
    )
    if steady.first_spread is None:
        return f"{words}."
    words += f"; over the first 6 it was {reader.speed(steady.first_spread)}."
    if steady.confirmed:
        return f"{words} Steadier, twice over."
    if steady.steadier:
        return f"{words} Looks steadier; by chance one in seven would."
    return words


def _spreads(spreads: Spreads | TooLittle, reader: Reader) -> str:
    if isinstance(spreads, TooLittle):
        return _little(spreads)
    between = "not distinguishable from zero"
    if spreads.between is not None:
        between = reader.speed(spreads.between)
    return (
        f"Between days {between}, within a day {reader.speed(spreads.within)} "
        f"({spreads.days} days, {spreads.swings} swings)."
    )


def _limits(line: SpeedLine, reader: Reader) -> str:
    if isinstance(line.limits, TooLittle):
        return _little(line.limits)
    words = f"{reader.bare(line.limits.low)} to {reader.speed(line.limits.high)}"
    if not line.signals:
        return f"{words}; every test day lies within, and there is no run."
    return f"{words}; " + "; ".join(f"{said.day(day)}: {rule}" for day, rule in line.signals) + "."


def _trend(trend: Trend | TooLittle, reader: Reader) -> str:
    if isinstance(trend, TooLittle):
        return _little(trend)
    slope = trend.slope
    return (
        f"{reader.signed(7 * slope.value, 2)} {reader.sign} a week "
        f"({reader.signed(7 * slope.low, 2)} to {reader.signed(7 * slope.high, 2)}, "
        f"19 times in 20), {slope.n} test days."
    )


def _goal(goal: Goal, reader: Reader) -> str:
    aim = reader.speed(goal.aim)
    if goal.outlook is Outlook.REACHED:
        return f"{aim}: everyday speed is there."
    if goal.outlook is Outlook.TOO_SOON:
        return f"{aim}: too soon to say."
    if goal.outlook is Outlook.NOT_ON_TREND or goal.earliest is None or goal.likely is None:
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


def _own(line: SpeedLine, number: int, reader: Reader) -> LineView:
    return LineView(
        key=str(number),
        title=title_of(line.line),
        where=where_of(line.line),
        verdict="",
        answer=own_answer(line, reader),
        basis=basis_of(line),
        notes=(),
        facts=(),
        chart=figure_of(line, reader, plain=True),
    )


def own_answer(line: SpeedLine, reader: Reader) -> str:
    """One sentence or two. A child's speed is neither praised nor mourned."""
    if line.everyday is None or len(line.days) < 3:
        more = 3 - len(line.days)
        return f"{said.sentence(said.many(more, 'more test day'))} until there is a usual speed."
    usual = f"{said.sentence(reader.whose)} usual is {reader.speed(line.everyday)}"
    if reader.is_minor:
        return f"{usual}. Speed changes while one grows, so nothing is made of it."
    held = line.held
    if held is None:
        return f"{usual}. Whether it has moved is too soon to say."
    if held is line.recent:
        way = "up" if held.verdict == "Up" else "down"
        return (
            f"{usual}: {way} on the three test days before, by more than days differ "
            "anyway. Your coach looks at it with you."
        )
    return _held_words(usual, held, line, reader)


def _held_words(usual: str, held: "Change", line: SpeedLine, reader: Reader) -> str:
    if held.verdict == "Up":
        return (
            f"{usual}, up from {reader.speed(held.before)} at the start: more than days "
            "differ anyway, on two test days running."
        )
    if held.verdict == "Down":
        lower = reader.speed(-held.change)
        return f"{usual}, {lower} under the start. Your coach looks at it with you."
    best = max(each.figure for each in line.days)
    return (
        f"The best day was {reader.speed(best)}. {usual}, the same as at the start within "
        "normal day-to-day swing. Next thing to build is the usual."
    )
