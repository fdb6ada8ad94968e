"""A web worker carries no numerical library until a page of numbers is asked for."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HEAVY = ("numpy", "scipy", "scipy.optimize", "scipy.stats", "plotly", "openpyxl", "PIL")
WORKER = """
import os, sys, tempfile
os.environ["DATA_DIR"] = tempfile.mkdtemp()
os.environ["DJANGO_SETTINGS_MODULE"] = "shared.settings"
os.environ.pop("DATABASE_URL", None)
import shared.wsgi, shared.urls
from django.urls import get_resolver
get_resolver().url_patterns
def walk(patterns):
    return sum(walk(p.url_patterns) if hasattr(p, "url_patterns") else 1 for p in patterns)
assert walk(get_resolver().url_patterns) > 50
"""


def loaded(after: str = "") -> set[str]:
    code = f"{WORKER}\n{after}\nprint([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return set(eval(done.stdout.splitlines()[-1]))  # noqa: S307 (our own list)


def test_every_address_can_be_known_without_one():
    assert loaded() == set()


def test_the_first_answer_brings_what_it_needs():
    """That the test above can fail: reckoning one line imports NumPy."""
    after = (
        "from datetime import date\n"
        "from practice.numbers.speed.book import speed_line\n"
        "from practice.numbers.speed.queries import JoinedLine, SpeedDay\n"
        "assert 'numpy' not in sys.modules\n"
        "swings = [tuple(60.0 + n % 5 + s / 2 for s in range(6)) for n in range(12)]\n"
        "days = [SpeedDay(date(2031, 1, 1 + n), each) for n, each in enumerate(swings)]\n"
        "found = speed_line(JoinedLine('ball_speed', '', '', '', '', ''), tuple(days))\n"
        "assert found.claim.days == 12 and found.spreads.within > 0\n"
    )
    assert loaded(after) == {"numpy", "scipy"}
