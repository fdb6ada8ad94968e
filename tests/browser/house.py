"""A real server and a real browser, and how to ask them what they hold."""

import json
import os
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import wraps
from pathlib import Path
from urllib.error import HTTPError, URLError

from practice.phone import shell
from tests import migrated
from tests.ports import own_port

# Chromium without its windows: the same pages and workers for a third of the processor. The
# whole one shows notifications as well; CHROMIUM=/usr/bin/chromium takes it for everything.
WHOLE = "/usr/bin/chromium"
CHROMIUM = os.environ.get("CHROMIUM", "/usr/bin/chromium-headless-shell")
FLAGS = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
ROOT = Path(__file__).resolve().parents[2]
# Seconds for what must happen, on the slowest machine; nothing waits them out when it is well.
PATIENCE = float(os.environ.get("PATIENCE", "120"))
# The page's own clockwork, made quick: nothing is waited for by the clock.
TIMES = {"base": 40, "most": 400, "patience": 60_000, "guard": 0, "answer": 60_000}


def until(ask, what: str, patience: float = PATIENCE):
    """The first true answer of `ask`; fails with `what` if there is none."""
    end = time.monotonic() + patience
    while time.monotonic() < end:
        if found := ask():
            return found
        time.sleep(0.02)
    raise AssertionError(f"waited in vain for {what}")


def environment(folder: Path) -> dict[str, str]:
    env = {k: v for k, v in os.environ.items() if k not in {"DATABASE_URL", "REDIS_URL"}}
    return env | {
        "PHONE_TEST_FOLDER": str(folder),
        "DJANGO_SETTINGS_MODULE": "tests.browser.settings",
        "PYTHONPATH": str(ROOT),
    }


def seeded(folder: Path) -> dict:
    """Fill the database once; each test's server gets a copy of the file."""
    migrated.sqlite(folder / "phone.sqlite3")
    done = subprocess.run(
        [sys.executable, "-m", "tests.browser.seed"],
        env=environment(folder),
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    with closing(sqlite3.connect(folder / "phone.sqlite3")) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        db.execute("PRAGMA journal_mode=DELETE")
    return json.loads(done.stdout)


class Server:
    """The server with one process; when a fault kills it, the next is started."""

    def __init__(self, folder: Path, port: int) -> None:
        self.folder, self.port = folder, port
        self.url = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen | None = None

    @property
    def file(self) -> Path:
        return self.folder / "phone.sqlite3"

    def start(self) -> None:
        command = [sys.executable, "-m", "shared.web_server"]
        one = {"HOST": "127.0.0.1", "PORT": str(self.port), "WEB_PROCESSES": "1"}
        with (self.folder / "server.log").open("ab") as log:
            self.process = subprocess.Popen(
                command, env=environment(self.folder) | one, cwd=ROOT, stdout=log, stderr=log,
                start_new_session=True,
            )  # fmt: skip
        until(self.answers, "the server to answer")

    def answers(self) -> bool:
        assert self.process is not None
        assert self.process.poll() is None, (self.folder / "server.log").read_text()[-2000:]
        try:
            with urllib.request.urlopen(f"{self.url}/api/week", timeout=5):
                return True
        except HTTPError as answer:
            answer.close()
            return True
        except (URLError, OSError):
            return False

    def stop(self) -> None:
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            self.process = None

    def fault(self, point: str, count: int = 1, skip: int = 0) -> None:
        order = {"point": point, "count": count, "skip": skip}
        fresh = self.folder / "fault.ordered"
        fresh.write_text(json.dumps(order))
        fresh.replace(self.folder / "fault.json")

    @property
    def faults_left(self) -> int:
        return json.loads((self.folder / "fault.json").read_text())["count"]

    def rows(self) -> list[dict]:
        """Every entry in the database, oldest first."""
        with closing(sqlite3.connect(self.file, timeout=PATIENCE)) as db:
            found = db.execute("SELECT document FROM log_entry ORDER BY received_at, rowid")
            return [json.loads(document) for (document,) in found]

    def put_back(self, template: Path) -> None:
        """Rows and clips as seeded, under the running server: no test's change outlives it."""
        shutil.rmtree(self.folder / "clips", ignore_errors=True)
        with (
            closing(sqlite3.connect(template)) as seeded,
            closing(sqlite3.connect(self.file, timeout=PATIENCE)) as db,
        ):
            seeded.backup(db)

    def ids(self) -> list[str]:
        return [row["id"] for row in self.rows()]

    def sql(self, statement: str, *values) -> list[tuple]:
        with closing(sqlite3.connect(self.file, timeout=PATIENCE)) as db:
            found = db.execute(statement, values).fetchall()
            db.commit()
            return found


@contextmanager
def running(folder: Path) -> Iterator[Server]:
    """A server over the database that lies in this folder, stopped at the end."""
    with own_port() as port:
        server = Server(folder, port)
        server.fault("none", 0)
        server.start()
        try:
            yield server
        finally:
            server.stop()


@contextmanager
def running_copy(template: Path, folder: Path) -> Iterator[Server]:
    shutil.copy(template / "phone.sqlite3", folder / "phone.sqlite3")
    with running(folder) as server:
        yield server


SAVING = {"Save", "Save these words", "Understood", "Take it back", "Done as asked"}


def handed(name: str) -> str:
    """What the page's first script hands to the second under this name, for a script of a test."""
    return f"phone[{shell.HANDED.split().index(name)}]"


def named(name: str) -> re.Pattern[str]:
    """What it is about may follow its name, for who does not see where it stands."""
    return re.compile(rf"^{re.escape(name)}( ?: .*)?$")


class Phone:
    """One page of the shell, with the ledger of what it said it kept."""

    def __init__(self, page, server: Server) -> None:
        self.page, self.server = page, server

    @property
    def ticks(self) -> list[dict]:
        return self.page.context.ticks

    def open(self, fragment: str = "", patience: float = PATIENCE) -> "Phone":
        self.page.goto(f"{self.server.url}/log{fragment}")
        return self.loaded(patience)

    def loaded(self, patience: float = PATIENCE) -> "Phone":
        """Ready once what waited has been tried: with hundreds of entries that takes longer."""
        ready = "body[data-ready]"
        self.page.wait_for_selector(ready, state="attached", timeout=patience * 1000)
        return self

    def tap(self, name: str, role: str = "button", *, reloads: bool = False) -> None:
        """One tap. Of a button that saves, it is over when the next may follow."""
        click = self.page.get_by_role(role, name=named(name)).first.click
        if role == "button" and (name in SAVING or name.isdigit()):
            self.keep(click, name, reloads=reloads)
        else:
            click()

    def go(self, fragment: str) -> None:
        self.page.evaluate("(to) => { location.hash = to; }", fragment)
        self.page.wait_for_function(ARRIVED)

    def keep(self, act, what: str, *, reloads: bool = False) -> None:
        """Do what saves, and wait until it is kept and the page takes the next tap."""
        ticks, turn = len(self.ticks), self.turn()
        act()
        self.until(lambda: len(self.ticks) > ticks, f"the tick after {what}")
        if not reloads:
            self.until(lambda: self.turn() != turn, "the page to take the next tap")

    def turn(self) -> str | None:
        """Changes when a tap has been dealt with: a second one is not taken before."""
        return self.page.get_attribute("body", "data-ready")

    def done_as_asked(self, *, reloads: bool = False) -> dict:
        """One more session: by its one tap, or by its form once every part has been logged."""
        self.keep(lambda: self.page.click(self.at_hand()), "one tap", reloads=reloads)
        return self.ticks[-1]

    def at_hand(self) -> str:
        """Bring a button onto the screen that logs a session with one click; its selector."""
        asked, again = "[data-do=asked]", "#do a[href^='#log=']"
        if not self.page.locator(asked).count():
            self.go("")
            self.page.wait_for_selector(f"{asked}, {again}")
        if self.page.locator(asked).count():
            return asked
        self.page.click(again)
        self.page.wait_for_selector("[form=f]")
        return "[form=f]"

    def until(self, ask, what: str, patience: float = PATIENCE):
        """Like `until`, but lets the browser speak in between."""

        def turn():
            # Not a script: the page may be on its way to the next one.
            self.page.wait_for_timeout(1)
            return ask()

        try:
            return until(turn, what, patience)
        except AssertionError as error:
            error.add_note(f"The line says {self.pill()!r}; {len(self.waiting())} wait.")
            error.add_note(f"The page: {self.page.evaluate(ASKED)}")
            error.add_note(f"The server has {self.server.rows()}")
            error.add_note((self.server.folder / "server.log").read_text()[-2000:])
            raise

    def all_sent(self, patience: float = PATIENCE) -> None:
        """The line says so, and the store too: the line follows a tick a moment later."""
        self.until(
            lambda: self.pill() == "All sent" and not self.waiting(),
            "everything to be sent",
            patience,
        )

    def pill(self) -> str:
        return self.page.inner_text("#pill")

    def stored(self) -> list[dict]:
        return self.page.evaluate(ROWS)

    def waiting(self) -> list[dict]:
        return [row for row in self.stored() if row["st"] == 0]


# What this page last asked of the server, for whoever reads why nothing was sent.
ASKED = """() => JSON.stringify([navigator.onLine, document.visibilityState, performance.now(),
  performance.getEntriesByType("resource").filter(({ name }) => name.includes("/api/")).slice(-12)
    .map(({ name, startTime, duration, responseStatus }) =>
      [new URL(name).pathname, startTime | 0, duration | 0, responseStatus])])"""
# From inside the page: whoever kills the browser next does not wait for the tap to be over.
CLICK = "(at) => document.querySelector(at).click()"
ROWS = """() => new Promise((yes, no) => {
  const ask = indexedDB.open("practice");
  ask.onerror = () => no(ask.error);
  ask.onsuccess = () => {
    const all = ask.result.transaction("log").objectStore("log").getAll();
    all.onsuccess = () => { ask.result.close(); yes(all.result); };
  };
})"""

COPIES = """async () => {
  const keys = await (await caches.open("copy")).keys();
  return keys.map((key) => new URL(key.url).pathname.slice(7));
}"""


# A fragment is drawn in a turn of its own, after the click that leads there has returned.
LEAVING = """
navigation.addEventListener("navigate", (to) => { if (to.hashChange) self.leaving = true; });
addEventListener("hashchange", () => setTimeout(() => { self.leaving = false; }));
"""
ARRIVED = "() => !self.leaving"


def ledger_script(times: dict | None = None, extra: str = "") -> str:
    return f"self.times = {json.dumps(TIMES | (times or {}))};{LEAVING}{extra}"


def arriving(click):
    """A click of the driver that is over when the screen it leads to has been drawn."""

    @wraps(click)
    def clicked(self, *args, **kwargs):
        click(self, *args, **kwargs)
        getattr(self, "page", self).wait_for_function(ARRIVED)

    return clicked


def new_context(browser, server: Server, cookie: str | None = None, *, times=None, extra="", **kw):
    """A phone's browser: its own storage, signed in or not, and a ledger of ticks."""
    kw.setdefault("viewport", {"width": 390, "height": 844})
    context = browser.new_context(**kw)
    context.ticks = []
    context.expose_function("ticked", lambda entry: context.ticks.append(entry))
    context.add_init_script(ledger_script(times, extra))
    context.set_default_timeout(PATIENCE * 1000)
    if cookie:
        sign_in(context, server, cookie)
    return context


def resize(page, width: int, height: int) -> None:
    """A window of this size, once the page has been told and drawn in it."""
    page.set_viewport_size({"width": width, "height": height})
    page.evaluate("() => new Promise((on) => requestAnimationFrame(() => setTimeout(on)))")


def sign_in(context, server: Server, cookie: str) -> None:
    """As the app's own sign-in does: for ninety days."""
    kept = {"url": server.url, "expires": time.time() + 90 * 86400}
    context.add_cookies([{"name": "sessionid", "value": cookie, **kept}])


def verdict(ticks: list[dict], rows: list[dict]) -> tuple[list[str], list[str]]:
    """Lost: kept on the phone and not on the server. Doubled: one tap, several rows.

    Rows are told apart by a marker of the tap's own, its id as the phone made it;
    a design that renames entries must carry it in the note.
    """
    marks = [row.get("note") or row["id"] for row in rows]
    told = [tick.get("note") or tick["id"] for tick in ticks]
    lost = [mark for mark in told if mark not in marks]
    doubled = sorted({mark for mark in marks if marks.count(mark) > told.count(mark) > 0})
    return lost, doubled
