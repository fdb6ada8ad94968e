"""What the first view of each page of numbers costs a fresh web worker.

    .venv/bin/python -m tests.bench.first_view [PAGE ...] [--json FILE]

Each page in a process of its own, on SQLite in memory: 5,000 swings of one student, signed in,
another page seen before. Printed are the megabytes that stay (Linux), seconds of the processor,
the same of the second view, and which of the heavy libraries came, by their modules.
"""

import argparse
import json
import subprocess
import sys
from collections import Counter
from pathlib import Path
from time import process_time

PAGES = (".", "moved", "speed", "wedges", "ladder", "load", "strength")
HEAVY = ("numpy", "scipy", "plotly", "statsmodels", "pandas", "PIL")


def resident() -> float:
    """Megabytes of this process in memory."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 2**20


def view(page: str) -> dict[str, object]:
    from tests.bench import progress

    progress.set_up()
    from practice.strength.services import agree
    from shared.people.access import recordable
    from tests.conftest import signed_in

    coach, student = progress.fill()
    agree(student=recordable(student))
    client = signed_in(coach)
    assert client.get("/drills/").status_code == 200
    before, address = resident(), f"/students/{student.pk}/{page}/".replace("./", "")
    took = []
    for _ in range(2):
        began = process_time()
        assert client.get(address).status_code == 200
        took.append(process_time() - began)
    came = Counter(name.split(".")[0] for name in sys.modules)
    return {
        "mb": resident() - before,
        "seconds": took,
        "modules": {name: came[name] for name in HEAVY if came[name]},
        "optimize": "scipy.optimize" in sys.modules,
    }


def main(pages: list[str], to: Path | None) -> None:
    every = {}
    print(f"{'first view of':12}{'MB':>8}{'s':>8}{'again':>8}  modules")
    for page in pages or PAGES:
        command = [sys.executable, "-m", "tests.bench.first_view", "--one", page]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        every[page] = found = json.loads(done.stdout.splitlines()[-1])
        first, again = found["seconds"]
        came = ", ".join(f"{name} {n}" for name, n in found["modules"].items())
        print(f"{page:12}{found['mb']:8.1f}{first:8.2f}{again:8.2f}  {came}", flush=True)
    if to:
        to.write_text(json.dumps(every, indent=1))


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(view(sys.argv[2])))
    else:
        parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
        parser.add_argument("pages", nargs="*")
        parser.add_argument("--json", type=Path)
        asked = parser.parse_args()
        main(asked.pages, asked.json)
