"""From the speed book and the wedge card to what of them is worth a coach's eye."""

from collections.abc import Sequence
from datetime import date

from practice.measures.answers import TooLittle
from practice.progress.numbers_now import Missed, Numbers, SpeedNow
from practice.progress.speed_book import SpeedBook, SpeedLine, held_of
from practice.progress.speed_read import SpeedDay
from practice.progress.wedge_card import WedgeCard


def numbers_of(book: SpeedBook, card: WedgeCard) -> Numbers:
    """The line of speed with the newest tests that has a verdict, and the missed distances."""
    lines = [line for line in book.lines if not isinstance(line.change, TooLittle)]
    newest = max(lines, key=lambda line: line.days[-1].day, default=None)
    return Numbers(speed_now(newest) if newest else None, missed(card))


def speed_now(line: SpeedLine) -> SpeedNow | None:
    """None while no verdict is held."""
    from practice.measures.change import BASELINE_DAYS, STEADY_DAYS

    held = line.held
    if held is None:
        return None
    days, usual = line.days, line.usual_spread
    best = max(range(len(days)), key=lambda n: days[n].figure)
    return SpeedNow(
        quantity=line.line.quantity,
        verdict=str(held.verdict),
        is_recent=held is line.recent,
        before=held.before,
        everyday=held.now,
        change=held.change,
        needed=held.needed,
        days=len(days),
        newest=days[-1].day,
        since=_held_since(days, usual, str(held.verdict)),
        best=days[best].figure,
        best_on=days[best].day,
        is_new_best=best >= max(BASELINE_DAYS, len(days) - STEADY_DAYS),
        spread=None if isinstance(line.steady, TooLittle) else line.steady.spread,
        usual_spread=usual,
    )


def _held_since(days: Sequence[SpeedDay], usual: float, verdict: str) -> date:
    """The first of the newest test days in a row on which this verdict was held."""
    from practice.measures.change import against_before, against_start

    figures = [each.figure for each in days]
    since = days[-1].day
    for n in range(len(days) - 1, 0, -1):
        held = held_of(against_start(figures[:n], usual), against_before(figures[:n], usual))
        if held is None or str(held.verdict) != verdict:
            break
        since = days[n - 1].day
    return since


def missed(card: WedgeCard) -> tuple[Missed, ...]:
    """Distances that balls are long or short of, the farthest off first."""
    found = [
        Missed(each.metres, each.mean_error, each.n, each.newest, _hole(card, each.metres))
        for each in card.targets
        if each.word in {"long", "short"} and each.mean_error is not None and each.newest
    ]
    return tuple(sorted(found, key=lambda each: (-abs(each.error), each.target)))


def _hole(card: WedgeCard, metres: float) -> tuple[float, float] | None:
    holes = ((hole.from_m, hole.to_m) for hole in card.holes)
    return next((hole for hole in holes if hole[0] < metres < hole[1]), None)
