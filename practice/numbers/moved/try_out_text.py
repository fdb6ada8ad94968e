"""A try-out in words: what was drawn, what is known, how sure, and from how many days."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING
from uuid import UUID

from practice.measures.answers import TooLittle
from practice.numbers.kit import text as said
from practice.numbers.moved.try_out import Trial
from practice.tryouts.models import ELSEWHERE, RESTS
from shared.kit.text import date_words, number
from shared.kit.units import SPEED

if TYPE_CHECKING:
    from practice.measures.claim import Claim
    from practice.measures.drawn import Proof
    from practice.measures.verdicts import Kept

CAVEAT = "It tells of this drill and this test in these weeks."
UNSEEN = "A true help can stay unseen."
HINT = "That is a hint, no proof."
TOO_FEW = "There were too few test days, so nothing can be told."


@dataclass(frozen=True, slots=True)
class TrialView:
    """One try-out on a page. `how` are lines under *How was this worked out?*."""

    id: UUID
    name: str
    word: str
    lead: tuple[str, ...]
    small: tuple[str, ...]
    how: tuple[str, ...]
    may_end: bool


@dataclass(frozen=True, slots=True)
class Units:
    """Of whoever reads."""

    speed: str
    distance: str


def trial_views(trials: tuple[Trial, ...], units: Units) -> tuple[TrialView, ...]:
    """For those who teach."""
    return tuple(_view(each, units) for each in trials)


def own_words(trials: tuple[Trial, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """For the student and guardians: the drill, and what is said of it; none that was ended."""
    return tuple((each.drill, _said(each)) for each in trials if not each.ended_on)


def over_words(trial: Trial) -> str:
    """Why nothing more is asked of it, for whoever sets the week; '' for what helped."""
    if trial.proof is None:
        return ""
    if isinstance(trial.proof, TooLittle):
        return f"“{trial.drill}” had too few test days: its try-out tells nothing."
    if trial.proof.is_proved or trial.proof.is_hint:
        return ""
    return f"No help of “{trial.drill}” was seen. Its test is asked no more."


def _view(trial: Trial, units: Units) -> TrialView:
    return TrialView(
        id=trial.id,
        name=trial.drill,
        word=_word(trial),
        lead=_said(trial),
        small=tuple(_small(trial, units)),
        how=tuple(_how(trial)),
        may_end=trial.proof is None and trial.ended_on is None,
    )


def _said(trial: Trial) -> tuple[str, ...]:
    return (*_lead(trial), *_caveat(trial), *_stays(trial), *_held(trial))


def _held(trial: Trial) -> list[str]:
    """A stop goes before whatever the tests say; nothing here tells what it is for."""
    if trial.ended_on or not trial.is_held:
        return []
    return [f"“{trial.drill}” is not for now, whatever its tests say."]


def _word(trial: Trial) -> str:
    proof = trial.proof
    if trial.ended_on:
        return "Ended"
    if proof is None:
        return "Running" if trial.today >= trial.run.begins else "Drawn"
    if isinstance(proof, TooLittle):
        return "Cannot be told"
    if proof.is_proved:
        return "It helped"
    return "A hint" if proof.is_hint else "No help seen"


def _lead(trial: Trial) -> list[str]:
    proof, begins = trial.proof, date_words(trial.run.begins)
    if trial.ended_on:
        return [f"It was ended on {date_words(trial.ended_on)}, before it was judged."]
    if proof is None:
        verb = "began" if trial.today >= trial.run.begins else "begins"
        judged = date_words(trial.judged_on)
        return [
            f"“{trial.drill}” {verb} in a week that was drawn, {begins}.",
            f"Its tests up to {judged} tell whether it helps.",
        ]
    if isinstance(proof, TooLittle):
        return [TOO_FEW]
    who = "" if trial.of == 1 else f" of the {number(trial.of - trial.left)} students"
    if proof.is_proved or proof.is_hint:
        return [f"The tests{who} got better after “{trial.drill}” began.", by_chance(proof)]
    return [f"In the tests{who} no help of “{trial.drill}” was seen.", by_chance(proof)]


def by_chance(proof: "Proof") -> str:
    """'Chance alone does as well in 2 of 24 draws.'"""
    return f"Chance alone does as well in {proof.as_good} of {proof.looked_at} draws."


def _caveat(trial: Trial) -> list[str]:
    proof = trial.proof
    if proof is None or isinstance(proof, TooLittle):
        return []
    if proof.is_proved:
        return [CAVEAT]
    return [HINT] if proof.is_hint else [UNSEEN]


def _stays(trial: Trial) -> list[str]:
    """Only of what helped, or seemed to."""
    proof, found = trial.proof, trial.stays
    if found is None or proof is None or isinstance(proof, TooLittle):
        return []
    if not proof.is_proved and not proof.is_hint:
        return []
    days = (trial.today - trial.judged_on).days
    words = ["Tests after 7 and 14 days without it tell whether that stays."]
    if days > min(RESTS):
        words = [f"After a week or two without it: it {_kept(found.rest, found.rest_claim)}."]
    if found.elsewhere is not None and found.elsewhere_claim is not None and days > ELSEWHERE:
        words.append(f"At another place: it {_kept(found.elsewhere, found.elsewhere_claim)}.")
    return words


def _kept(kept: "Kept", claim: "Claim | TooLittle") -> str:
    """'stays', 'fades', 'cannot be told yet, about 4 more test days'."""
    if kept != "cannot tell yet":
        return str(kept)
    if isinstance(claim, TooLittle):
        return f"cannot be told yet, {said.many(claim.missing, 'more test day')}"
    if not claim.more_days:
        return "cannot be told yet"
    return f"cannot be told yet, about {said.many(claim.more_days, 'more test day')}"


def _small(trial: Trial, units: Units) -> list[str]:
    run, proof = trial.run, trial.proof
    words = []
    if proof is None and not trial.ended_on:
        words.append(f"At best chance alone does as well in 1 of {trial.ways} draws.")
        since = len(run.tests) - run.before
        words.append(f"So far {said.many(run.before, 'test day')} before it and {since} since.")
        words.append("Two are needed before the first possible week, and two after the last.")
    if proof is not None and not isinstance(proof, TooLittle):
        change = _gain(run.kind, proof.value, units)
        words.append(f"The tests since are {change}, on {said.many(proof.since, 'test day')}.")
        words.append(f"They stand beside {said.many(proof.before, 'test day')} before it.")
    if trial.ended_why:
        words.append(f"Why: “{trial.ended_why}”.")
    return words


def _gain(kind: str, value: float, units: Units) -> str:
    way = "better" if value >= 0 else "worse"
    if kind in {"speed", "miss"}:
        return f"{how_much(kind, value, units)} {way}"
    return f"{way} by {how_much(kind, value, units)}"


def how_much(kind: str, value: float, units: Units) -> str:
    """How large a difference is, whichever way: '3.1 mph', '1.2 m', '12 of 100'."""
    if kind == "speed":
        unit = SPEED[units.speed]
        return f"{abs(unit.from_si(value)):.1f} {unit.sign}"
    if kind == "miss":
        return said.metres(abs(value), units.distance)
    return f"{abs(100 * value):.0f} of 100"


def _how(trial: Trial) -> list[str]:
    """What the guideline for reports of single cases (SCRIBE 2016) asks to be told.

    Tate, R. L. et al. (2016). Archives of Scientific Psychology 4, 1-9: design, order, how it
    was drawn, points a phase, the analysis, and what went otherwise than planned.
    """
    run = trial.run
    design = "One student. The week in which it begins was drawn."
    if trial.of > 1:
        design = (
            f"{number(trial.of).capitalize()} students, one after the other. Who begins when was "
            "drawn. This is a multiple baseline, judged as by Koehler and Levin (1998)."
        )
    since = len(run.tests) - run.before
    return [
        f"Design: {design}",
        f"Drawn once by the app on {_day(trial.drawn_on)}, with the number {trial.seed}.",
        f"This student had {said.many(run.starts, 'possible week')} from {_day(run.first)} on.",
        f"In all {trial.ways} draws were possible.",
        f"Order: without it until {_day(run.begins)}, then with it.",
        f"Test: {trial.test}, on {said.many(run.before, 'day')} before and {since} since.",
        f"It is judged once, with the tests up to {_day(trial.judged_on)}.",
        "The figure is the mean of the tests since then less the mean before.",
        "It stands beside the same figure for every other draw.",
        "That is a randomisation test, and only better counts.",
        "It helped: at most one draw in twenty does as well.",
        "Whether it stays is one claim: tests without it beside the last with it.",
        f"Otherwise than planned: {_deviations(trial)}",
    ]


def _deviations(trial: Trial) -> str:
    """What went otherwise than planned, as far as it was logged."""
    run, found = trial.run, []
    if run.too_early:
        found.append(f"done on {said.many(run.too_early, 'day')} before it was to begin")
    if idle := run.idle_weeks(trial.until):
        found.append(f"not done in {said.many(idle, 'week')} since it began")
    if days := sum(day <= trial.until for day in trial.held):
        found.append(f"held back on {said.many(days, 'day')}, and judged as drawn")
    if trial.left:
        found.append(f"{trial.left} of {trial.of} left it")
    return f"{said.listed(found)}." if found else "nothing that was logged."


def _day(day: date) -> str:
    return said.day(day)
