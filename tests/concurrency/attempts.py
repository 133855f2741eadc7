"""Many processes ask for the same few pieces at once; exactly what exists is granted.

    python -m tests.concurrency.attempts --db sqlite --attempts 1000000

runs the full size (16 processes, 300 units each of 20 items; `--db postgresql` for the other database, or a URL) and prints
what was measured as JSON; exit code 1 if anything was promised twice, lost, or refused for a lock.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import platform
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from inventory.availability import Shortage
from inventory.store import Order, Store, counts, open_store, reservations
from inventory.store.schema import reservation_lines
from inventory.store.schema import reservations as reservation_rows
from tests.databases import new_database
from tests.shelf import READERS, a_store, by, days

DAY = days(2)


@dataclass(frozen=True, slots=True)
class Task:
    """What one process does: so many attempts, one in `release_every` gives an earlier grant back."""

    url: str
    seed: int
    attempts: int
    items: tuple[str, ...]
    release_every: int


def work(task: Task) -> dict[str, Any]:
    """Ask again and again; then take what is left piece by piece. Returns what was granted and what went wrong."""
    chance = random.Random(task.seed)
    store = open_store(task.url, READERS)
    kept: dict[int, Mapping[str, int]] = {}
    told: dict[str, Any] = {"grants": 0, "refusals": 0, "releases": 0, "errors": [], "slowest_s": 0.0, "granted": {}}

    def ask(pieces: Mapping[str, int]) -> bool:
        begin = time.perf_counter()
        try:
            kept[store.reserve(Order(f"job {task.seed}", DAY, pieces), by(f"process {task.seed}")).id] = pieces
            told["grants"] += 1
            return True
        except Shortage:
            told["refusals"] += 1
        except Exception as error:  # every other answer is what this looks for
            told["errors"].append(repr(error))
        finally:
            told["slowest_s"] = max(told["slowest_s"], time.perf_counter() - begin)
        return False

    for attempt in range(task.attempts):
        if kept and attempt % task.release_every == 0:
            number = chance.choice(list(kept))
            store.write(partial(reservations.release, number=number, note=by()))
            del kept[number]
            told["releases"] += 1
        ask({item: chance.randint(1, 3) for item in chance.sample(task.items, chance.randint(1, 3))})
    for item in chance.sample(task.items, len(task.items)):
        while ask({item: 1}):
            pass
    for pieces in kept.values():
        for item, count in pieces.items():
            told["granted"][item] = told["granted"].get(item, 0) + count
    store.close()
    return told


def run(
    url: str, attempts: int, processes: int = 16, items: int = 20, units: int = 300, release_every: int = 50
) -> dict[str, Any]:
    """Run the contest on an empty database and compare what callers were told with what the store holds."""
    names = tuple(f"riser-{number}" for number in range(1, items + 1))
    store = a_store(url, dict.fromkeys(names, units))
    tasks = [Task(url, seed, attempts // processes, names, release_every) for seed in range(processes)]
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([__name__])
    begin = time.perf_counter()
    with context.Pool(processes) as pool:
        told = pool.map(work, tasks, chunksize=1)
    seconds = time.perf_counter() - begin
    sums = {key: sum(each[key] for each in told) for key in ("grants", "refusals", "releases")}
    granted = {name: sum(each["granted"].get(name, 0) for each in told) for name in names}
    errors = [error for each in told for error in each["errors"]]
    asked = sums["grants"] + sums["refusals"] + len(errors)
    figures = {"processes": processes, "items": items, "units": units, "attempts": asked, **sums, "seconds": round(seconds, 1)}
    pace = {"attempts_per_s": round(asked / seconds), "slowest_s": round(max(each["slowest_s"] for each in told), 3)}
    checks = {"granted": granted, "errors": errors, **_held(store)}
    store.close()
    return figures | pace | checks


def _held(store: Store) -> dict[str, Any]:
    """Return what the store itself says it has promised, and its lowest count."""

    def read(connection: sa.Connection) -> dict[str, Any]:
        held = sa.select(reservation_lines.c.item, sa.func.sum(reservation_lines.c.held)).group_by(reservation_lines.c.item)
        live = sa.select(sa.func.count()).select_from(reservation_rows).where(reservation_rows.c.state == "reserved")
        return {
            "held": {item: int(pieces) for item, pieces in connection.execute(held)},
            "live": connection.execute(live).scalar_one(),
            "lowest_count": min(line.usable for line in counts.lines(connection)),
        }

    return store.read(read)


def faults(result: Mapping[str, Any]) -> list[str]:
    """Return everything wrong with a run's result."""
    expected = dict.fromkeys(result["granted"], result["units"])
    return [
        *(f"error: {error}" for error in result["errors"]),
        *([] if result["granted"] == expected else [f"granted {result['granted']}"]),
        *([] if result["held"] == expected else [f"held {result['held']}"]),
        *([] if result["live"] == result["grants"] - result["releases"] else [f"{result['live']} reservations live"]),
        *([] if result["lowest_count"] == result["units"] else [f"a count fell to {result['lowest_count']}"]),
    ]


def main() -> int:
    """Run the contest from the command line."""
    parser = argparse.ArgumentParser(description="Ask for the same pieces from many processes at once.")
    parser.add_argument(
        "--db", default="sqlite", help="sqlite, postgresql (a private one is started), or the URL of an empty database"
    )
    parser.add_argument("--attempts", type=int, default=1_000_000)
    parser.add_argument("--processes", type=int, default=16)
    parser.add_argument("--units", type=int, default=300)
    parser.add_argument("--release-every", type=int, default=50)
    given = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="hw-attempts-"))
    try:
        url = given.db if ":" in given.db else new_database(given.db, folder, durable=True)
        result = run(url, given.attempts, given.processes, units=given.units, release_every=given.release_every)
    finally:
        shutil.rmtree(folder)
    wrong = faults(result)
    shown = {key: value for key, value in result.items() if key not in ("granted", "held")}
    machine = {"machine": platform.machine(), "cores": multiprocessing.cpu_count(), "python": platform.python_version()}
    print(json.dumps({"db": given.db.partition(":")[0], **shown, **machine, "wrong": wrong}, indent=1))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
