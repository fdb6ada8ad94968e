"""The phone's decisions as they stand in their source: no clock, no network, no storage."""

from random import Random

import pytest

from practice.log import shell
from practice.measures.wedges import Cell, best_swings, expected_miss
from practice.shots.figures import LENGTHS

pytestmark = pytest.mark.browser

A, B, C = (f"0190a6c2-0000-7000-8000-00000000000{n}" for n in (1, 2, 3))


@pytest.fixture(scope="module")
def js(browser):
    """Evaluate an expression beside the sources, with an argument."""
    page = browser.new_page()
    for name in ("decide.js", "week.js", "measured.js"):
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
    assert order == [C, A, B]


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
    "left": 3,
    "sessionsDone": 0,
    "steps": [{"n": 10, "u": "reps", "e": 50}, {"n": 8, "u": "reps", "e": 70}],
}


def block(*counts, **more):
    return {"p": "p", "s": [{"n": n} for n in counts]} | more


@pytest.mark.parametrize(
    ("blocks", "left"),
    [
        ([], 3),
        ([block(10, 8)], 2),
        ([block(10, 8), block(10, 8)], 1),
        ([block(5, 4)], 3),
        ([block(5, 4), block(5, 4)], 2),
        ([block(40, 0)], 3),
        ([block(10, 0, stop=True)], 2),
        ([{"w": "range", "s": []}], 3),
    ],
)
def test_sessions_left_count_what_only_the_phone_knows(js, blocks, left):
    rows = [{"st": 0, "e": {"id": f"e{n}", "b": [b]}} for n, b in enumerate(blocks)]
    week = {"entries": [], "have": []}
    assert js("([p, w, r]) => left(p, w, r)", [LADDER, week, rows]) == left


def test_a_change_here_counts_its_difference_only(js):
    week = {"entries": [{"id": "e1", "b": [block(10, 8)]}], "have": ["e1"]}
    part = LADDER | {"left": 2, "sessionsDone": 1}
    changed = [{"st": 0, "e": {"id": "e2", "target": "e1", "b": [block(0, 0)]}}]
    assert js("([p, w, r]) => left(p, w, r)", [part, week, changed]) == 3
    assert js("([p, w, r]) => left(p, w, r)", [part, week, []]) == 3


def test_half_a_session_that_the_server_counted_and_half_here_make_one(js):
    week = {"entries": [], "have": []}
    part = LADDER | {"left": 3, "sessionsDone": 0.5}
    here = [{"st": 0, "e": {"id": "e2", "b": [block(5, 4)]}}]
    assert js("([p, w, r]) => left(p, w, r)", [part, week, here]) == 2


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
    ("minutes", "counts"), [(15, [10, 8]), (5, [10, 0]), (7, [10, 4]), (2, [4, 0])]
)
def test_a_short_form_is_the_first_steps_that_fit(js, minutes, counts):
    assert js("([p, m]) => shorter(p, m).n", [LADDER, minutes]) == counts


def test_a_short_form_of_the_drills_own_goes_first(js):
    part = LADDER | {"short": {"steps": [{"n": 5}, {"n": 3}], "minutes": 6}}
    assert js("(p) => shorter(p, 15)", part) == {"n": [5, 3], "min": 6}


def test_parts_fixed_to_today_come_first_and_stopped_ones_last(js):
    parts = [
        LADDER | {"id": "free"},
        LADDER | {"id": "today", "priority": 3, "days": ["2026-11-25"]},
        LADDER | {"id": "stopped", "priority": 2, "stopped": "Rest."},
        LADDER | {"id": "tomorrow", "sessions": 1, "days": ["2026-11-26"]},
    ]
    week = {"have": [], "entries": [], "weeks": []}
    order = "([w, p]) => plan(w, { parts: p }, [], '2026-11-25').map((x) => x.id)"
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
