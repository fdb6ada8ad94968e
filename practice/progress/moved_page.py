"""What moved in words and figures, for the coach, and for the student in one sentence a part."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from practice.measures.answers import Estimate, TooLittle
from practice.progress import said
from practice.progress.moved import PartMoved, Test
from practice.progress.speed_figure import figure_of
from practice.progress.speed_words import Reader
from shared.drawing.charts import Axis, Bar, Bars, DayPoint, Mark, OverDays
from shared.units import DISTANCE

if TYPE_CHECKING:
    from practice.measures.verdicts import MoreAndMore

DONE_LINE = 0.70
SEEN_47 = (
    "“No link seen” is not “no link”: with 12 pairs a true link of 0.5 is seen 47 times in 100."
)
WHAT_TO_DO = {
    "Keep going": "Done, and its test moved. Keep going.",
    "Change the drill": "Done, and its test did not move. Change the drill, not the dose.",
    "Ask for less": "Its test moved on less than was asked. Ask for less.",
    "Do it first": "It was not done enough to judge the drill. Put it first; do not change it yet.",
    "Test due": "Done. Its test is due before anything is changed.",
    "Too soon to say": "Too soon to say.",
}
OWN_WORDS = {
    "Keep going": "You have done the work and the test has moved. Keep going.",
    "Change the drill": "You have done the work. This drill isn't the right key; another is tried.",
    "Ask for less": "The test has moved on less than was asked, so a smaller dose will do.",
    "Do it first": "This one comes first in the next session: ten minutes are a start.",
    "Test due": "You have done the work. A test comes next, and tells whether it helps.",
    "Too soon to say": "Too soon to say.",
}
CHILD_WORDS = OWN_WORDS | {
    "Keep going": "The work is done and the test has moved. Keep going.",
    "Change the drill": "The work is done. This drill isn't the right key; another is tried.",
    "Test due": "The work is done. A test comes next, and tells whether it helps.",
}


@dataclass(frozen=True, slots=True)
class MovedReader:
    """Who reads: speeds by `speed`, distances in `distance`."""

    speed: Reader
    distance: str


@dataclass(frozen=True, slots=True)
class PartView:
    """One part: the answer first, then what it stands on, its test as a figure, and the link."""

    key: str
    name: str
    verdict: str
    answer: str
    done: str
    test: str
    basis: str
    more: tuple[str, ...]
    chart: OverDays | None


@dataclass(frozen=True, slots=True)
class MovedPage:
    """What templates/progress/moved.html and own_moved.html need, and nothing else."""

    answer: str
    chart: Bars | None
    parts: tuple[PartView, ...]


def moved_page(parts: tuple[PartMoved, ...], reader: MovedReader) -> MovedPage:
    """For those who teach."""
    views = tuple(_view(part, number, reader) for number, part in enumerate(parts))
    return MovedPage(_summary(parts), _done_chart(parts) if parts else None, views)


def own_moved_page(parts: tuple[PartMoved, ...], reader: MovedReader) -> MovedPage:
    """For the student and guardians."""
    return MovedPage("", None, tuple(_own(p, n, reader) for n, p in enumerate(parts)))


def _view(part: PartMoved, number: int, reader: MovedReader) -> PartView:
    return PartView(
        key=str(number),
        name=part.name,
        verdict=str(part.verdict),
        answer=_answer(part),
        done=_done(part),
        test=words_of_test(part.test, reader),
        basis=f"Leans on: {part.evidence.words}.",
        more=tuple(_more(part.more)),
        chart=_test_chart(part.test, reader),
    )


def _own(part: PartMoved, number: int, reader: MovedReader) -> PartView:
    words = CHILD_WORDS if reader.speed.name else OWN_WORDS
    answer = words[part.verdict]
    if part.verdict == "Too soon to say":
        answer = _why_too_soon(part)
    link = not isinstance(part.more, TooLittle) and part.more.link == "more has gone with more"
    return PartView(
        key=str(number),
        name=part.name,
        verdict="",
        answer=answer,
        done=_done(part),
        test="" if part.growth else words_of_test(part.test, reader),
        basis=f"Leans on: {part.evidence.words}.",
        more=("Weeks when more of it got done have been followed by better tests.",)
        if link and not part.growth
        else (),
        chart=_test_chart(part.test, reader, plain=True),
    )


def _summary(parts: tuple[PartMoved, ...]) -> str:
    """'Change the drill: Wall-back turn. Keep going: Effort ladder.'"""
    by_verdict: dict[str, list[str]] = {}
    for part in parts:
        by_verdict.setdefault(str(part.verdict), []).append(part.name)
    order = [verdict for verdict in WHAT_TO_DO if verdict in by_verdict]
    return " ".join(f"{verdict}: {said.listed(by_verdict[verdict])}." for verdict in order)


def _answer(part: PartMoved) -> str:
    if part.verdict == "Too soon to say":
        return _why_too_soon(part)
    return WHAT_TO_DO[part.verdict]


def _why_too_soon(part: PartMoved) -> str:
    if part.mostly_memory:
        return (
            "Too soon to say. It counts in full; a verdict needs most of it written "
            "within two days."
        )
    if part.growth:
        return "Speed changes while one grows, so no verdict leans on it."
    return f"Too soon to say: {part.weeks} of 3 open weeks."


def _done(part: PartMoved) -> str:
    if part.done is None:
        return "Nothing was asked."
    return (
        f"Done {said.percent(part.done)} over {said.many(part.weeks, 'open week')}: "
        f"{part.credited_minutes:.0f} of {part.asked_minutes:.0f} minutes credited."
    )


def words_of_test(test: Test, reader: MovedReader) -> str:
    """What the test says, with its interval and how many days it stands on."""
    name = test.name or "a coach's counts"
    days = said.many(len(test.readings), "test day")
    if not test.readings:
        if not test.name:
            return "No test is named for it and no coach has counted it yet."
        return f"Tested by {name}: not done yet."
    if test.change is None:
        return f"Tested by {name}: one test day so far."
    if isinstance(test.change, TooLittle):
        little = test.change
        return f"Tested by {name}, {days}: {little.have} of {little.need}. {little.reason}"
    verdict = "moved" if test.moved else "not moved"
    return f"Tested by {name}, {days}: {_change(test, test.change, reader)}: {verdict}."


def _change(test: Test, change: Estimate, reader: MovedReader) -> str:
    if test.kind == "speed":
        needed = (change.high - change.low) / 2
        speed = reader.speed
        return f"{speed.signed(change.value)}, needed {speed.speed(needed)}"
    if test.kind == "miss":
        unit = DISTANCE[reader.distance]
        value, low, high = (unit.from_si(x) for x in (change.value, change.low, change.high))
        return (
            f"{_signed(value)} {unit.sign} from the target "
            f"({_signed(low)} to {_signed(high)}, {change.n} balls)"
        )
    points = [100 * x for x in (change.value, change.low, change.high)]
    return (
        f"{_signed(points[0], 0)} of 100 ({_signed(points[1], 0)} to {_signed(points[2], 0)}, "
        f"{change.n} tries)"
    )


def _signed(value: float, places: int = 1) -> str:
    rounded = round(value, places) + 0.0
    return f"{'−' if rounded < 0 else '+'}{abs(rounded):.{places}f}"


def _more(more: "MoreAndMore | TooLittle") -> list[str]:
    """Is more giving more: silent below ten pairs, its traps said aloud."""
    if isinstance(more, TooLittle):
        return []
    words = said.sentence(
        f"{more.link} (rank link {_signed(more.rank_correlation, 2)}, p {more.p:.2f}, "
        f"{more.n} fortnights before a test)."
    )
    traps = (
        f"{said.many(more.after_bad_tests, 'heavy fortnight')} followed a worse test: practice "
        "that answers a bad test makes a link of its own. It may also be that more gets done "
        "when it goes well, or that both drift with the season. A planned light fortnight "
        "would tell."
    )
    return [words, SEEN_47 if more.link == "no link seen" else "", traps]


# --- figures ---


def _done_chart(parts: tuple[PartMoved, ...]) -> Bars:
    bars = [
        Bar(
            part.name,
            None if part.done is None else 100 * part.done,
            note="" if part.done is None else f"{said.percent(part.done)}, {part.verdict}",
        )
        for part in parts
    ]
    return Bars(
        title="How much of each part was done",
        desc=_summary(parts),
        axis=Axis("Credited of the minutes asked", "%", 0),
        bars=bars,
        most=100,
        marks=[Mark(100 * DONE_LINE, "done")],
    )


def _test_chart(test: Test, reader: MovedReader, *, plain: bool = False) -> OverDays | None:
    if len(test.readings) < 2:
        return None
    if test.line is not None:
        return figure_of(test.line, reader.speed, plain=plain)
    axis, scale = Axis("Clean share", "%", 0), 100.0
    if test.kind == "miss":
        unit = DISTANCE[reader.distance]
        axis, scale = Axis("Mean distance from the target", unit.sign), unit.from_si(1.0)
    points = [
        DayPoint(
            reading.day,
            scale * reading.value,
            f"{reading.clean} of {reading.n}"
            if reading.clean is not None
            else f"{reading.n} balls",
        )
        for reading in test.readings
    ]
    name = test.name or "A coach's counts"
    return OverDays(name, f"{said.many(len(points), 'test day')}.", axis, points)
