"""The wedge card as an answer: what it says of known balls."""

from datetime import timedelta
from math import sqrt
from statistics import median

import pytest

from practice.numbers.wedges.card import Swing, wedge_card, what_to_hit
from practice.numbers.wedges.facts import level_of
from practice.numbers.wedges.pages import Reader, answer, print_page, wedge_page
from practice.numbers.wedges.queries import read_wedges
from practice.shots.models import Shot
from tests.numbers import make

pytestmark = pytest.mark.django_db
COACH, OWN = Reader("m", is_own=False), Reader("m", is_own=True)


def card_of(student, within=2.0):
    return wedge_card(read_wedges(student), make.today_of(student), within)


def cell(card, name, length):
    return next(each for each in card.cells if each.swing == Swing(name, length))


def test_a_gap_of_one_day_is_not_called_one(student):
    make.card(student)
    card = card_of(student)
    assert [(hole.from_m, hole.to_m) for hole in card.untold] == [(60, 71)]
    assert not card.holes
    words = "Too soon to say whether a gap lies between 60 and 71 m. Another day tells."
    assert answer(card, COACH) == answer(card, OWN) == words


def test_a_card_with_one_hole(student):
    clubs = make.card(student, days=4)
    # Worked by hand for the trade: ten balls at 65 m, 4.2 long (House rule, common practice).
    make.balls(make.sitting(student), clubs["50°"], make.AT_65, target=65)
    card = card_of(student)
    assert [(hole.from_m, hole.to_m) for hole in card.holes] == [(60, 71)]
    assert {(pair.from_m, pair.to_m) for pair in card.neighbours if pair.kind == "twin"} == {
        (46, 48),
        (71, 72),
    }
    target = card.targets[0]
    assert (target.word, target.wide, round(target.mean_error, 1)) == ("long", False, 4.2)
    assert answer(card, COACH) == (
        "65 m lies in the gap from 60 to 71. Balls at it fly 4.2 m long (10 balls)."
    )
    assert answer(card, OWN) == "You have no stock swing for 65 m yet. Let’s make one."


def test_an_in_between_ball_moves_no_field_of_the_card(student):
    clubs = make.card(student)
    before = cell(card_of(student), "50°", "hip")
    make.balls(make.sitting(student), clubs["50°"], make.AT_65, target=65)
    assert cell(card_of(student), "50°", "hip") == before


def test_centred_and_wide_is_a_contact_problem(student):
    wedge = make.club(student)
    make.balls(make.sitting(student), wedge, make.AT_40, target=40)
    card = card_of(student)
    assert (card.targets[0].word, card.targets[0].wide) == ("centred", True)
    assert round(card.targets[0].spread, 1) == 3.9
    words = wedge_page(card, None, COACH).targets[0][1]
    assert words.startswith("centred, wide; 10 balls, spread 3.9 m")
    assert "Contact rather than choice of distance" in words


def test_an_odd_entry_is_named(student):
    hip, chest = (26, 34, 43, 52), (33, 42, 52, 73)
    names = ("60°", "54°", "48°", "43°")
    make.card(
        student, {n: {"hip": h, "chest": c} for n, h, c in zip(names, hip, chest, strict=True)}
    )
    card = card_of(student)
    assert [(odd.club, odd.to_m) for odd in card.odd] == [("43°", 73)]
    assert "A typing error, or a fuller swing?" in wedge_page(card, None, COACH).odd[0]


def test_too_few_balls_say_how_many_more_and_no_figure(student):
    wedge = make.club(student)
    make.balls(make.sitting(student), wedge, [40, 41, 42, 43], length="hip", target=42)
    card = card_of(student)
    found = cell(card, "54°", "hip")
    assert (found.carry, found.n, found.missing, found.state) == (None, 4, 1, "too few")
    assert card.targets[0].word == "too few"
    assert card.targets[0].missing == 4
    assert wedge_page(card, None, COACH).rows[0].cells[0].rest == ("too few: 4, 1 more",)
    assert print_page(card, card.today).rows[0][1][0].m == ""


def test_nothing_at_all_is_said_plainly(student):
    card = card_of(student)
    page = wedge_page(card, what_to_hit(read_wedges(student), card, 60), COACH)
    assert page.answer == "No card yet. The coach puts the clubs in, then each swing needs 5 balls."
    assert page.basis == ""
    assert page.looked_up


def test_another_day_tells_more_than_ten_more_balls(student):
    wedge = make.club(student)
    make.balls(make.sitting(student), wedge, [45, 50, 55, 45, 55, 50], length="hip")
    close, loose = cell(card_of(student, 4), "54°", "hip"), cell(card_of(student, 9), "54°", "hip")
    assert close.another_day < close.ten_more < close.known_to
    assert close.more_days > 1
    assert loose.more_days < close.more_days
    page = wedge_page(card_of(student, 4), None, COACH)
    assert page.rows[0].cells[0].rest[0].startswith("6 balls on 1 day, known to ± ")
    assert any(word.startswith("another day: ± ") for word in page.rows[0].cells[0].rest)


def test_five_balls_typed_alike_are_not_known_to_nothing(student):
    wedge = make.club(student)
    make.balls(make.sitting(student), wedge, [60] * 5, length="hip")
    found = cell(card_of(student), "54°", "hip")
    assert (found.carry, found.spread) == (60, pytest.approx(0.2887, abs=1e-4))
    assert found.known_to > 0.3


def test_a_card_goes_stale_by_age_and_by_a_changed_club(student):
    wedge = make.club(student)
    make.balls(make.sitting(student, days_ago=96), wedge, [50] * 3 + [51] * 3, length="hip")
    assert cell(card_of(student), "54°", "hip").state == "stale"
    make.balls(make.sitting(student, days_ago=5), wedge, [60] * 3 + [61] * 3, length="hip")
    found = cell(card_of(student), "54°", "hip")
    assert (found.state, found.carry, found.n) == ("fresh", 60.5, 6)
    wedge.changed_on = make.today_of(student) - timedelta(days=1)
    wedge.save(update_fields=["changed_on"])
    assert cell(card_of(student), "54°", "hip").state == "stale"
    make.balls(make.sitting(student), wedge, [55] * 5, length="hip")
    found = cell(card_of(student), "54°", "hip")
    assert (found.state, found.carry, found.n) == ("fresh", 55, 5)


def test_series_are_never_joined(student):
    wedge = make.club(student)
    make.balls(make.sitting(student), wedge, [50] * 6, length="hip")
    make.balls(make.sitting(student, place="range"), wedge, [40] * 5, length="hip")
    facts = read_wedges(student)
    assert [each.n for each in facts.others] == [6, 5]
    assert {ball.carry for ball in facts.balls} == {50}
    assert {ball.carry for ball in read_wedges(student, 1).balls} == {40}
    assert {ball.carry for ball in read_wedges(student, 7).balls} == {50}


def test_balls_from_memory_and_taken_back_count_for_nothing(student):
    wedge = make.club(student)
    make.balls(make.sitting(student, from_memory=True), wedge, [50] * 6, length="hip")
    make.balls(make.sitting(student, counts=False), wedge, [50] * 6, length="hip")
    card = card_of(student)
    assert (card.balls, card.from_memory) == (0, 6)
    assert "left out" in wedge_page(card, None, COACH).notes[0]


def test_a_driver_and_a_retired_club_are_not_on_the_card(student):
    make.club(student, "driver", 9.5)
    make.club(student, "old", 56.0, retired_on="2020-01-01")
    assert card_of(student).cells == ()


def test_what_to_hit_names_the_nearest_swing_with_its_miss(student):
    make.card(student)
    facts = read_wedges(student)
    found = what_to_hit(facts, card_of(student), 61)
    assert found.choices[0].swing == Swing("50°", "hip")
    assert found.choices[0].off == pytest.approx(-1)
    assert found.choices[0].expected_miss > 1
    assert found.choices[0].n == 7


def test_seen_balls_make_the_card_seen(student):
    make.balls(make.sitting(student, evidence="seen"), make.club(student), [50] * 6, length="hip")
    assert card_of(student).evidence == "seen"


def test_the_ellipse_needs_ten_balls_with_their_side(student):
    wedge = make.club(student)
    kept = make.sitting(student)
    carries = [50, 52, 48, 51, 49, 53, 47, 50, 51, 49]
    make.balls(kept, wedge, carries[:9], length="hip", sides=[1, -2, 3, 0, -1, 2, -3, 1, 0])
    found = cell(card_of(student), "54°", "hip")
    assert (found.landing, found.landing_missing) == (None, 1)
    make.balls(kept, wedge, carries[9:], length="hip", sides=[-1])
    landing = cell(card_of(student), "54°", "hip").landing
    assert landing.n == 10
    assert landing.long_half >= landing.short_half > 0
    middle = median(shot.carry for shot in Shot.objects.all())
    drawn = sorted((ball.long, ball.right) for ball in landing.balls)
    assert drawn == sorted((shot.carry - middle, shot.side) for shot in Shot.objects.all())


def test_yards_change_no_answer(student):
    make.card(student)
    card = card_of(student)
    yards = wedge_page(card, None, Reader("yd", is_own=False))
    assert yards.rows[0].cells[0].carry == "39.4"
    assert len(yards.between) == len(wedge_page(card, None, COACH).between)


def test_the_read_takes_three_queries_however_many_balls(student, django_assert_num_queries):
    make.card(student)
    with django_assert_num_queries(3):
        read_wedges(student)


def test_neighbours_are_told_apart_with_all_swings_compared_at_once(student):
    """By SciPy's studentised range, each swing with its own error and its days."""
    from scipy.stats import studentized_range

    twins = [50, 52, 48, 51, 49, 53, 47], [51, 53, 49, 53, 50, 55, 48]
    clubs = [make.club(student, f"{loft}°", loft) for loft in (58, 56, 52)]
    for days_ago in (1, 4, 9):
        kept = make.sitting(student, days_ago=days_ago)
        for club, carries in zip(clubs, ([c - 22 for c in twins[0]], *twins), strict=True):
            make.balls(kept, club, carries, length="hip")
    card = card_of(student)
    hole, twin = card.neighbours
    assert (hole.kind, hole.differ, twin.kind, twin.differ) == ("hole", True, "twin", False)
    facts = read_wedges(student)
    by_club = {c.pk: [b for b in facts.balls if b.club == c.pk] for c in clubs}
    _, one, other = (level_of(by_club[c.pk], facts.usual) for c in clubs)
    q = twin.gap / sqrt((one.error**2 + other.error**2) / 2)
    assert studentized_range.sf(q, 3, one.freedom) > 0.05
    told = wedge_page(card, None, COACH).between
    assert told[0].endswith(". They surely differ.")
    assert told[1].endswith("Whether they differ cannot be told yet.")


def test_of_several_distances_the_worst_is_partly_chance(student):
    wedge = make.club(student)
    for days_ago in (1, 3, 6):
        kept = make.sitting(student, days_ago=days_ago)
        for target, off in ((40, 5), (50, 0.5), (60, -1), (70, 0)):
            balls = [target + off + each for each in (-1, 0, 1, 0.5)]
            make.balls(kept, wedge, balls, target=target)
    card = card_of(student)
    worst = card.targets[0]
    assert worst.word == "long"
    assert 3 < worst.lasting < worst.mean_error == pytest.approx(5.125)
    words = dict(wedge_page(card, None, COACH).targets)["40 m"]
    assert ". Of 4 distances, about " in words
    assert " of it is likely to last" in words


def test_a_swing_between_is_reckoned_with_its_interval(student):
    make.card(student)
    facts = read_wedges(student)
    found = what_to_hit(facts, card_of(student), 65)
    between = found.between
    assert (between.club, between.shorter, between.longer) == ("50°", "hip", "chest")
    assert between.part == pytest.approx(5 / 11)
    assert between.next_low < between.low < 65 < between.high < between.next_high
    words = wedge_page(card_of(student), found, COACH).in_between
    assert words.startswith("Worked out, not hit: 50° between hip-high and chest-high, 45 %")
    assert what_to_hit(facts, card_of(student), 119.5).between is None


def test_thin_air_carries_farther_and_standard_air_leaves_the_card_alone(student):
    from practice.numbers.wedges.air import STANDARD, card_in

    make.card(student, {"54°": {"hip": 48, "full": 94}})
    card = card_of(student)
    for shift in card_in(card, *STANDARD).shifts:
        assert shift.there == pytest.approx(shift.carry, rel=1e-6)
    high = card_in(card, 15, 1609, 0)
    # Ideal gas at 15 °C and the US Standard Atmosphere's pressure there, 83.44 kPa.
    assert high.density == pytest.approx(83_440 / (287.05 * 288.15), rel=1e-3)
    for shift in high.shifts:
        assert 1.01 < shift.there / shift.carry < 1.10
        assert shift.low < shift.there < shift.high
    cold = card_in(card, -5, 0, 0)
    assert all(shift.there < shift.carry for shift in cold.shifts)
