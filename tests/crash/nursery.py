"""Processes that reserve until they are killed: `python -m tests.crash.nursery URL` forks one for each line it is told.

Each child writes reservations of two lines each and says `number pieces pieces` on standard output once a promise has been
acknowledged to it; the line from the parent is how long it may live, in milliseconds, from its first promise on. Then it is
killed with SIGKILL.
"""

from __future__ import annotations

import contextlib
import os
import random
import signal
import sys
import time
from functools import partial

from inventory.availability import Shortage
from inventory.store import open_store, reservations
from tests.shelf import READERS, an_order, by


def reserve_for_ever(url: str, seed: int, out: int, first: int) -> None:
    """Reserve, and now and then release, until killed; tell of each only after the store has acknowledged it."""
    chance = random.Random(seed)
    store = open_store(url, READERS)
    while True:
        risers, stops = chance.randint(1, 3), chance.randint(1, 3)
        with contextlib.suppress(Shortage):
            made = store.reserve(an_order(2, 5, riser_75=risers, stop_60=stops), by(f"process {os.getpid()}"))
            os.write(out, f"{made.id} {risers} {stops}\n".encode())
            os.write(first, b".")
            if chance.random() < 0.3:
                os.write(out, f"{made.id} going\n".encode())
                store.write(partial(reservations.release, number=made.id, note=by()))
                os.write(out, f"{made.id} gone\n".encode())


def main() -> None:
    """Fork, wait, kill; once for every line of standard input."""
    url, out = sys.argv[1], sys.stdout.fileno()
    for seed, line in enumerate(sys.stdin):
        begun, first = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                reserve_for_ever(url, seed, out, first)
            finally:
                os._exit(1)
        os.close(first)
        os.read(begun, 1)
        time.sleep(float(line) / 1000)
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        os.close(begun)
        os.write(out, f"killed {os.WTERMSIG(status) if os.WIFSIGNALED(status) else 'by itself'}\n".encode())


if __name__ == "__main__":
    main()
