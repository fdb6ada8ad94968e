"""Every public function of the measures, and one good call of each."""

import importlib
import inspect
import pkgutil
from collections.abc import Callable
from typing import Any

import practice.measures
from practice.measures.bag import SwingKnown
from practice.measures.days import level_over_days
from practice.measures.diary import Overcount
from practice.measures.flight import Launch, Wind
from practice.measures.ladder import Curve
from practice.measures.strength import Formula
from practice.measures.trend import FittedLine
from practice.measures.wedges import Cell

DAYS = [7.0 * i for i in range(10)]
SPEEDS = [60.0, 60.6, 60.9, 61.4, 62.2, 62.4, 63.1, 63.4, 64.1, 64.4]
CARRIES = [58.0, 60.0, 61.0, 59.0, 62.0, 60.5, 57.5, 61.5, 60.0, 59.5]
LINES = [1.0, -2.0, 0.5, 2.0, -1.0, 0.0, 1.5, -0.5, 0.2, -1.2]
TESTS = [(week - 2.5, value) for week, value in enumerate(SPEEDS)]
CARD = {
    Cell("54", "hip"): CARRIES[:5],
    Cell("54", "chest"): [value + 12 for value in CARRIES[:5]],
    Cell("50", "hip"): [value + 20 for value in CARRIES[:5]],
}
LINES_OFF = [abs(each) for each in LINES]
LEVELS = {cell: level_over_days([balls[:3], balls[3:]], "m") for cell, balls in CARD.items()}
NEIGHBOURS = {
    Cell(club, length): level_over_days([CARRIES[n : n + 3], CARRIES[n + 3 : n + 6]], "m")
    for n, club in enumerate(("58", "54", "50"))
    for length in ("hip", "chest")
}
HIP, CHEST, _ = LEVELS.values()
MEANS = {Cell("54", "hip"): 60.0, Cell("54", "chest"): 72.0}
SESSIONS = [SPEEDS[:3], SPEEDS[3:6], SPEEDS[6:]]
CURVE = Curve(8.0, -0.1, ((1.0, -0.01), (-0.01, 0.0002)), (40.0, 60.0, 80.0), 60)
LINE = FittedLine(60.0, 0.07, 0.01, 0.2, 31.5, 4042.5, 10)
WEDGE = Launch(35.0, 32.0, 7000.0)
WIND = Wind(-4.0, 3.0)

GOOD: dict[str, dict[str, Any]] = {
    "air.standard_atmosphere": {"altitude": 300.0},
    "air.moist_air_density": {"celsius": 20.0, "pressure": 101_325.0, "humidity": 0.5},
    "arrays.numbers": {"values": SPEEDS},
    "arrays.some_numbers": {"values": SPEEDS},
    "arrays.share": {"level": 0.5},
    "arrays.finite": {"value": 1.0},
    "change.typical_error": {"first": SPEEDS, "second": SPEEDS[::-1]},
    "change.smallest_real_change": {
        "typical": 1.0,
        "pairs": 5,
        "baseline_tests": 2,
        "tests_now": 3,
    },
    "change.worth_of": {"day_figures": SPEEDS, "least": 0.8},
    "change.steadiness": {"day_figures": SPEEDS, "usual_spread": 0.8},
    "claim.change_of_shares": {"days": [(8, 10), (5, 10), (9, 12), (7, 9)], "worth": 0.1},
    "claim.change_of_levels": {
        "days": [CARRIES[:3], CARRIES[3:6], CARRIES[6:8], CARRIES[8:]],
        "unit": "m",
        "worth": 1.0,
    },
    "claim.critical": {"chance": 0.05, "ratio": 4.0, "freedom": 10.0},
    "claim.seen_by": {"days": 8, "balls": 10, "variance": 0.25, "start": 3},
    "lately.change_of_figures": {
        "figures": SPEEDS,
        "spread": 0.8,
        "unit": "m/s",
        "worth": 0.8,
        "balls": 60,
        "start": 4,
    },
    "bag.best_bags": {"misses": {"58": LINES_OFF, "54": LINES_OFF}, "met": CARRIES},
    "bag.nearest_of": {"swings": CARRIES, "spreads": SPEEDS, "distances": CARRIES},
    "bag.nearer": {
        "swings": {
            Cell("58", "hip"): SwingKnown(60.0, 2.0, 1.0, 0.3),
            Cell("50", "hip"): SwingKnown(72.0, 3.0, 1.0, 0.3),
        },
        "met": {60.0: 2.0, 70.0: 1.0},
        "pairs": [(("58", "50"), ("58",))],
    },
    "bag.at_loft": {
        "card": {
            Cell("58", "hip"): SwingKnown(60.0, 2.0),
            Cell("50", "hip"): SwingKnown(72.0, 3.0),
        },
        "lofts": {"58": 58.0, "50": 50.0},
        "loft": 54.0,
    },
    "neighbours.leaned": {"card": NEIGHBOURS, "level": 0.9},
    "chart.individuals": {"values": SPEEDS},
    "chart.signals": {"z": LINES},
    "flight.usual_coefficients": {"spin_parameter": 0.1},
    "flight.fly": {
        "launch": WEDGE,
        "density": 1.2,
        "wind": WIND,
        "start_height": 1.0,
        "tolerance": 1e-6,
    },
    "diary.by_the_clock": {
        "said": CARRIES,
        "found": Overcount(0.2, 0.1, 0.2, 12.0, 6, 4),
        "timed": 10.0,
        "level": 0.9,
    },
    "diary.overcount": {
        "own": [(20.0, 16.0), (30.0, 25.0), (15.0, 12.0)],
        "others": [[(20.0, 20.0), (10.0, 9.0)], [(30.0, 21.0)]],
    },
    "days.level_over_days": {"days": SESSIONS, "unit": "m", "coarsest": 1.0, "level": 0.9},
    "days.share_over_days": {"days": [(8, 10), (5, 10), (9, 12)], "level": 0.9},
    "drawn.ways_to_start": {"windows": [(0, 2), (2, 2)]},
    "drawn.draw_starts": {"windows": [(0, 2), (2, 2)], "seed": 3},
    "drawn.ways_to_turn": {"pairs": 6},
    "drawn.draw_turns": {"pairs": 6, "seed": 3},
    "drawn.between_turns": {"figures": SPEEDS, "turns": [0, 1, 1, 0] * 2 + [0, 1], "seed": 1},
    "drawn.since_drawn_starts": {
        "series": [TESTS, TESTS],
        "windows": [(0, 2), (2, 2)],
        "starts": [3, 0],
        "seed": 1,
    },
    "flight.carry_ratio": {
        "launch": WEDGE,
        "density": 1.0,
        "reference_density": 1.2,
        "wind": WIND,
        "tolerance": 1e-6,
    },
    "gaps.between": {"shorter": HIP, "longer": CHEST, "part": 0.5, "level": 0.9},
    "gaps.in_between": {"card": LEVELS, "target": 65.0, "level": 0.9},
    "grain.grain_of": {"values": SPEEDS, "coarsest": 1.0},
    "ladder.holds": {"days": [(8, 10), (9, 10), (7, 10)]},
    "ladder.self_score_gap": {"pairs": [(8, 5, 10), (9, 6, 10)]},
    "ladder.clean_curve": {
        "efforts": [40.0, 60.0, 80.0],
        "clean": [9, 7, 3],
        "reps": [10, 10, 10],
        "days": [1, 1, 2],
    },
    "ladder.highest_effort": {"curve": CURVE, "criterion": 0.8, "z": 1.96},
    "ladder.step_ratio": {"target": 0.75},
    "ladder.next_effort": {"effort": 60.0, "clean": 8, "reps": 10, "target": 0.8, "step": 5.0},
    "load.session_load": {"felt": 5.0, "minutes": 60.0},
    "load.week_load": {"days": [300.0, 0.0, 450.0, 200.0, 0.0, 600.0, 0.0]},
    "load.smoothing": {"days": 7},
    "load.rolling_load": {"days": [float(day % 5) for day in range(40)]},
    "rates.counts": {"successes": 3, "tries": 5},
    "rates.score_interval": {"share": 0.6, "tries": 5.0, "z": 1.96},
    "rates.score_difference": {
        "successes": 3,
        "tries": 5,
        "others": 2,
        "other_tries": 7,
        "level": 0.9,
    },
    "rates.clean_share": {"successes": 3, "tries": 5, "level": 0.9},
    "spread.components": {"sessions": SESSIONS},
    "spread.spread": {"values": SPEEDS, "unit": "m/s", "level": 0.9},
    "strength.one_rep_maximum": {"mass": 100.0, "reps": 5, "formula": Formula.EPLEY},
    "strength.relative_strength": {"lift": 100.0, "body_mass": 80.0},
    "several.beyond_range": {"q": 3.0, "groups": 4, "freedom": 12.0},
    "several.chance_alike": {
        "difference": 3.0,
        "errors": (1.0, 2.0),
        "groups": 4,
        "freedom": 12.0,
    },
    "several.drawn_in": {"figures": LINES, "variances": [1.0] * 10},
    "strokes.putts_from": {"ends": CARRIES},
    "strokes.saved_by_nearer": {"days": SESSIONS, "nearer": 0.2, "level": 0.9},
    "studio.prior_of": {"variances": SPEEDS, "freedoms": [9.0] * 10},
    "studio.series_of_balls": {
        "days": [CARRIES[n : n + 2] for n in range(0, 10, 2)],
        "of_medians": True,
    },
    "studio.series_of_figures": {"figures": SPEEDS},
    "studio.series_of_shares": {"days": [(8, 10), (5, 10), (9, 12), (7, 9), (3, 4)]},
    "studio.trigamma_at": {"value": 1.0},
    "trend.robust_slope": {"days": DAYS, "values": SPEEDS, "unit": "m/s", "level": 0.9},
    "trend.line": {"days": DAYS, "values": SPEEDS},
    "trend.goal_days": {"fit": LINE, "target": 66.0, "horizon": 126.0, "level": 0.9},
    "trend.when_reached": {"days": DAYS, "values": SPEEDS, "target": 66.0, "level": 0.9},
    "verdicts.done_and_moved": {"done_share": 0.8, "open_weeks": 3, "tests": 2, "claim": None},
    "verdicts.more_and_more": {
        "minutes": SPEEDS,
        "changes": LINES,
        "before": CARRIES,
        "shuffles": 50,
    },
    "weather.density_at": {"altitude": 300.0, "celsius": 20.0, "humidity": 0.4},
    "weather.launch_that_carries": {
        "carry": 60.0,
        "density": 1.2,
        "angle": 32.0,
        "spin": 7000.0,
    },
    "weather.card_in_air": {"card": MEANS, "here": 1.0, "reference": 1.2, "wind": WIND},
    "wedges.robust_spread": {"carries": CARRIES, "coarsest": 1.0},
    "wedges.steps": {"card": MEANS},
    "wedges.odd_clubs": {
        "shorter": {"60": 26.0, "54": 34.0, "48": 43.0},
        "longer": {"60": 33.0, "54": 42.0, "48": 52.0},
    },
    "wedges.miss": {"carries": CARRIES, "target": 65.0, "reach": 1.5},
    "wedges.expected_miss": {"mean_error": 1.0, "spread": 2.0},
    "wedges.best_swings": {"card": CARD, "target": 65.0},
    "wedges.next_ball_ellipse": {"depth": CARRIES, "line": LINES, "level": 0.9},
}

# They take no numbers from outside: kinds of evidence, and arrays that came through the door.
WITHOUT_NUMBERS = {
    "answers.weakest",
    "arrays.same_length",
    "claim.claim_of",
    "claim.too_little",
    "days.alike_days",
    "days.alike_variance",
    "days.between_days",
    "days.effective_tries",
    "days.of_median",
    "days.weighted_mean",
    "ladder.firth",
    "roots.root",
    "several.random_effects",
    "verdicts.kept_of",
    "studio.spread_of_days",
    "together.by_month",
    "together.month_of",
    "together.moved_together",
    "together.shared_by",
    "tried.freed_of_steps",
}

# What may lie below zero: departures, differences, angles, places, days before a start.
MAY_BE_NEGATIVE = {
    ("air.standard_atmosphere", "altitude"),
    ("air.moist_air_density", "celsius"),
    ("arrays.finite", "value"),
    ("arrays.numbers", "values"),
    ("arrays.some_numbers", "values"),
    ("change.typical_error", "first"),
    ("change.typical_error", "second"),
    ("chart.individuals", "values"),
    ("claim.change_of_levels", "days"),
    ("lately.change_of_figures", "figures"),
    ("studio.series_of_balls", "days"),
    ("several.chance_alike", "difference"),
    ("several.drawn_in", "figures"),
    ("studio.series_of_figures", "figures"),
    ("studio.series_of_shares", "days"),
    ("change.worth_of", "day_figures"),
    ("claim.change_of_shares", "days"),
    ("chart.signals", "z"),
    ("days.level_over_days", "days"),
    ("grain.grain_of", "values"),
    ("spread.components", "sessions"),
    ("spread.spread", "values"),
    ("trend.robust_slope", "days"),
    ("trend.robust_slope", "values"),
    ("trend.line", "days"),
    ("trend.line", "values"),
    ("trend.goal_days", "target"),
    ("trend.goal_days", "horizon"),
    ("trend.when_reached", "days"),
    ("trend.when_reached", "values"),
    ("trend.when_reached", "target"),
    ("verdicts.more_and_more", "changes"),
    ("verdicts.more_and_more", "before"),
    ("weather.density_at", "altitude"),
    ("weather.density_at", "celsius"),
    ("drawn.ways_to_start", "windows"),
    ("drawn.draw_starts", "windows"),
    ("drawn.between_turns", "figures"),
    ("drawn.since_drawn_starts", "series"),
    ("drawn.since_drawn_starts", "windows"),
    ("wedges.expected_miss", "mean_error"),
    ("wedges.next_ball_ellipse", "depth"),
    ("wedges.next_ball_ellipse", "line"),
}


def public_functions() -> dict[str, Callable[..., Any]]:
    found = {}
    for info in pkgutil.iter_modules(practice.measures.__path__, "practice.measures."):
        module = importlib.import_module(info.name)
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == info.name and not name.startswith("_"):
                found[f"{info.name.removeprefix('practice.measures.')}.{name}"] = function
    return found
