"""A web worker carries no numerical library until a page of numbers is asked for."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

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
BOOK = """
from datetime import date
from practice.numbers.speed.book import speed_line
from practice.numbers.speed.queries import JoinedLine, SpeedDay
"""
FIRST_ANSWER = """
swings = [tuple(60.0 + n % 5 + s / 2 for s in range(6)) for n in range(12)]
days = [SpeedDay(date(2031, 1, 1 + n), each) for n, each in enumerate(swings)]
found = speed_line(JoinedLine('ball_speed', '', '', '', '', ''), tuple(days))
assert found.claim.days == 12 and found.spreads.within > 0
"""


@pytest.fixture(scope="module")
def loaded() -> list[set[str]]:
    """What one process has loaded that knows every address, the line, and its first answer."""
    tell = f"print(__import__('json').dumps([m for m in {HEAVY!r} if m in sys.modules]))\n"
    code = f"{WORKER}{tell}{BOOK}{tell}{FIRST_ANSWER}{tell}"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return [set(json.loads(line)) for line in done.stdout.splitlines()]


def test_every_address_can_be_known_without_one(loaded):
    assert loaded[0] == set()


def test_the_first_answer_brings_what_it_needs(loaded):
    """That the test above can fail: reckoning one line imports NumPy."""
    assert loaded[1:] == [set(), {"numpy", "scipy"}]
