"""One ticker and worker in a loop, to be killed at any moment. Leases and waits are shortened."""

import sys
import time
from datetime import timedelta

import django


def main() -> None:
    django.setup()
    from coaching.reminders import plan
    from shared.jobs import backoff, sweep
    from shared.outbox import send

    plan.A_TICK = 10  # Little at a time, so that kills fall into sending as well.
    send.LEASE = timedelta(seconds=4)
    sweep.LEASE = timedelta(seconds=4)
    backoff.FIRST_WAIT = timedelta(seconds=1)
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    while True:
        plan.tick()
        send.send_due(budget=5)
        time.sleep(0.1)


if __name__ == "__main__":
    main()
