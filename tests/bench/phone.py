"""What the phone's page weighs and how long it takes: medians, on this machine.

    .venv/bin/python -m tests.bench.phone [RUNS] [--json FILE]

First visit and offline start with the processor four times slower (Chromium's own throttling),
the first visit over slow 4G (150 ms, 1.6 Mbit/s, as `phone.md` measured it). Both run by the
page's own clock, from the start of the navigation to the first frame with the button that logs,
and the page itself tells when: a driver that asks again and again runs its own scripts in the
page meanwhile, which a slow processor pays for. Sixty logs
are kept offline and timed from the first request to the last receipt, without throttling. A
shared machine lies: say its load beside the figures.
"""

import argparse
import json
import os
import tempfile
import time
import urllib.request
from pathlib import Path
from statistics import median
from urllib.error import HTTPError

import django

SLOW_4G = {"offline": False, "latency": 150, "downloadThroughput": 2e5, "uploadThroughput": 9e4}
OFFLINE = {"offline": True, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0}
FREE = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
# The page says by its own clock when the button that logs has been drawn.
WATCHED = """
new MutationObserver((_, watch) => {
  if (!document.querySelector("[data-do=asked]")) return;
  watch.disconnect();
  requestAnimationFrame(() => setTimeout(() => usable(`${performance.now()}`)));
}).observe(document, { childList: true, subtree: true });
"""


def seconds(act) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


def one_run(context, server) -> dict[str, float]:
    """Seconds of each, on a phone that has never been here."""
    from tests.browser import house
    from tests.browser.killable import SHELL_KEPT

    page = context.new_page()
    wire = context.new_cdp_session(page)
    phone = house.Phone(page, server)
    told: list[float] = []

    def visit() -> float:
        told.clear()
        page.goto(f"{server.url}/log", wait_until="commit")
        phone.until(lambda: told, "the button that logs")
        return told[0] / 1000

    wire.on("Runtime.bindingCalled", lambda call: told.append(float(call["payload"])))
    wire.send("Runtime.enable")
    wire.send("Runtime.addBinding", {"name": "usable"})
    wire.send("Network.enable")
    wire.send("Network.emulateNetworkConditions", SLOW_4G)
    wire.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    first = visit()
    house.until(lambda: page.evaluate(SHELL_KEPT), "the shell to be kept")
    page.goto("about:blank")
    wire.send("Network.emulateNetworkConditions", OFFLINE)
    offline = visit()
    wire.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    phone.loaded()
    for _ in range(60):
        phone.done_as_asked()
    wire.send("Network.emulateNetworkConditions", FREE)
    page.evaluate("() => dispatchEvent(new Event('online'))")
    return {"first visit": first, "offline start": offline, "sixty logs": seconds(phone.all_sent)}


def week_on_the_wire(server, cookie: str) -> str:
    """What the week weighs when a phone asks for it, plain and compressed, and asked again."""
    signed = {"Cookie": f"sessionid={cookie}"}

    def asked(**headers: str):
        call = urllib.request.Request(f"{server.url}/api/week", headers=signed | headers)
        try:
            with urllib.request.urlopen(call) as answer:
                return answer.status, len(answer.read()), answer.headers["ETag"]
        except HTTPError as answer:
            with answer:
                return answer.code, len(answer.read()), ""

    _, plain, tag = asked()
    _, packed, _ = asked(**{"Accept-Encoding": "br"})
    status, again, _ = asked(**{"If-None-Match": tag})
    return f"/api/week {plain} B, {packed} B as Brotli; asked again {status} with {again} B"


def main(runs: int, to: Path | None) -> None:
    from playwright.sync_api import sync_playwright

    from practice.phone import shell
    from tests.browser import house

    print(f"page {len(shell.encoded(shell.shell_file(), 'br'))} B, ", end="")
    print(f"second script {len(shell.encoded(shell.more_file(), 'br'))} B (Brotli)")
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        seed = house.seeded(folder)
        took: dict[str, list[float]] = {}
        with house.running(folder) as server:
            print(week_on_the_wire(server, seed["cookies"]["sam"]))
            browser = playwright.chromium.launch(executable_path=house.WHOLE, args=house.FLAGS)
            for _ in range(runs):
                context = house.new_context(browser, server, seed["cookies"]["sam"], extra=WATCHED)
                for what, spent in one_run(context, server).items():
                    took.setdefault(what, []).append(spent)
                context.close()
                for table in ("log_result", "log_entry", "compliance_weektally"):
                    server.sql(f"DELETE FROM {table}")
            browser.close()
    load = os.getloadavg()[0]
    for what, all_of in took.items():
        spread = f"from {min(all_of) * 1000:.0f} to {max(all_of) * 1000:.0f}"
        print(f"{what}: median of {runs} {median(all_of) * 1000:.0f} ms, {spread}")
    print(json.dumps({"load": round(load, 1)}))
    if to:
        to.write_text(json.dumps({"load": load, "seconds": took}, indent=1))


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("runs", type=int, nargs="?", default=15)
    parser.add_argument("--json", type=Path)
    asked = parser.parse_args()
    main(asked.runs, asked.json)
