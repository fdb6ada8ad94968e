"""A Chromium with a profile of its own on the disk, that can be killed like a phone that dies."""

import os
import signal
import subprocess
from pathlib import Path

from tests.browser import house


class Killable:
    """Started again after each kill, with whatever the last one left on the disk."""

    def __init__(self, playwright, server: house.Server, profile: Path) -> None:
        self.playwright, self.server, self.profile = playwright, server, profile
        self.ticks: list[dict] = []
        self.process: subprocess.Popen | None = None

    def start(self, fragment: str = "", times: dict | None = None) -> house.Phone:
        port_file = self.profile / "DevToolsActivePort"
        port_file.unlink(missing_ok=True)
        flags = ["--remote-debugging-port=0", f"--user-data-dir={self.profile}", "about:blank"]
        self.process = subprocess.Popen(
            [house.CHROMIUM, *house.FLAGS, *flags],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
        )  # fmt: skip
        house.until(lambda: port_file.exists() and port_file.read_text().strip(), "Chromium")
        port = port_file.read_text().split()[0]
        self.browser = self.playwright.chromium.connect_over_cdp(
            f"http://127.0.0.1:{port}", timeout=house.PATIENCE * 1000
        )
        self.context = self.browser.contexts[0]
        self.context.ticks = self.ticks
        self.context.expose_function("ticked", lambda entry: self.ticks.append(entry))
        self.context.add_init_script(house.ledger_script(times))
        self.context.set_default_timeout(house.PATIENCE * 1000)
        return house.Phone(self.context.pages[0], self.server)

    def kill(self) -> None:
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()
        self.browser.close()
        for name in ("SingletonLock", "SingletonCookie", "SingletonSocket"):
            (self.profile / name).unlink(missing_ok=True)

    def database_log(self) -> Path:
        """The file that IndexedDB appends to."""
        (log,) = self.profile.glob("Default/IndexedDB/http_127.0.0.1_*.leveldb/*.log")
        return log


def first_visit(phone_browser: Killable, cookie: str) -> None:
    """With signal and a sign-in: the shell, the key and the week come onto the phone."""
    phone = phone_browser.start()
    house.sign_in(phone_browser.context, phone_browser.server, cookie)
    phone.open()
    phone.until(lambda: phone.page.evaluate(SHELL_KEPT), "the shell to be kept")


# Without a server the page comes from the worker, so both must be there.
SHELL_KEPT = """async () => {
  const found = await navigator.serviceWorker.getRegistration();
  if (found?.active?.state !== "activated") return false;
  const names = await caches.keys();
  const shell = names.find((name) => name.startsWith("shell-"));
  return !!shell && !!(await (await caches.open(shell)).match("/log"));
}"""
