"""Eight people at one shelf at once: reserving, moving, breaking, letting expire; the sums are right all the same."""

from __future__ import annotations

import random
import threading
from datetime import timedelta

import sqlalchemy as sa

from inventory.errors import Conflict
from inventory.store import Store, counts, reservations
from inventory.store.schema import promised, reservation_lines
from inventory.store.schema import reservations as rows
from tests.shelf import MONDAY, MORNING, a_store, an_order, by, days

PEOPLE, TURNS = 8, 12


def test_eight_at_once_leave_the_sums_right(database: str) -> None:
    store = a_store(database, {"riser-75": 20, "stop-60": 12})
    wrong: list[BaseException] = []

    def work(seed: int) -> None:
        chance, mine = random.Random(seed), list[int]()
        for turn in range(TURNS):
            try:
                one_turn(store, chance, mine, turn)
            except Conflict:
                pass  # short, or no longer in that state: an answer like any other
            except BaseException as error:
                wrong.append(error)

    threads = [threading.Thread(target=work, args=(seed,)) for seed in range(PEOPLE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []
    assert_sums_are_right(store)
    store.close()


def one_turn(store: Store, chance: random.Random, mine: list[int], turn: int) -> None:
    day = chance.randint(1, 9)
    what = chance.choice(("reserve", "reserve", "move", "break", "expire", "release", "repair"))
    if what == "reserve" or not mine:
        order = an_order(day, day + chance.randint(0, 3), riser_75=chance.randint(1, 4), stop_60=chance.randint(1, 2))
        mine.append(store.reserve(order, by(), MONDAY).id)
    elif what == "move":
        store.write(lambda c: reservations.move(c, chance.choice(mine), days(day, day + 1), by(), MONDAY))
    elif what == "release":
        store.write(lambda c: reservations.release(c, mine.pop(), by()))
    elif what == "expire":
        later = MONDAY + timedelta(days=turn // 4)
        store.expire(by("clock", at=MORNING + timedelta(days=turn // 4)), later)
    else:
        act = counts.take_out if what == "break" else counts.repair
        store.write(lambda c: act(c, "stop-60", 1, by()))


def assert_sums_are_right(store: Store) -> None:
    """Add every line up again, day by day, and compare with the sums that are kept and with what is free."""
    held = (
        sa.select(reservation_lines.c.item, rows.c.first_day, rows.c.last_day, sa.func.sum(reservation_lines.c.held))
        .join(rows, rows.c.id == reservation_lines.c.reservation)
        .where(reservation_lines.c.held > 0)
        .group_by(reservation_lines.c.item, rows.c.first_day, rows.c.last_day)
    )
    kept = sa.select(promised.c.item, promised.c.first_day, promised.c.last_day, promised.c.pieces)
    lines = store.read(lambda c: {tuple(row)[:3]: int(row[3]) for row in c.execute(held)})
    assert lines
    assert store.read(lambda c: {tuple(row)[:3]: row.pieces for row in c.execute(kept)}) == lines
    for line in store.read(counts.lines):
        for number in range(1, 14):
            day = days(number).first
            taken = sum(pieces for (item, first, last), pieces in lines.items() if item == line.item and first <= day <= last)
            assert store.snapshot(days(number)).free(line.item) == max(0, line.usable - taken)
            assert taken <= line.usable + (line.out_of_service if line.item == "stop-60" else 0)
