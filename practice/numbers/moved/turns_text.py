"""Drawn turns in words, as a drawn start is said."""

from practice.measures.answers import TooLittle
from practice.numbers.kit import text as said
from practice.numbers.moved.try_out_text import (
    HINT,
    TOO_FEW,
    UNSEEN,
    TrialView,
    Units,
    by_chance,
    how_much,
)
from practice.numbers.moved.turns import Turns
from shared.kit.text import date_words

LASTS = "What one turn teaches lasts into the next, so a difference may stay unseen."
CAVEAT = "It tells of this test in these weeks."


def turns_views(found: tuple[Turns, ...], units: Units) -> tuple[TrialView, ...]:
    """For those who teach."""
    return tuple(_view(each, units) for each in found)


def own_turns_words(found: tuple[Turns, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """For the student and guardians: what was compared, and what is said of it."""
    kept = [each for each in found if not each.ended_on]
    return tuple((_name(each), tuple(_lead(each))) for each in kept)


def _view(each: Turns, units: Units) -> TrialView:
    return TrialView(
        id=each.id,
        name=_name(each),
        word=_word(each),
        lead=tuple(_lead(each)),
        small=tuple(_small(each, units)),
        how=tuple(_how(each)),
        may_end=each.proof is None and each.ended_on is None,
    )


def _name(each: Turns) -> str:
    return f"{each.drill} and {each.other}" if each.other else f"{each.drill}, light fortnights"


def _word(each: Turns) -> str:
    proof = each.proof
    if each.ended_on:
        return "Ended"
    if proof is None:
        return "Running" if each.today >= each.first else "Drawn"
    if isinstance(proof, TooLittle):
        return "Cannot be told"
    if proof.is_proved:
        return "They differ"
    return "A hint" if proof.is_hint else "No difference seen"


def _lead(each: Turns) -> list[str]:
    proof = each.proof
    if each.ended_on:
        return [f"It was ended on {date_words(each.ended_on)}, before it was judged."]
    if proof is None:
        judged = date_words(each.judged_on)
        turn = "The two drills take turns by week, as drawn."
        if not each.other:
            turn = "Of each two fortnights one is light, as drawn."
        return [turn, f"The tests up to {judged} tell whether they differ."]
    if isinstance(proof, TooLittle):
        return [TOO_FEW]
    if not proof.is_proved and not proof.is_hint:
        return ["No difference was seen.", by_chance(proof), UNSEEN if not each.other else LASTS]
    if each.other:
        better, worse = (each.drill, each.other) if proof.value < 0 else (each.other, each.drill)
        first = f"Tests were better in weeks of “{better}” than of “{worse}”."
    else:
        more = "light fortnights" if proof.value > 0 else "fortnights of the usual dose"
        first = f"Tests gained more in {more}."
    return [first, by_chance(proof), CAVEAT if proof.is_proved else HINT]


def _small(each: Turns, units: Units) -> list[str]:
    proof, pairs, words = each.proof, len(each.turns) // 2, []
    if proof is None and not each.ended_on:
        words.append(f"At best chance alone does as well in 2 of {2**pairs} draws.")
        words.append(f"So far {said.many(each.tests, 'test day')}. Each turn needs one.")
    if proof is not None and not isinstance(proof, TooLittle):
        words.append(f"The mean difference is {how_much(each.kind, proof.value, units)}.")
        words.append(f"It is of {proof.before} of {said.many(pairs, 'pair')} of turns.")
    if each.ended_why:
        words.append(f"Why: “{each.ended_why}”.")
    return words


def _how(each: Turns) -> list[str]:
    """What SCRIBE 2016 asks to be told, as for a drawn start."""
    first, second = (each.drill, each.other) if each.other else ("usual", "light")
    order = ", ".join(second if turn else first for turn in each.turns)
    design = "Two drills in drawn turns of a week, in pairs (alternating treatments)."
    figure = "The figure of a turn is the mean of its tests."
    if not each.other:
        design = "One drill, usual and light in drawn turns of a fortnight, in pairs."
        figure = "The figure of a turn is its last test less the one before it."
    otherwise = "nothing that was logged."
    if each.stray:
        otherwise = f"on {said.many(each.stray, 'day')} a drill was done in the other’s week."
    return [
        f"Design: {design}",
        f"Drawn once by the app on {said.day(each.drawn_on)}, with the number {each.seed}.",
        f"Order, from {said.day(each.first)} on: {order}.",
        f"Test: {each.test}, on {said.many(each.tests, 'day')}.",
        f"It is judged once, with the tests up to {said.day(each.judged_on)}.",
        figure,
        "The difference of the means stands beside that of every other draw.",
        "That is a randomisation test, two-sided. A pair with a turn without a test is left out.",
        "They differ: at most one draw in twenty makes as great a difference.",
        f"Otherwise than planned: {otherwise}",
    ]
