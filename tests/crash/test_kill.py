"""Killed while it writes reservations: no acknowledged promise is lost, no half one is seen."""

from __future__ import annotations

import random
import subprocess
import sys
from functools import partial

import pytest
import sqlalchemy as sa

from inventory.store import Store, counts, finding, open_store
from inventory.store.finding import Wanted
from inventory.store.schema import reservation_lines, reservation_steps
from tests.shelf import READERS, a_store, days

STOCKED = {"riser-75": 100_000, "stop-60": 100_000}


def kill(url: str, times: int) -> list[str]:
    """Start and kill so many processes, each after a moment of its own; return what they said before they died."""
    chance = random.Random(times)
    moments = "".join(f"{chance.uniform(8, 60):.1f}\n" for _ in range(times))
    words = [sys.executable, "-m", "tests.crash.nursery", url]
    done = subprocess.run(words, input=moments, capture_output=True, text=True, timeout=30 + times, check=True)
    said = done.stdout.splitlines()
    assert sum(line == "killed 9" for line in said) == times, done.stderr
    return said


def look(store: Store) -> dict[int, tuple[str, dict[str, int]]]:
    """Return every reservation: its state and its lines."""
    found = store.read(lambda c: finding.find(c, Wanted(), limit=1_000_000))
    return {each.id: (each.state, {line.item: line.pieces for line in each.lines}) for each in found}


def check(url: str, said: list[str]) -> int:
    """Hold the store against what callers were told; return how many promises they were told of."""
    store = open_store(url, READERS)
    there = look(store)
    words = [line.split() for line in said if not line.startswith("killed")]
    acknowledged = {int(number): (int(r), int(s)) for number, r, s in (each for each in words if len(each) == 3)}
    going = {int(each[0]) for each in words if each[1:] == ["going"]}
    gone = {int(each[0]) for each in words if each[1:] == ["gone"]}
    for number, (risers, stops) in acknowledged.items():
        state, pieces = there[number]
        assert pieces == {"riser-75": risers, "stop-60": stops}
        assert state == "released" if number in gone else state in ("reserved", "released" if number in going else "reserved")
    assert all(set(pieces) == set(STOCKED) for _, pieces in there.values()), "half a reservation"
    live = [pieces for state, pieces in there.values() if state == "reserved"]
    seen = store.snapshot(days(2, 5))
    for item, count in STOCKED.items():
        promised = sum(pieces[item] for pieces in live)
        assert seen.free(item) == count - promised
        assert store.read(partial(counts.line, item=item)).count == count
    assert_whole(store)
    store.close()
    return len(acknowledged)


def assert_whole(store: Store) -> None:
    """Every line belongs to a reservation with as many steps as its version; SQLite finds its own file sound."""

    def read(connection: sa.Connection) -> None:
        counted = sa.select(reservation_steps.c.reservation, sa.func.count()).group_by(reservation_steps.c.reservation)
        steps = {number: count for number, count in connection.execute(counted)}  # noqa: C416
        lines = set(connection.execute(sa.select(reservation_lines.c.reservation)).scalars())
        assert set(steps) == lines
        assert all(steps[each.id] == each.version for each in finding.find(connection, Wanted(), limit=1_000_000))
        if connection.dialect.name == "sqlite":
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar_one() == "ok"

    store.read(read)


def test_killed_a_few_times(database: str) -> None:
    a_store(database, STOCKED).close()
    assert check(database, kill(database, 8)) > 8


@pytest.mark.slow
def test_killed_five_hundred_times(database: str) -> None:
    a_store(database, STOCKED).close()
    assert check(database, kill(database, 500)) > 500
