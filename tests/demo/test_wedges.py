"""The demo's balls and counts say by the rules what its story means."""

from practice.numbers.ladder.pages import to_coach
from practice.numbers.ladder.queries import read_ladders
from practice.numbers.ladder.table import ladders
from practice.numbers.wedges.card import wedge_card, what_to_hit
from practice.numbers.wedges.pages import Reader, answer
from practice.numbers.wedges.queries import read_wedges
from shared.people.models import Student
from shared.people.today import today_of

COACH = Reader("m", is_own=False)


def card_of(name):
    student = Student.objects.select_related("studio").get(name=name)
    return wedge_card(read_wedges(student), today_of(student))


def test_the_hidden_hole(demo):
    card = card_of("Oskar Vennemo")
    assert [(hole.from_m, hole.to_m) for hole in card.holes] == [(60, 71)]
    assert not card.odd
    words = {target.metres: (target.word, target.wide) for target in card.targets}
    assert words == {
        50: ("centred", False),
        65: ("long", False),
        40: ("centred", False),
        80: ("centred", False),
    }
    assert answer(card, COACH) == (
        "65 m lies in the gap from 60 to 71. Balls at it fly 4.2 m long (10 balls)."
    )
    carries = {cell.swing: cell.carry for cell in card.cells}
    assert len(carries) == 12
    assert None not in carries.values()


def test_what_the_hidden_hole_s_owner_hits_at_65(demo):
    student = Student.objects.get(name="Oskar Vennemo")
    facts = read_wedges(student)
    best = what_to_hit(facts, card_of("Oskar Vennemo"), 65).choices[0]
    assert best.expected_miss > 3
    assert best.n == 11


def test_the_odd_entry(demo):
    card = card_of("Ravindu Peshala")
    assert [(odd.club, odd.longer, odd.to_m) for odd in card.odd] == [("43°", "chest", 73)]
    assert answer(card, COACH).startswith("Check 43° chest-high at 73 m: ")
    assert "hole" not in answer(card, COACH)


def test_centred_but_wide(demo):
    card = card_of("Tamsin Orlebar")
    assert [(t.metres, t.word, t.wide) for t in card.targets] == [(40, "centred", True)]
    assert round(card.targets[0].spread, 1) == 3.9


def test_done_and_not_working(demo):
    student = Student.objects.get(name="Haewon Tolvane")
    today = today_of(student)
    found = ladders(read_ladders(student, today), today)
    drill = next(drill for drill in found.drills if drill.gap is not None)
    steps = {step.effort: (step.clean, step.reps, step.word) for step in drill.steps}
    assert steps == {40: (28, 72, "breaks"), 60: (22, 60, "breaks")}
    assert drill.gap == 23
    assert "It breaks at the lowest step already." in to_coach(drill)
