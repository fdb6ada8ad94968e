"""The phone's decisions as they stand in their source: no clock, no network, no storage."""

from datetime import date
from random import Random

import pytest

from practice.compliance.dates import Filed, file_result
from practice.drills.dose import parse
from practice.log.shot_figures import LENGTHS
from practice.measures.wedges import Cell, best_swings, expected_miss
from practice.phone import shell
from practice.phone.bundle import step_rows
from practice.shots.odd import UsualFigure, odd_ball
from tests.log.test_sessions_left import CASES, phone_part, phone_rows

pytestmark = pytest.mark.browser

PURE = ["decide.js", "week.js", "owed.js", "credit.js", "measured.js", "short.js", "walk.js"]
A, B, C = (f"0190a6c2-0000-7000-8000-00000000000{n}" for n in (1, 2, 3))


@pytest.fixture(scope="module")
def js(browser):
    """Evaluate an expression beside the sources, with an argument."""
    page = browser.new_page()
    for name in PURE:
        page.add_script_tag(content=shell.source(name))
    yield page.evaluate
    page.close()


def stored(**receipts):
    return {"ok": True, "me": "x", "r": receipts}


@pytest.mark.parametrize(
    ("status", "body", "kind"),
    [
        (200, stored(**{A: ["stored", ""]}), "receipts"),
        (200, stored(**{B: ["stored", ""]}), "unknown"),
        (200, {"ok": True}, "unknown"),
        (200, {"ok": "true", "r": {A: ["stored", ""]}}, "unknown"),
        (200, None, "unknown"),
        (201, stored(**{A: ["stored", ""]}), "unknown"),
        (204, None, "unknown"),
        (0, None, "unknown"),
        (400, {"detail": "bad"}, "unknown"),
        (401, {"code": "login"}, "login"),
        (401, {"detail": "proxy"}, "unknown"),
        (403, {"code": "login"}, "unknown"),
        (404, None, "unknown"),
        (409, None, "unknown"),
        (410, None, "unknown"),
        (429, None, "unknown"),
        (413, None, "split"),
        (500, stored(**{A: ["stored", ""]}), "split"),
        (503, {"code": "busy"}, "split"),
    ],
)
def test_only_a_receipt_that_names_our_id_counts(js, status, body, kind):
    found = js("([status, body, id]) => judge(status, body, [id])", [status, body, A])
    assert found["kind"] == kind


@pytest.mark.parametrize(
    ("receipt", "state"),
    [
        (["stored", ""], 1),
        (["had", ""], 1),
        (["refused", "amount"], 2),
        (["hold", "other_person"], None),
        (["hold", "version"], None),
        (["lost", ""], None),
        ("stored", None),
        (None, None),
    ],
)
def test_what_a_receipt_does(js, receipt, state):
    found = js("(r) => receipt(r)", receipt)
    assert (found and found["st"]) == state


def test_ids_are_version_7_and_in_the_order_of_their_time(js):
    # RFC 9562, section 5.7: 48 bits of milliseconds, version 7, variant 10.
    found = js("() => [1, 2, 1764061200000].map((ms) => uuid7(ms, new Uint8Array(10).fill(255)))")
    assert found[0] == "00000000-0001-7fff-bfff-ffffffffffff"
    assert found == sorted(found)
    assert js("(id) => idTime(id)", found[2]) == 1764061200000
    many = js(
        """() => { const ids = new Set();
        for (let i = 0; i < 3e5; i++) ids.add(uuid7(7, crypto.getRandomValues(new Uint8Array(10))));
        return ids.size; }"""
    )
    assert many == 300_000


@pytest.mark.parametrize(
    ("failures", "random", "asked", "expected"),
    [
        (0, 0.5, None, 5000),
        (1, 0.5, None, 10_000),
        (9, 0.5, None, 300_000),
        (0, 0, None, 3500),
        (0, 1, None, 6500),
        (0, 0.5, "60", 60_000),
        (0, 0.5, "999999", 3_600_000),
        (0, 0.5, "Wed, 25 Nov 2026 12:00:00 GMT", 5000),
    ],
)
def test_the_pause_doubles_to_five_minutes_and_honours_the_server(
    js, failures, random, asked, expected
):
    wait = js("([n, r, a]) => pause(n, r, 5000, 300000, a)", [failures, random, asked])
    assert wait == pytest.approx(expected)


def test_a_change_goes_after_what_it_changes_and_a_bad_one_last(js):
    entries = [{"id": A, "target": B}, {"id": C}, {"id": B}]
    assert js("(e) => batches(e, {}, false).flat().map((x) => x.id)", entries) == [B, C, A]
    order = js("([e, f]) => batches(e, f, true).map((b) => b[0].id)", [entries, {B: 1}])
    assert order == [C, B, A]


@pytest.mark.parametrize("failures", [{A: 2}, {B: 2}, {A: 1, B: 2}, {A: 2, B: 1}])
def test_a_change_goes_after_what_it_changes_whatever_failed_before(js, failures):
    """A log sent behind its own taking back would be counted, and the taking back refused."""
    entries = [{"id": A, "target": B}, {"id": B}]
    for one_by_one in (True, False):
        order = js(
            "([e, f, one]) => batches(e, f, one).flat().map((x) => x.id)",
            [entries, failures, one_by_one],
        )
        assert order == [B, A]


def test_a_batch_holds_at_most_forty(js):
    sizes = (
        "(n) => batches([...Array(n)].map((_, i) => ({ id: i })), {}, false).map((b) => b.length)"
    )
    assert js(sizes, 85) == [40, 40, 5]
    assert js(sizes, 0) == []


@pytest.mark.parametrize(
    ("row", "is_owed"),
    [
        ({}, True),
        ({"st": 0}, False),
        ({"st": 2}, False),
        ({"id": B}, False),
        ({"who": "other"}, False),
        ({"day": "2026-09-01"}, False),
    ],
)
def test_what_the_server_lost_is_owed_to_it(js, row, is_owed):
    """Only with a receipt, only this person's, only of the days that are listed."""
    e = {"id": A, "who": "me", "day": "2026-11-20"} | row
    week = {"me": {"id": "me"}, "since": "2026-09-26", "have": [B]}
    found = js("([rows, week]) => owed(rows, week)", [[{"st": row.get("st", 1), "e": e}], week])
    assert bool(found) is is_owed


@pytest.mark.parametrize(
    ("at", "day"),
    [
        ("2026, 10, 24, 1, 20", "2026-11-23"),
        ("2026, 10, 24, 2, 59", "2026-11-23"),
        ("2026, 10, 24, 3, 0", "2026-11-24"),
        ("2026, 0, 1, 0, 30", "2025-12-31"),
    ],
)
def test_the_practice_day_turns_over_at_three(js, at, day):
    assert js(f"() => practiceDay(new Date({at}))") == day


@pytest.mark.parametrize(
    ("zone", "at", "day", "stamp"),
    [
        # The night the clocks go forward: 03:30 is two and a half hours after midnight.
        ("Europe/London", "2026-03-29T02:30:00Z", "2026-03-29", "2026-03-29T03:30:00+01:00"),
        ("Europe/London", "2026-10-25T02:30:00Z", "2026-10-24", "2026-10-25T02:30:00+00:00"),
        ("Asia/Kolkata", "2026-11-24T20:00:00Z", "2026-11-24", "2026-11-25T01:30:00+05:30"),
        ("America/St_Johns", "2026-11-25T06:00:00Z", "2026-11-24", "2026-11-25T02:30:00-03:30"),
        ("Pacific/Tongatapu", "2026-11-25T14:30:00Z", "2026-11-26", "2026-11-26T03:30:00+13:00"),
    ],
)
def test_day_and_stamp_by_the_clock_of_the_place(browser, zone, at, day, stamp):
    context = browser.new_context(timezone_id=zone)
    page = context.new_page()
    page.add_script_tag(content=shell.source("decide.js"))
    found = page.evaluate("(at) => [practiceDay(new Date(at)), stamp(new Date(at))]", at)
    context.close()
    assert found == [day, stamp]


LADDER = {
    "id": "p",
    "priority": 1,
    "sessions": 3,
    "minutes": 15,
    "spr": 30,
    "days": [],
    "cautions": [],
    "drill": "own",
    "asked": 3,
    "done": 0,
    "steps": [{"n": 10, "u": "reps", "e": 50}, {"n": 8, "u": "reps", "e": 70}],
}


def block(*counts, **more):
    return {"p": "p", "s": [{"n": n} for n in counts]} | more


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["what"])
def test_sessions_left_on_the_phone_are_those_of_the_server(js, case):
    week = {"entries": [], "have": []}
    found = js("([p, w, r]) => left(p, {}, w, r)", [phone_part(case), week, phone_rows(case)])
    assert found == case["left"]


MONDAY = "2026-11-23"


def test_a_change_here_counts_its_difference_only(js):
    week = {"entries": [{"id": "e1", "day": MONDAY, "b": [block(10, 8)]}], "have": ["e1"]}
    part = LADDER | {"done": 1}
    changed = [{"st": 0, "e": {"id": "e2", "day": MONDAY, "target": "e1", "b": [block(0, 0)]}}]
    assert js("([p, w, r]) => left(p, {}, w, r)", [part, week, changed]) == 3
    same = [{"st": 1, "e": week["entries"][0]}]
    assert js("([p, w, r]) => left(p, {}, w, r)", [part, week, same]) == 2


def test_half_a_session_that_the_server_counted_and_half_here_make_one(js):
    first = {"id": "e1", "day": MONDAY, "b": [block(5, 4)]}
    week = {"entries": [first], "have": ["e1"]}
    here = [
        {"st": 1, "e": first},
        {"st": 0, "e": {"id": "e2", "day": "2026-11-24", "b": [block(5, 4)]}},
    ]
    assert js("([p, w, r]) => left(p, {}, w, r)", [LADDER | {"done": 0.5}, week, here]) == 2


@pytest.mark.parametrize(
    ("day", "last", "left"),
    [
        ("2026-11-20", False, 3),  # The week was sent on the 21st: before that nothing counts.
        ("2026-11-21", False, 2),
        ("2026-11-29", False, 2),
        ("2026-11-30", False, 3),
        ("2026-11-30", True, 2),
        ("2026-12-01", True, 3),
    ],
)
def test_only_what_is_filed_in_the_week_counts_for_it(js, day, last, left):
    """As practice.compliance.dates.file_result files it."""
    opens = date(2026, 11, 23)
    filed = file_result(
        day=date.fromisoformat(day),
        opens=opens,
        published_on=date(2026, 11, 21),
        for_last_week=last,
    )
    assert (filed[1] != Filed.UNPLANNED) is (left == 2)
    w = {"opens": str(opens), "closes": "2026-11-29", "published": "2026-11-21"}
    rows = [{"st": 0, "e": {"id": "e", "day": day, "b": [block(10, 8, last=last)]}}]
    week = {"entries": [], "have": []}
    assert js("([p, v, w, r]) => left(p, v, w, r)", [LADDER, w, week, rows]) == left


def test_what_was_refused_counts_nothing(js):
    here = [{"st": 2, "e": {"id": "e2", "day": MONDAY, "b": [block(10, 8)]}}]
    week = {"entries": [], "have": []}
    assert js("([p, w, r]) => left(p, {}, w, r)", [LADDER, week, here]) == 3


def test_a_chain_shows_its_latest_and_what_was_taken_back_is_gone(js):
    week = {"have": [A], "entries": [{"id": A, "day": "2026-11-24", "at": "1", "note": "server's"}]}
    mine = {"who": "me", "day": "2026-11-24", "at": "1"}
    rows = [
        {"id": A, "st": 1, "e": mine | {"id": A, "k": "log"}},
        {"id": B, "st": 0, "e": mine | {"id": B, "k": "change", "target": A, "note": "mine"}},
    ]
    shown = js("([w, r]) => chains(w, r, 'me').map((x) => x.e.note)", [week, rows])
    assert shown == ["mine"]
    rows.append({"id": C, "st": 0, "e": {"id": C, "who": "me", "k": "back", "target": A}})
    assert js("([w, r]) => chains(w, r, 'me').length", [week, rows]) == 0


@pytest.mark.parametrize(
    ("minutes", "counts"), [(15, [10, 8]), (5, [6, 0]), (13, [10, 5]), (2, [2, 0])]
)
def test_a_short_form_is_the_first_steps_that_fit(js, minutes, counts):
    """18 reps in 15 minutes are 50 seconds each, whatever the drill says of one rep."""
    assert js("([p, m]) => shorter(p, m).n", [LADDER, minutes]) == counts


def test_a_short_form_of_the_drills_own_goes_first(js):
    part = LADDER | {"short": {"steps": [{"n": 5}, {"n": 3}], "minutes": 6}}
    assert js("(p) => shorter(p, 10)", part) == {"n": [5, 3], "min": 6}
    # Where all of it fits, all of it is offered.
    assert js("(p) => shorter(p, 15)", part) == {"n": [10, 8], "min": 15}


def test_parts_fixed_to_today_come_first_and_stopped_ones_last(js):
    parts = [
        LADDER | {"id": "free"},
        LADDER | {"id": "today", "priority": 3, "days": ["2026-11-25"]},
        LADDER | {"id": "stopped", "priority": 2, "stopped": "Rest."},
        LADDER | {"id": "tomorrow", "sessions": 1, "days": ["2026-11-26"]},
    ]
    week = {"have": [], "entries": [], "weeks": []}
    order = "([w, p]) => plan(w, { parts: p }, [], '2026-11-25', tallied).map((x) => x.id)"
    assert js(order, [week, parts]) == ["today", "free", "tomorrow", "stopped"]


@pytest.mark.parametrize(
    ("states", "login", "words"),
    [
        ([1, 1], False, "All sent"),
        ([], False, "All sent"),
        ([0, 0, 1], False, "2 kept on this phone"),
        ([0], True, "1 kept on this phone · sign in to send"),
        ([2], False, "1 needs a look"),
        ([2, 2, 0], False, "2 need a look · 1 kept on this phone"),
    ],
)
def test_the_plain_line(js, states, login, words):
    rows = [{"st": st} for st in states]
    assert js("([r, l]) => standing(r, l)", [rows, login]) == words


# --- balls and wedges -------------------------------------------------------------------


def test_a_typed_number_is_read_with_comma_and_point_and_nothing_else(js):
    yard = {"si": 0.9144}
    good = {"61.5": 56.2356, "61,5": 56.2356, " 100 ": 91.44, "7.": 6.4008, "0": 0}
    for typed, metres in good.items():
        assert js("([t, u]) => toSi(t, u)", [typed, yard]) == metres
    bad = ["", "-1", "1e2", "NaN", "Infinity", "1000", "1.2.3", "0x10", "12m", "٣", "1 2"]
    assert js("([all, u]) => all.filter((t) => !Number.isNaN(toSi(t, u)))", [bad, yard]) == []


@pytest.mark.parametrize("si", [1, 0.9144, 0.44704, 1 / 3.6])
def test_what_was_typed_is_shown_as_it_was_typed(js, si):
    differing = js(
        "(si) => Array.from({ length: 2000 }, (_, i) => `${i / 10}`)"
        ".filter((t) => shownIn(toSi(t, { si }), { si }) !== t)",
        si,
    )
    assert differing == []


def test_balls_fill_the_steps_in_order_like_on_the_server(js):
    steps = [{"n": 2, "e": 50}, {"n": 2, "e": 100}]
    for balls in range(7):
        done = js("([steps, n]) => counted(steps, n)", [steps, balls])
        assert [step["n"] for step in done] == [min(balls, 2), balls - min(balls, 2)]


def test_of_an_even_number_the_two_in_the_middle(js):
    assert js("() => median([5, 1, 4])") == 4
    assert js("() => median([5, 1, 4, 2])") == 3


# The error function to six places: Abramowitz & Stegun (1964), table 7.1.
ERF = {0: 0, 0.1: 0.112463, 0.5: 0.520500, 1: 0.842701, 1.5: 0.966105, 2: 0.995322, 3: 0.999978}


@pytest.mark.parametrize(("x", "value"), ERF.items())
def test_the_error_function_is_that_of_the_tables(js, x, value):
    assert js("(x) => erf(x)", x) == pytest.approx(value, abs=6e-7)
    assert js("(x) => erf(-x)", x) == pytest.approx(-value, abs=6e-7)


def test_the_expected_miss_is_that_of_the_measure(js):
    for off in (-40, -3.2, 0, 0.5, 12):
        for spread in (0, 0.4, 3, 9):
            mine = js("([m, s]) => expectedMiss(m, s)", [off, spread])
            assert mine == pytest.approx(expected_miss(off, spread), abs=1e-4)


def random_balls(rng):
    mean = rng.uniform(15, 110)
    return [rng.gauss(mean, 0.06 * mean) for _ in range(rng.randint(5, 20))]


@pytest.mark.parametrize("number", range(40))
def test_the_phone_chooses_the_swing_that_the_measure_chooses(js, number):
    """Random cards, by the two numbers of each swing that the server sends."""
    rng = Random(number)
    card = {
        Cell(f"{48 + 6 * club}", length): random_balls(rng)
        for club in range(rng.randint(1, 4))
        for length in LENGTHS
    }
    swings = [
        {"club": c.cell.club, "length": c.cell.length, "carry": 1 + c.off, "miss": c.spread}
        for c in best_swings(card, 1.0, most=len(card))
    ]
    for _ in range(25):
        target = rng.uniform(5, 130)
        theirs = best_swings(card, target, most=len(card))
        mine = js("([swings, target]) => bestSwings(swings, target)", [swings, target])
        by_cell = {(c.cell.club, c.cell.length): c.expected for c in theirs}
        for place, swing in enumerate(mine):
            expected = by_cell[swing["club"], swing["length"]]
            assert swing["expected"] == pytest.approx(expected, abs=1e-4)
            # The same order, unless two of them differ by less than a millimetre.
            assert expected == pytest.approx(theirs[place].expected, abs=1e-3)


def test_a_swing_of_too_few_balls_is_never_chosen(js):
    swings = [{"carry": 60, "miss": None}, {"carry": 90, "miss": 4}]
    assert [s["carry"] for s in js("(s) => bestSwings(s, 60)", swings)] == [90]


def test_pain_told_with_no_signal_locks_its_part_and_all_hard_work_at_once(js):
    parts = [
        {"id": name, "priority": n, "days": [], "sessions": 2, "left": 2, "sessionsDone": 0,
         "stopped": None, "steps": [{"n": 5, "e": effort}]}
        for n, (name, effort) in enumerate([("told", 50), ("soft", 60), ("hard", 90), ("max", 100)])
    ]  # fmt: skip
    told = {
        "st": 0,
        "e": {"id": A, "day": "2031-02-26", "pain": {"lvl": 5, "signs": [], "p": "told"}},
    }
    week = {"have": [], "entries": []}
    planned = js(
        "([week, parts, rows]) => plan(week, { parts }, rows, '2031-02-26', tallied)",
        [week, parts, [told]],
    )
    assert {part["id"] for part in planned if part["halted"]} == {"told", "hard", "max"}
    seen = js(
        "([week, parts, rows]) => plan(week, { parts }, rows, '2031-02-26', tallied)",
        [week | {"have": [A]}, parts, [told]],
    )
    assert not any(part["halted"] for part in seen)  # From then on the server's word stands.


def walked(js, part, *moves):
    """The walk of a part after some moves, and where it stands."""
    return js(
        """([part, moves]) => { const sets = setsOf(part);
        const does = { rep: (w, x) => rep(sets, w, x), whole: (w) => wholeSet(sets, w),
          undo: (w) => unrep(sets, w), below: (w) => stepBack(sets, part.steps, w) };
        const walk = moves.reduce((w, [name, x]) => does[name](w, x), { said: [] });
        return { n: sets.map(({ n }) => n), at: current(sets, walk), between: !!walk.between,
          s: stepsDone(part.steps, sets, walk), stop: !!walk.stop }; }""",
        [part, moves],
    )


def steps_of(text):
    dose = parse(text)
    return {"steps": step_rows(dose), "rounds": dose.rounds}


@pytest.mark.parametrize(
    ("dose", "sets"),
    [
        ("3x8", [8, 8, 8]),
        ("3x4@max", [4, 4, 4]),
        ("10@50, 8@70, back 10@50", [10, 8, 10]),
        ("2 rounds: 2x5@60, 3 min", [5, 5, 3, 5, 5, 3]),
    ],
)
def test_a_dose_is_walked_set_by_set_and_not_as_one_sum(js, dose, sets):
    assert walked(js, steps_of(dose))["n"] == sets


def test_a_week_of_an_older_release_is_walked_step_by_step(js):
    old = [{"n": 24, "u": "reps", "e": None, "back": False, "label": "3x8"}]
    assert walked(js, {"steps": old})["n"] == [24]


def test_clean_is_said_only_where_every_rep_was(js):
    taps = [("rep", "1"), ("rep", "0"), ("whole", None)]
    found = walked(js, steps_of("4@50, 2@70"), ("rep", "1"), ("rep", "0"), *taps[:1], ("rep", "1"))
    assert (found["s"][0], found["at"], found["between"]) == ({"n": 4, "c": 3, "e": 50}, 1, True)
    found = walked(js, steps_of("4@50, 2@70"), *taps)
    assert found["s"] == [{"n": 4, "e": 50}, {"n": 0, "e": 70}]


def test_the_last_rep_is_taken_back_also_over_the_end_of_a_set(js):
    found = walked(js, steps_of("2@50, 2@70"), ("rep", "1"), ("rep", "1"), ("undo", None))
    assert (found["s"][0], found["at"], found["between"]) == ({"n": 1, "c": 1, "e": 50}, 0, False)
    assert walked(js, steps_of("2@50"), ("undo", None))["s"] == [{"n": 0, "e": 50}]


def test_the_stop_rule_leaves_the_return_set_only(js):
    dose = steps_of("2@50, 2@70, 2@90, back 2@50")
    found = walked(js, dose, ("whole", None), ("rep", "0"), ("below", None))
    assert (found["at"], found["stop"]) == (3, True)
    found = walked(js, dose, ("whole", None), ("rep", "0"), ("below", None), ("whole", None))
    assert [step["n"] for step in found["s"]] == [2, 1, 0, 2]
    assert found["at"] == -1


def test_targets_are_called_in_turn_and_counted_each(js):
    part = {"targets": [3, 6, 9]}
    walk = {"said": ["110", "01"]}
    assert js("([p, w]) => targetOf(p, w)", [part, walk]) == 9
    assert js("([p, w]) => byTarget(p, w)", [part, walk]) == [
        {"at": 3, "n": 2, "c": 1}, {"at": 6, "n": 2, "c": 2}, {"at": 9, "n": 1, "c": 0},
    ]  # fmt: skip


@pytest.mark.parametrize("seed", range(20))
def test_the_phone_asks_about_the_figures_that_the_server_asks_about(js, seed):
    """Random balls of two clubs and three swings, each figure from half to twice the usual."""
    rng = Random(seed)
    usual = [
        UsualFigure("carry", club, length, 60.0) for club in ("54", "60") for length in LENGTHS[:2]
    ]
    usual += [UsualFigure("club_speed", club, "", 40.0) for club in ("54", "")]
    for _ in range(25):
        ball = {"carry": rng.uniform(30, 120), "club_speed": rng.uniform(20, 80)}
        ball |= {"club": rng.choice(["54", "60", "7i"]), "length": rng.choice(LENGTHS)}
        ball = dict(rng.sample(list(ball.items()), rng.randint(1, 4)))
        asked = js("([ball, usual]) => oddOf(ball, usual) || null", [ball, rows_of(usual)])
        theirs = odd_ball([ball], usual)
        # Where both figures are odd, either may be asked about first.
        assert bool(asked) is bool(theirs)
        if asked:
            one = {**ball, "carry": None, "club_speed": None, asked["name"]: asked["value"]}
            one = {key: value for key, value in one.items() if value is not None}
            assert odd_ball([one], usual) == (asked["value"], asked["middle"])


def rows_of(usual):
    return [each._asdict() for each in usual]


def test_what_was_said_to_be_right_is_not_asked_about_again_nor_what_is_like_it(js):
    """1.5 times and two thirds of 60 are 90 and 40: the edges are not far."""
    usual = rows_of([UsualFigure("carry", "54", "hip", 60.0)])
    odd = """([carry, usual, sure]) =>
        oddOf({ club: "54", length: "hip", carry, target: 500 }, usual, sure)?.value || null"""
    asked = [js(odd, [value, usual, []]) for value in (39.9, 40, 90, 90.1)]
    assert asked == [39.9, None, None, 90.1]
    sure = [{"name": "carry", "value": 6.8}]
    assert [js(odd, [value, usual, sure]) for value in (6.8, 8, 11)] == [None, None, 11]
    assert js(odd, [6.8, usual, [{"name": "total", "value": 6.8}]]) == 6.8


@pytest.mark.parametrize(
    ("part", "block", "said"),
    [
        ({"measures": "carry"}, {"shots": {}, "s": [{"n": 2, "c": 1}]}, "These balls are kept."),
        ({"clean": "on it"}, {"s": [{"n": 2}, {"n": 2, "c": 0}]}, "Your clean count is kept."),
        ({"measures": "carry"}, {"s": [{"n": 2}]}, "Log it ball by ball next time."),
        (
            {"clean": "on it"},
            {"as": True},
            "Count the clean ones on a few days",
        ),
        ({"measures": "", "clean": ""}, {"min": 5}, "Nothing is measured here."),
    ],
)
def test_where_nothing_can_be_said_yet_it_is_said_what_would_tell_more(js, part, block, said):
    assert js("([part, block]) => notYet(part, [block])", [part, block]).startswith(said)
