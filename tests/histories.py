"""Many short lives, each with chances of its own: what is kept is what judging anew says.

    .venv/bin/python -m tests.histories LIVES [--first SEED] [--steps 12] [--minutes 60]

Half of them write logs, whose tallies are compared with all that was logged after every act
(`tests/compliance/test_so_far.py`); half do whatever a studio does, and the board's kept lines are
compared (`tests/board/test_kept.py`). On SQLite in memory, or on the PostgreSQL of DATABASE_URL (an
empty database of its own). Each life is put back. The first difference ends it with its seed.
"""

import argparse
import os
import time
from collections import Counter
from multiprocessing import get_context
from random import Random

from tests.bench import house

START_SEED = 1_000_000  # Above those that tests are given.


def lives(first: int, how_many: int, every: int, steps: int, until: float) -> Counter[str]:
    """The lives of these seeds, one in `every` of them, and how much was compared. None begins
    after `until`."""
    from django.db import connection

    connection.close()  # It is the parent's.
    if connection.vendor == "sqlite":
        _into_memory(connection)
    told: Counter[str] = Counter()
    for seed in range(first, first + how_many, every):
        if time.monotonic() > until:
            break
        try:
            told += one_life(seed, steps)
        except BaseException:
            print(f"The life of seed {seed}:", flush=True)
            raise
    return told


def _into_memory(connection) -> None:
    """The migrated file, as this process's own."""
    import pysqlite3

    name = str(connection.settings_dict["NAME"])
    connection.settings_dict["NAME"] = ":memory:"
    connection.ensure_connection()
    with pysqlite3.connect(name) as kept:
        kept.backup(connection.connection)


def one_life(seed: int, steps: int) -> Counter[str]:
    import time_machine
    from django.db import transaction

    from tests.board.test_as_of import START
    from tests.board.test_kept import Watched
    from tests.compliance.test_so_far import Lived
    from tests.factories import make_coach

    kind = (Lived, Watched)[seed % 2]
    with time_machine.travel(START, tick=False) as clock, transaction.atomic():
        life = kind(make_coach(name="Coach One"), seed, clock)
        life.live(Random(seed).randint(steps // 2, steps + steps // 2))
        transaction.set_rollback(True)
    if isinstance(life, Watched):
        return Counter(lives=1, lines=life.looked, stood=life.stood)
    return Counter(lives=1, logs=life.weighed, tallies=life.compared)


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("lives", type=int)
    parser.add_argument("--first", type=int, default=START_SEED)
    parser.add_argument("--steps", type=int, default=12)
    parser.add_argument("--minutes", type=float, default=24 * 60)
    asked = parser.parse_args()
    house.set_up(os.environ.get("DATABASE_URL"))
    began, every = time.monotonic(), os.cpu_count() or 1
    until = began + 60 * asked.minutes
    shares = [(asked.first + n, asked.lives - n, every, asked.steps, until) for n in range(every)]
    with get_context("fork").Pool(every) as pool:
        told = sum(pool.starmap(lives, shares), Counter[str]())
    print(
        f"{told['lives']} lives, no difference: {told['tallies']} tallies compared after"
        f" {told['logs']} logs, {told['lines']} lines of the board, of which {told['stood']} stood;"
        f" {time.monotonic() - began:.0f} s"
    )


if __name__ == "__main__":
    main()
