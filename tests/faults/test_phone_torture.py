"""Random sequences of what happens to phones, each with a ledger: what was lost, what was doubled.

    make torture SEED=1 SEQUENCES=500
    make torture SEED=1 SEQUENCES=100 FROM=300     # the fourth slice of it

One line a sequence that went wrong, with its moves, and the figures at the end. The same seed
gives the same moves. Each sequence has a phone of its own: a student's, one that two students
share, or a child's.
"""

import os
import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

import pytest

from practice.phone import shell
from tests.browser import house
from tests.browser.faults import AFTER_COMMIT, ANSWERS, KILLED_AT
from tests.browser.house import Phone
from tests.browser.killable import SHELL_KEPT
from tests.browser.test_phone_clock import DAY, SHIFTED

pytestmark = [pytest.mark.browser, pytest.mark.long]
SEED = int(os.environ.get("SEED", "1"))
SEQUENCES = int(os.environ.get("SEQUENCES", "500"))
FROM = int(os.environ.get("FROM", "0"))
WRONG = ("lost", "doubled", "of a stranger", "broke")
TABLES = (
    "care_stop", "care_painnote", "log_result", "log_entry", "log_logkey",
    "compliance_weektally", "weeks_excusal",
)  # fmt: skip
# An answer that ends keys or waits for ever is no fault of the line: those have tests of their own.
FAULTS = [
    name for name in (*ANSWERS, *AFTER_COMMIT) if name not in {"401 ours", "held after commit"}
]
NO_WEEK = "p:text('No week has been sent')"
POINT = """(at) => {
  const box = document.querySelector(at).getBoundingClientRect();
  return [box.x + box.width / 2, box.y + box.height / 2];
}"""


@dataclass
class Sequence:
    """One phone, what was done with it, and what it said it kept."""

    server: house.Server
    seed: dict
    context: object
    phone: Phone
    people: list[str]
    rng: random.Random
    moves: list[str] = field(default_factory=list)
    offline: bool = False
    deployed: bool = False
    keeps_page: bool = False

    @property
    def page(self):
        return self.phone.page


def at_hand(it: Sequence) -> str:
    """What logs with one click; on a day of no week, as a wrong clock makes, other practice."""
    it.page.evaluate("() => { location.hash = ''; }")
    it.page.wait_for_selector(f"[data-do=asked], #do a[href^='#log='], {NO_WEEK}")
    if not it.page.locator(NO_WEEK).count():
        return it.phone.at_hand()
    it.page.evaluate("() => { location.hash = 'other'; }")
    it.page.fill("[name=balls]", "20")
    return "[form=f]"


def log(it: Sequence) -> None:
    at = at_hand(it)
    it.phone.keep(lambda: it.page.click(at), "one tap")


def second_taps(it: Sequence) -> None:
    """The same point again and again: one log."""
    at = at_hand(it)
    before = len(it.phone.ticks)
    it.page.locator(at).scroll_into_view_if_needed()
    point = it.page.evaluate(POINT, at)
    it.page.mouse.click(*point)
    it.phone.until(lambda: len(it.phone.ticks) > before, "the tick")
    for _ in range(it.rng.randint(2, 6)):
        it.page.mouse.click(*point)
    it.page.evaluate("() => new Promise((on) => requestAnimationFrame(() => setTimeout(on)))")
    if len(it.phone.ticks) != before + 1:
        raise AssertionError(f"{len(it.phone.ticks) - before} logs of one point")


def take_back(it: Sequence) -> None:
    undo = it.page.locator("#undo:visible")
    if undo.count():
        it.phone.keep(undo.click, "the undo")


def line_off(it: Sequence) -> None:
    it.offline = True
    it.context.set_offline(True)


def line_on(it: Sequence) -> None:
    it.offline = False
    it.context.set_offline(False)


def bad_answer(it: Sequence) -> None:
    it.server.fault(it.rng.choice(FAULTS), it.rng.randint(1, 3))


def server_killed(it: Sequence) -> None:
    it.server.fault(it.rng.choice(KILLED_AT))


def reload(it: Sequence) -> None:
    # Until the worker has kept the page once, there is none to show where none is sent.
    it.keeps_page = it.keeps_page or it.page.evaluate(SHELL_KEPT)
    if not it.keeps_page and (it.offline or server_killed.__name__ in it.moves):
        return
    it.page.reload()
    it.phone.loaded()


def clock(it: Sequence) -> None:
    shift = it.rng.choice((-DAY, DAY, 0))
    it.page.evaluate(
        "(shift) => { self.shift = shift; dispatchEvent(new Event('hashchange')); }", shift
    )


def deploy(it: Sequence) -> None:
    """Another release: the page, its second script and the worker all at once."""
    it.deployed = not it.deployed
    if it.deployed:
        it.context.route("**/*", OTHER_RELEASE)
    else:
        it.context.unroute("**/*", OTHER_RELEASE)
    if not it.offline:
        # A server that is down just now has no new worker to give: the page asks again by itself.
        it.page.evaluate(
            """() => navigator.serviceWorker.getRegistration()
                .then((registration) => registration?.update()).catch(() => {})"""
        )
        reload(it)


def another_person(it: Sequence) -> None:
    """On a shared phone the other one is chosen, with signal or none."""
    if len(it.people) < 2:
        return
    now = it.page.inner_text("#who")
    it.page.evaluate("() => { location.hash = 'who'; }")
    other = next(name for name in it.people if name != now)
    button = it.page.get_by_role("button", name=other, exact=True)
    if button.count():
        button.click()
        it.phone.until(lambda: it.page.inner_text("#who") == other, "the other person")


MOVES: dict[Callable[[Sequence], None], int] = {
    log: 6, second_taps: 3, take_back: 2, line_off: 2, line_on: 2, bad_answer: 3, server_killed: 2,
    reload: 2, clock: 2, deploy: 1, another_person: 3,
}  # fmt: skip


def released() -> Callable:
    """Answers as a release would that differs from this one in its title only."""

    def read(name: str) -> str:
        return shell.source(name).replace("<title>This week", "<title>The week")

    page = shell.assembled(read)[0]
    name = page.split(b'data-shell="')[1].split(b'"')[0].decode()
    files = {
        "/log": (page, "text/html; charset=utf-8"),
        f"/log/more-{name}.js": (shell.scripts(read)[1].encode(), "text/javascript"),
        "/sw.js": (shell.worker_of(read, name), "text/javascript"),
    }

    def answer(route) -> None:
        path = route.request.url.split("://", 1)[1].partition("/")[2].partition("#")[0]
        if found := files.get(f"/{path}"):
            route.fulfill(body=found[0], headers={"Content-Type": found[1]})
        else:
            route.fallback()

    return answer


OTHER_RELEASE = released()


def began(browser, server, seed, rng) -> Sequence:
    kind = rng.choice(("student", "shared", "child"))
    extra = SHIFTED.replace("SHIFT", "0")
    cookie = {"student": "sam", "shared": "gail", "child": None}[kind]
    context = house.new_context(browser, server, cookie and seed["cookies"][cookie], extra=extra)
    phone = Phone(context.new_page(), server)
    people = {
        "student": ["Sam Sample"],
        "shared": ["Ada Child", "Ben Child"],
        "child": ["Ada Child"],
    }
    if kind == "child":
        made_a_childs(phone, browser, server, seed)
    else:
        phone.open()
    if kind == "shared":
        first, second = people[kind]
        chosen(phone, first)
        to_choose(phone)
        chosen(phone, second)
        to_choose(phone)
        chosen(phone, first)
    return Sequence(server, seed, context, phone, people[kind], rng, [kind])


def to_choose(phone: Phone) -> None:
    phone.page.evaluate("() => { location.hash = 'who'; }")
    phone.page.wait_for_selector("h1:text('Whose practice?')")


def chosen(phone: Phone, name: str) -> None:
    phone.page.get_by_role("button", name=name, exact=True).click()
    phone.until(lambda: phone.page.inner_text("#who") == name, name)
    phone.page.wait_for_selector("[data-do=asked]")


def made_a_childs(phone: Phone, browser, server, seed) -> None:
    at_home = house.new_context(browser, server, seed["cookies"]["gail"])
    page = at_home.new_page()
    page.goto(f"{server.url}/child/{seed['students']['Ada Child']}/phones/")
    page.get_by_role("button", name="Set up a phone").click()
    page.wait_for_selector("#link")
    link = page.input_value("#link").split("/phone/")[1]
    at_home.close()
    phone.page.goto(f"{server.url}/phone/{link}")
    phone.page.get_by_role("button", name="This is Ada Child’s phone").click()
    phone.loaded()
    phone.page.wait_for_selector("[data-do=asked]")


def healed(it: Sequence) -> None:
    """The line is well again, the clock right: whatever waits goes out."""
    it.server.fault("none", 0)
    line_on(it)
    it.page.evaluate("() => { self.shift = 0; }")
    house.until(it.server.answers, "the server to answer")
    reload(it)
    it.phone.until(lambda: not it.phone.waiting(), "everything to be sent")


def run_one(browser, server, seed, rng: random.Random) -> tuple[Sequence, list[str]]:
    for table in TABLES:
        server.sql(f"DELETE FROM {table}")
    server.fault("none", 0)
    house.until(server.answers, "the server to answer")
    it = began(browser, server, seed, rng)
    faults = []
    try:
        for move in rng.choices(list(MOVES), weights=MOVES.values(), k=rng.randint(6, 14)):
            it.moves.append(move.__name__)
            move(it)
        healed(it)
    except Exception as error:
        seen = " ".join(it.page.inner_text("body").split())
        faults.append(f"broke: {error!s:.300} The page said: {seen:.400}")
    lost, doubled = house.verdict(it.phone.ticks, server.rows())
    ids = server.ids()
    faults += [f"lost {one}" for one in lost]
    faults += [f"doubled {one}" for one in (*doubled, *(i for i in ids if ids.count(i) > 1))]
    people = {name: seed["students"][name] for name in it.people}
    faults += [
        f"of a stranger {row['id']}" for row in server.rows() if row["who"] not in people.values()
    ]
    it.context.close()
    return it, faults


def test_random_sequences_lose_and_double_nothing(browser, server, seed):
    counts: Counter[str] = Counter()
    for number in range(FROM, FROM + SEQUENCES):
        it, faults = run_one(browser, server, seed, random.Random(f"{SEED} {number}"))
        counts.update([*it.moves, *["kept"] * len(it.phone.ticks)])
        counts.update(kind for kind in WRONG for fault in faults if fault.startswith(kind))
        if faults:
            print(f"\nsequence {number}: {' '.join(it.moves)}: {'; '.join(faults)}", flush=True)
        if number % 10 == 9:
            print(f"\n{number + 1} sequences, {counts['kept']} kept", flush=True)
    print(f"\nseed {SEED}, {SEQUENCES} sequences from {FROM}: {dict(counts)}")
    assert [kind for kind in WRONG if counts[kind]] == []
