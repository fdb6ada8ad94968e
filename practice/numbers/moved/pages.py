"""What moved in words and figures, for the coach, and for the student in one sentence a part."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from practice.measures.answers import Evidence, TooLittle
from practice.numbers.kit import text as said
from practice.numbers.moved.answer import PartMoved, Test
from practice.numbers.speed.figure import figure_of
from practice.numbers.speed.text import GROWING, SpeedReader
from shared.kit.drawing.charts import Axis, Bar, Bars, DayPoint, Mark, OverDays
from shared.kit.text import date_words, in_minutes
from shared.kit.units import DISTANCE

if TYPE_CHECKING:
    from practice.measures.claim import Claim
    from practice.measures.verdicts import MoreAndMore

DONE_LINE = 0.70
DID_NOT_MOVE = "did not move"
OWN_MORE = (
    "Weeks when more of it got done have been followed by better tests. It may be the other "
    "way round: when it goes well, more gets done."
)
SEEN_47 = "A true link can stay unseen. From 12 pairs about half are found."
TOO_SOON, LESS_FOR_NOW, DO_FIRST = "Too soon to say", "Less for now", "Do it first"
# In the order in which a page names them.
WHAT_TO_DO = {
    LESS_FOR_NOW: "Less of it for now: see Care notes. It is not raised and not put first.",
    "Keep going": "Done, and its test moved. Keep going.",
    "Change the drill": "Done, and no gain worth having is left. Change the drill, not the dose.",
    "Ask for less": "Its test moved on less than was asked. Ask for less.",
    DO_FIRST: "It was not done enough to judge the drill. Put it first before you change it.",
    "Test due": "Done. Its test is due before anything is changed.",
    "Cannot tell yet": "Done. Whether its test moves cannot be told yet. Keep the drill, and test.",
    TOO_SOON: "Too soon to say.",
}
THEN = "It was not done enough to judge the drill. Do more of it before you change it."
OWN_FIRST = "Begin with this one next time. Ten minutes are a start."
DONE_NOW = "Done for this week. More weeks like it tell whether it helps."
BASIS = {
    Evidence.FROM_MEMORY: "Written from memory.",
    Evidence.COUNTED: "Written down at practice.",
    Evidence.COACH_CHECKED: "Counted by a coach.",
    Evidence.MEASURED: "Measured by a device.",
}
OWN_WORDS = {
    LESS_FOR_NOW: "Go easy on this one for now. Your coach will look at it.",
    "Keep going": "Lately you did the work and the test has moved. Keep going.",
    "Change the drill": "Lately you did the work. This drill isn’t the key; another is tried.",
    "Ask for less": "The test moved with less than was asked. A smaller dose will do.",
    DO_FIRST: "More of this one tells whether it helps.",
    "Test due": "Lately you did the work. A test comes next, and tells whether it helps.",
    "Cannot tell yet": "Lately you did the work. More test days will tell whether it helps.",
    TOO_SOON: "Too soon to say.",
}
CHILD_WORDS = OWN_WORDS | {
    "Keep going": "Lately the work was done and the test has moved. Keep going.",
    "Change the drill": "Lately the work was done. This drill isn’t the key; another is tried.",
    "Cannot tell yet": "Lately the work was done. More test days will tell whether it helps.",
    "Test due": "Lately the work was done. A test comes next, and tells whether it helps.",
}


@dataclass(frozen=True, slots=True)
class MovedReader:
    """Who reads: speeds by `speed`, distances in `distance`."""

    speed: SpeedReader
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
class GridRow:
    """Done or not; in each column what is to be done, and the names of the parts."""

    title: str
    cells: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class MovedPage:
    """What templates/numbers/moved.html and own_moved.html need, and nothing else."""

    answer: str
    chart: Bars | None
    parts: tuple[PartView, ...]
    grid: tuple[GridRow, ...] = ()


def moved_page(parts: Sequence[PartMoved], reader: MovedReader) -> MovedPage:
    """For those who teach: what to go easy on, then what a test has shown, then the rest."""
    parts = _in_order(parts)
    views = tuple(_view(part, number, reader) for number, part in enumerate(parts))
    chart = _done_chart(parts) if parts else None
    firsts = [number for number, part in enumerate(parts) if part.verdict == DO_FIRST]
    # Only one part can come first.
    views = tuple(
        replace(view, answer=THEN) if number in firsts[1:] else view
        for number, view in enumerate(views)
    )
    return MovedPage(_summary(parts), chart, views, _grid(parts))


def _in_order(parts: Sequence[PartMoved]) -> list[PartMoved]:
    """By what is to be done, as the answer names it; alike, as the week has them."""
    order = list(WHAT_TO_DO)
    return sorted(parts, key=lambda part: order.index(part.verdict))


def _grid(parts: Sequence[PartMoved]) -> tuple[GridRow, ...]:
    """Done by moved: whether the work or the drill is to be changed. Too soon is in no field, nor
    is what is asked less for another reason."""
    told = [part for part in parts if part.verdict not in {TOO_SOON, LESS_FOR_NOW}]
    if not told:
        return ()

    def cell(advice: str, *verdicts: str, unmoved: bool | None = None) -> tuple[str, str]:
        names = [
            part.name
            for part in told
            if part.verdict in verdicts and (unmoved is None or _did_not_move(part) is unmoved)
        ]
        return advice, ", ".join(names)

    done = (
        cell("Keep going", "Keep going"),
        cell("Change the drill", "Change the drill"),
        cell("Test it", "Test due", "Cannot tell yet"),
    )
    undone = (
        cell("Ask for less", "Ask for less"),
        cell("Do it first", "Do it first", unmoved=True),
        cell("Do it first", "Do it first", unmoved=False),
    )
    return GridRow("Done", done), GridRow("Not done", undone)


def _did_not_move(part: PartMoved) -> bool:
    """Not the way it should: worse is no better than level."""
    claim = part.test.claim
    if claim is None or isinstance(claim, TooLittle):
        return False
    return claim.worse or claim.answer == DID_NOT_MOVE


def own_moved_page(parts: Sequence[PartMoved], reader: MovedReader) -> MovedPage:
    """For the student and guardians: what is still to do this week before what is done."""
    parts = sorted(_in_order(parts), key=lambda part: part.verdict == DO_FIRST and part.is_done_now)
    views = [_own(part, number, reader) for number, part in enumerate(parts)]
    to_do = [n for n, part in enumerate(parts) if part.verdict == DO_FIRST and not part.is_done_now]
    for first in to_do[:1]:
        views[first] = replace(views[first], answer=OWN_FIRST)
    return MovedPage("", None, tuple(views))


def _view(part: PartMoved, number: int, reader: MovedReader) -> PartView:
    return PartView(
        key=str(number),
        name=part.name,
        verdict=str(part.verdict),
        answer=_answer(part),
        done=_done(part),
        # Where the answer asks for a test, it need not be said twice that there is none.
        test="" if _wants_a_test(part) else words_of_test(part.test, reader),
        basis=BASIS[part.evidence],
        more=tuple(_more(part.more)),
        chart=_test_chart(part.test, reader),
    )


def own_words(verdict: str, child: str = "") -> str:
    """The sentence about one part to the student, or to who reads for the child of this name."""
    return (CHILD_WORDS if child else OWN_WORDS)[verdict]


def _own(part: PartMoved, number: int, reader: MovedReader) -> PartView:
    answer = own_words(part.verdict, reader.speed.name)
    if part.verdict == TOO_SOON:
        answer = _why_too_soon(part)
    elif part.verdict == DO_FIRST and part.is_done_now:
        answer = DONE_NOW
    link = not isinstance(part.more, TooLittle) and part.more.link == "more has gone with more"
    return PartView(
        key=str(number),
        name=part.name,
        verdict="",
        answer=answer,
        done=_done(part),
        test="" if part.growth else words_of_test(part.test, reader),
        basis=BASIS[part.evidence],
        more=(OWN_MORE,) if link and not part.growth else (),
        chart=_test_chart(part.test, reader, plain=True),
    )


def _summary(parts: Sequence[PartMoved]) -> str:
    """'Change the drill: Wall-back turn. Do it first: Landing spot, then Ladder.'"""
    by_verdict: dict[str, list[str]] = {}
    for part in parts:
        by_verdict.setdefault(str(part.verdict), []).append(part.name)
    return " ".join(
        f"{verdict}: {', then '.join(names) if verdict == DO_FIRST else said.listed(names)}."
        for verdict, names in by_verdict.items()
    )


def _answer(part: PartMoved) -> str:
    if part.verdict == TOO_SOON:
        return _why_too_soon(part)
    if part.verdict == "Change the drill" and part.test.said and part.test.said.worse:
        return "Done, and its test got worse. Change the drill, not the dose."
    if _wants_a_test(part):
        return "Done. Name a test for it on the shelf, or count it once together."
    return WHAT_TO_DO[part.verdict]


def _wants_a_test(part: PartMoved) -> bool:
    return part.verdict == "Test due" and not part.test.name and not part.test.readings


def _why_too_soon(part: PartMoved) -> str:
    if part.mostly_memory:
        return (
            "Too soon to say, though all of it counts. It can be judged once most is logged "
            "within two days."
        )
    if part.growth:
        return GROWING
    return f"Too soon to say: {part.weeks} of 3 weeks."


def _done(part: PartMoved) -> str:
    if part.done is None:
        return "Nothing was asked."
    done, asked = in_minutes(part.credited_minutes), in_minutes(part.asked_minutes)
    return f"{done} of {asked} minutes were done ({said.percent(part.done)}).{_span(part)}"


def _span(part: PartMoved) -> str:
    """' They were asked from Sat 31 Oct to Fri 27 Nov.'"""
    if part.since is None or part.until is None:
        return ""
    return f" They were asked from {date_words(part.since)} to {date_words(part.until)}."


def words_of_test(test: Test, reader: MovedReader) -> str:
    """What the test says, with its interval and how many days it stands on."""
    name = test.name or "a coach’s counts"
    days = said.many(len(test.readings), "test day")
    if not test.readings:
        if not test.name:
            return "It has no test yet, and no coach has counted it."
        return f"Tested by {name}: not done yet."
    if isinstance(test.claim, TooLittle) or test.claim is None:
        more = test.claim.missing if test.claim else 1
        return f"Tested by {name}, {days}: {said.many(more, 'more test day')} until it can be told."
    claim = test.claim
    change = _change(test.kind, claim, reader)
    words = f"Tested by {name} on {days}. {change}. {_together(test.kind, claim, reader)}"
    if test.kind == "speed" and reader.speed.is_minor:
        return words.strip()
    return f"{words}{said.sentence(_which_way(test.kind, claim))}."


def _together(kind: str, claim: "Claim", reader: MovedReader) -> str:
    """'What moved all students here, +4 of 100, is taken off. ' Empty where nothing did."""
    if kind == "speed":
        by = f"{reader.speed.signed(claim.together)} {reader.speed.sign}"
        is_nothing = reader.speed.bare(abs(claim.together)) == reader.speed.bare(0.0)
    elif kind == "miss":
        unit = DISTANCE[reader.distance]
        by = f"{_signed(unit.from_si(claim.together))} {unit.sign}"
        is_nothing = not round(unit.from_si(claim.together), 1)
    else:
        by = f"{_signed(100 * claim.together, 0)} of 100"
        is_nothing = not round(100 * claim.together)
    return "" if is_nothing else f"What moved all students here, {by}, is taken off. "


def _which_way(kind: str, claim: "Claim") -> str:
    """A change for the worse is none that the drill is kept for: a miss grows, the rest falls."""
    is_worse = claim.value > 0 if kind == "miss" else claim.value < 0
    words = said.answer(claim)
    return "it got worse" if claim.answer == "moved" and is_worse else words


def _change(kind: str, claim: "Claim", reader: MovedReader) -> str:
    if kind == "speed":
        speed = reader.speed
        way = "Down" if claim.value < 0 else "Up"
        changed = f"{way} {speed.speed(abs(claim.value))}"
        return f"{changed}; from {speed.speed(claim.reach)} on it is real"
    if kind == "miss":
        unit = DISTANCE[reader.distance]
        value, low, high = (unit.from_si(x) for x in (claim.value, claim.low, claim.high))
        ends = said.outward(low, high, 1)
        words = _ways(f"{value:.1f}".replace("-", "−"), ends, "nearer", "further", unit.sign)
        return f"Balls end {words}"
    ends = said.outward(100 * claim.low, 100 * claim.high)
    words = _ways(f"{100 * claim.value:.0f}".replace("-", "−"), ends, "fewer", "more", "")
    return f"Clean of 100: {words}"


def _ways(value: str, ends: tuple[str, str], less: str, more: str, unit: str) -> str:
    """'57 fewer. It may be 20 to 95 fewer', '3 m further. It may be 4 nearer to 10 further'."""

    def way(figure: str) -> str:
        return less if figure.startswith("−") else more

    low, high = ends
    size, from_, to = value.strip("−"), low.strip("−"), high.strip("−")
    span = f"{from_} {way(low)} to {to} {way(high)}"
    if way(low) == way(high):
        near, far = (to, from_) if way(low) == less else (from_, to)
        span = f"{near} to {far} {way(low)}"
    return f"{' '.join(filter(None, (size, unit, way(value))))}. It may be {span}"


def _signed(value: float, places: int = 1) -> str:
    rounded = round(value, places) + 0.0
    return f"{'−' if rounded < 0 else '+'}{abs(rounded):.{places}f}"


def _more(more: "MoreAndMore | TooLittle") -> list[str]:
    """Is more giving more: silent below ten pairs, its traps said aloud."""
    if isinstance(more, TooLittle):
        return []
    words = said.sentence(f"{more.link} so far ({more.n} tests, each with its fortnight).")
    figures = (
        f"Rank link {_signed(more.rank_correlation, 2)} given the test before, p {more.p:.2f}."
    )
    traps = (
        f"{said.many(more.after_bad_tests, 'heavy fortnight')} followed a worse test. What that "
        "alone makes of a link is taken off. More may get done when it goes well. Both may "
        "follow the season. A planned light fortnight would tell."
    )
    return [words, figures, SEEN_47 if more.link == "no link seen" else "", traps]


# --- figures ---


def _done_chart(parts: Sequence[PartMoved]) -> Bars:
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
    name = test.name or "A coach’s counts"
    return OverDays(name, f"{said.many(len(points), 'test day')}.", axis, points)
