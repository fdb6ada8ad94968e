"""From the speed book and the wedge card to what of them is worth a coach's eye."""

from datetime import date, timedelta
from statistics import fmean
from typing import TYPE_CHECKING

from practice.measures.answers import TooLittle
from practice.numbers.now.values import Missed, Numbers, Said, SpeedNow, Verdict
from practice.numbers.speed.book import SpeedBook, SpeedLine, claim_on
from practice.numbers.wedges.card import WedgeCard

if TYPE_CHECKING:
    from practice.measures.claim import Claim


MONTH, LATER, KEPT = timedelta(days=28), 3, 0.5


def numbers_of(book: SpeedBook, card: WedgeCard) -> Numbers:
    """The line of speed with the newest tests that has a claim, and the missed distances."""
    lines = [line for line in book.lines if not isinstance(line.claim, TooLittle)]
    newest = max(lines, key=lambda line: line.days[-1].day, default=None)
    if newest is None:
        return Numbers(missed=missed(card))
    claims = _claims(newest)
    return Numbers(_speed_now(newest, claims), missed(card), _said(newest, claims))


def _claims(line: SpeedLine) -> list["Claim | TooLittle"]:
    """What could be claimed on each test day, the first one first."""
    days = line.days
    before = [claim_on(days[:n], line.line.quantity, line.usual) for n in range(1, len(days))]
    return [*before, line.claim]


def _speed_now(line: SpeedLine, claims: list["Claim | TooLittle"]) -> SpeedNow | None:
    """None while there are too few days for a claim."""
    from practice.measures.change import BASELINE_DAYS, STEADY_DAYS

    claim = line.claim
    if isinstance(claim, TooLittle):
        return None
    days = line.days
    best = max(range(len(days)), key=lambda n: days[n].figure)
    return SpeedNow(
        quantity=line.line.quantity,
        verdict=verdict_of(claim),
        is_recent=claim.is_recent,
        before=claim.before,
        now=claim.now,
        needed=claim.reach,
        days=len(days),
        newest=days[-1].day,
        since=_said_since(line, claims),
        best=days[best].figure,
        best_on=days[best].day,
        is_new_best=best >= max(BASELINE_DAYS, len(days) - STEADY_DAYS),
        spread=None if isinstance(line.steady, TooLittle) else line.steady.spread,
        usual_spread=line.usual.ratio,
        together=claim.together,
    )


def verdict_of(claim: "Claim") -> Verdict:
    if claim.better or claim.worse:
        return Verdict.UP if claim.value > 0 else Verdict.DOWN
    return Verdict.LEVEL if claim.is_ruled_out else Verdict.UNTOLD


def _word(claim: "Claim | TooLittle") -> Verdict:
    return Verdict.UNTOLD if isinstance(claim, TooLittle) else verdict_of(claim)


def _said_since(line: SpeedLine, claims: list["Claim | TooLittle"]) -> date:
    """The first of the newest test days in a row on which this was claimed."""
    since, now = line.days[-1].day, _word(claims[-1])
    for day, claim in zip(reversed(line.days), reversed(claims), strict=True):
        if isinstance(claim, TooLittle) or _word(claim) != now:
            break
        since = day.day
    return since


def _said(line: SpeedLine, claims: list["Claim | TooLittle"]) -> tuple[Said, ...]:
    """Every Up and Down that began on some test day, and what the tests a month later say.

    House rule: it still holds if the first three test days from then on lie, in the mean, on
    its side of the start by half the change that was claimed.
    """
    found, before = [], Verdict.UNTOLD
    for day, claim in zip(line.days, claims, strict=True):
        word = _word(claim)
        if (
            word in {Verdict.UP, Verdict.DOWN}
            and word != before
            and not isinstance(claim, TooLittle)
        ):
            later = [each.figure for each in line.days if each.day - day.day >= MONTH][:LATER]
            kept = (fmean(later) - claim.before) / claim.value >= KEPT if later else None
            found.append(Said(word, day.day, kept))
        before = word
    return tuple(found)


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
