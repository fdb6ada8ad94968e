"""How good the forecast is: on invented studios whose truth is known, or on a studio's own past.

With --strangers a table over students of several other hands, who share nothing with the
forecast; those of HELD_BACK were not looked at while it was made. Else the figures are JSON;
beside the bar stands in words how early it warns, and how early the best possible forecast
would.

Seeds from 1000 on were not looked at while the forecast was made, those below 100 were;
so were these three mixes, by one such seed.
"""

import json
from argparse import ArgumentParser
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone

from coaching.forecast import simulated
from coaching.forecast.evaluation import FALSE_ALARMS, LOOKS, WEDNESDAY, Case, report
from coaching.forecast.forecast import ENOUGH
from coaching.forecast.own_thresholds import thresholds_of
from coaching.forecast.simulated_run import run
from coaching.forecast.strangers.trial import as_rows, table, together, trials
from coaching.track_record.own_past import OwnPast, studio_named
from shared.people.models import Studio
from shared.site.own_command import OwnCommand

SETTLED = 4  # Own weeks from which on a word is given at all.
BAR = 30


class Command(OwnCommand):
    help = (
        "Score the forecast and print JSON: on invented studios, or with --studio on its own past."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--studio", help="id or name: its own past weeks, each as it stood then"
        )
        parser.add_argument(
            "--mix",
            choices=[*simulated.MIXES, "all"],
            default="all",
            help="how the invented students behave",
        )
        parser.add_argument(
            "--strangers",
            action="store_true",
            help="a table over students of other hands, with intervals, instead of JSON",
        )
        parser.add_argument(
            "--sizes", type=int, nargs="+", default=[8, 20, 60], help="of strangers' studios"
        )
        parser.add_argument("--students", type=int, default=200)
        parser.add_argument("--weeks", type=int, default=26)
        parser.add_argument("--seed", type=int, nargs="+", default=[1001])
        parser.add_argument("--false-alarms", type=float, default=FALSE_ALARMS)
        parser.add_argument(
            "--wednesdays",
            action="store_true",
            help="of strangers or the own past, only Wednesday evenings: sooner done, without days "
            "of warning",
        )
        parser.add_argument("--output", type=Path, help="a file for the JSON")

    def handle(self, *args: object, **options: Any) -> None:
        if options["students"] < 1 or options["weeks"] < 1:
            raise CommandError("Give at least one student and one week.")
        if not 0 < options["false_alarms"] < 1:
            raise CommandError("--false-alarms is a share between 0 and 1.")
        if options["strangers"]:
            self._strangers(options)
            return
        rows = self._own(options) if options["studio"] else list(self._invented(options))
        text = json.dumps(rows, indent=2, default=str)
        if options["output"]:
            options["output"].write_text(text + "\n")
        else:
            self.stdout.write(text)

    # --- invented studios ---------------------------------------------------------------

    def _invented(self, options: dict[str, Any]) -> Iterator[dict[str, Any]]:
        names = list(simulated.MIXES) if options["mix"] == "all" else [options["mix"]]
        for name in names:
            for seed in options["seed"]:
                yield self._mix(simulated.MIXES[name], seed, options)

    def _mix(self, mix: simulated.Mix, seed: int, options: dict[str, Any]) -> dict[str, Any]:
        weeks = options["weeks"]
        students = simulated.studio(mix, students=options["students"], weeks=weeks, seed=seed)
        bar = self._bar(f"{mix.name}, seed {seed}", weeks)
        cases = list(run(students, enough=ENOUGH, tell=bar))
        about = {
            "source": "invented studio",
            "mix": mix.name,
            "seed": seed,
            "students": options["students"],
            "weeks": weeks,
        }
        return about | self._figures(cases, ENOUGH, options["false_alarms"])

    def _strangers(self, options: dict[str, Any]) -> None:
        found = [
            each
            for seed in options["seed"]
            for each in trials(
                options["sizes"],
                weeks=options["weeks"],
                seed=seed,
                tell=self.stderr.write,
                looks=_looks(options),
            )
        ]
        lines = together(found)
        self.stdout.write(table(lines))
        if options["output"]:
            options["output"].write_text(json.dumps(as_rows(lines), indent=2) + "\n")

    # --- a studio's own past -----------------------------------------------------------

    def _own(self, options: dict[str, Any]) -> dict[str, Any]:
        studio = studio_named(options["studio"])
        if studio is None:
            names = ", ".join(Studio.objects.order_by("name").values_list("name", flat=True)[:10])
            raise CommandError(f"There is no studio of this id or name. There are: {names}.")
        enough = thresholds_of(studio.pk).finish_share
        past = OwnPast(studio, options["weeks"], timezone.now(), enough, _looks(options))
        bar = self._bar(studio.name, len(past.students()))
        about = {"source": "own past", "studio": str(studio.pk), "weeks": options["weeks"]}
        return about | self._figures(past.run(bar), enough, options["false_alarms"])

    def _figures(self, cases: Iterable[Case], enough: float, alarms: float) -> dict[str, Any]:
        """All weeks, and those of students with enough weeks of their own for a word."""
        cases = list(cases)
        settled = report([c for c in cases if c.weeks_before >= SETTLED], false_alarms=alarms)
        if settled.get("in_words"):
            self.stderr.write(settled["in_words"])
        return {
            "look": "Wednesday, at the end of the day",
            "line": enough,
            f"from_week_{SETTLED + 1}": settled,
            "all_weeks": report(cases, false_alarms=alarms),
        }

    def _bar(self, name: str, total: int) -> "ProgressBar":
        return ProgressBar(self.stderr, name, total)


def _looks(options: dict[str, Any]) -> tuple[int, ...]:
    return (WEDNESDAY,) if options["wednesdays"] else tuple(LOOKS)


class ProgressBar:
    """A bar on the error stream that grows with each thing done."""

    def __init__(self, stream: Any, name: str, total: int) -> None:
        self.stream, self.name, self.total = stream, name, total

    def __call__(self, done: int) -> None:
        full = BAR * done // max(1, self.total)
        bar = "#" * full + "." * (BAR - full)
        ending = "\n" if done == self.total else ""
        self.stream.write(f"\r{self.name} [{bar}] {done} of {self.total}", ending=ending)
        self.stream.flush()
