"""The store against a shop kept on paper: random lives, compared after every step."""

from __future__ import annotations

import itertools
import shutil
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from inventory.availability import Shortage
from inventory.errors import InvalidDocument
from inventory.reservations import IllegalStep, Returned
from inventory.store import Order, counts, finding, open_store, reservations
from inventory.store.errors import CountRefused
from inventory.store.finding import Wanted
from tests.concurrency.paper_shop import PaperShop, Slip
from tests.databases import KINDS, new_database
from tests.shelf import READERS, a_store, by, days

ITEMS = ("riser-75", "stop-60")
ON_THE_SHELF = {"riser-75": 6, "stop-60": 3}
items = st.sampled_from(ITEMS)
few = st.integers(0, 4)
spans = st.tuples(st.integers(1, 12), st.integers(0, 5)).map(lambda pair: (pair[0], pair[0] + pair[1]))
kits = st.dictionaries(items, st.integers(1, 4), min_size=1)


class AgainstPaper(RuleBasedStateMachine):
    """One step in the store, the same on paper."""

    fresh: Any = None

    def __init__(self) -> None:
        super().__init__()
        self.store = type(self).fresh()
        self.paper = PaperShop(dict(ON_THE_SHELF), dict.fromkeys(ITEMS, 0))

    def teardown(self) -> None:
        self.store.close()

    @property
    def now(self) -> date:
        return date(2027, 3, self.paper.today)

    def any_number(self, pick: int) -> int:
        return list(self.paper.slips)[pick % len(self.paper.slips)]

    @rule(item=items, pieces=st.integers(1, 3))
    def receive(self, item: str, pieces: int) -> None:
        self.store.write(lambda c: counts.receive(c, item, pieces, by()))
        self.paper.count[item] += pieces

    @rule(item=items, pieces=st.integers(1, 3), kind=st.sampled_from(("break", "repair", "scrap")))
    def change(self, item: str, pieces: int, kind: str) -> None:
        act, count, broken = {
            "break": (counts.take_out, 0, pieces),
            "repair": (counts.repair, 0, -pieces),
            "scrap": (counts.scrap, -pieces, -pieces),
        }[kind]
        if 0 <= self.paper.broken[item] + broken <= self.paper.count[item] + count:
            self.store.write(lambda c: act(c, item, pieces, by()))
            self.paper.count[item] += count
            self.paper.broken[item] += broken
        else:
            with pytest.raises(CountRefused):
                self.store.write(lambda c: act(c, item, pieces, by()))

    @rule(item=items, count=st.integers(0, 8))
    def recount(self, item: str, count: int) -> None:
        self.store.write(lambda c: counts.recount(c, item, count, by()))
        self.paper.count[item] = count
        self.paper.broken[item] = min(self.paper.broken[item], count)

    @rule(kit=kits, span=spans, promise=st.booleans())
    def ask(self, kit: dict[str, int], span: tuple[int, int], promise: bool) -> None:
        order = Order("hinge posts", days(*span), kit)
        short = self.paper.short(kit, *span) if promise else []
        if short:
            with pytest.raises(Shortage) as refusal:
                self.store.reserve(order, by(), self.now)
            assert [line.item for line in refusal.value.lines] == short
            return
        if promise:
            made = self.store.reserve(order, by(), self.now)
        else:
            made = self.store.write(lambda c: reservations.propose(c, order, by(), self.now))
        self.paper.slips[made.id] = Slip("reserved" if promise else "proposed", *span, dict(kit), dict(kit))

    @precondition(lambda self: self.paper.slips)
    @rule(pick=st.integers(0, 50))
    def confirm(self, pick: int) -> None:
        number = self.any_number(pick)
        slip = self.paper.slips[number]
        self.step(lambda c: reservations.confirm(c, number, by(), self.now), self._confirmed(slip))

    def _confirmed(self, slip: Slip) -> str | None:
        if slip.state != "proposed":
            return "illegal"
        if self.paper.short(slip.pieces, slip.first, slip.last):
            return "short"
        slip.state = "reserved"
        return None

    @precondition(lambda self: self.paper.slips)
    @rule(pick=st.integers(0, 50))
    def hand_out(self, pick: int) -> None:
        number = self.any_number(pick)
        self.step(lambda c: reservations.hand_out(c, number, by(), self.now), self.paper.hand_out(number))

    @precondition(lambda self: self.paper.slips)
    @rule(pick=st.integers(0, 50), item=items, whole=few, broken=st.integers(0, 1), missing=st.integers(0, 1))
    def take_back(self, pick: int, item: str, whole: int, broken: int, missing: int) -> None:
        number = self.any_number(pick)
        back = {item: Returned(whole, broken, missing)}
        if self.paper.take_back(number, item, whole, broken, missing):
            self.store.write(lambda c: reservations.take_back(c, number, back, by()))
        else:
            with pytest.raises((IllegalStep, InvalidDocument)):
                self.store.write(lambda c: reservations.take_back(c, number, back, by()))

    @precondition(lambda self: self.paper.slips)
    @rule(pick=st.integers(0, 50))
    def release(self, pick: int) -> None:
        number = self.any_number(pick)
        slip = self.paper.slips[number]
        why_not = None if slip.state in ("proposed", "reserved") else "illegal"
        if why_not is None:
            slip.state = "released"
        self.step(lambda c: reservations.release(c, number, by()), why_not)

    @precondition(lambda self: self.paper.slips)
    @rule(pick=st.integers(0, 50), span=spans)
    def move(self, pick: int, span: tuple[int, int]) -> None:
        number = self.any_number(pick)
        self.step(lambda c: reservations.move(c, number, days(*span), by(), self.now), self.paper.move(number, *span))

    def step(self, act: Any, why_not: str | None) -> None:
        if why_not is None:
            self.store.write(act)
            return
        with pytest.raises({"illegal": IllegalStep, "short": Shortage}[why_not]):
            self.store.write(act)

    @precondition(lambda self: self.paper.today < 14)
    @rule()
    def next_morning(self) -> None:
        self.paper.today += 1
        gone = [
            number
            for number, slip in self.paper.slips.items()
            if slip.state in ("proposed", "reserved") and slip.last < self.paper.today
        ]
        assert [each.id for each in self.store.expire(by("clock"), self.now)] == gone
        for number in gone:
            self.paper.slips[number].state = "expired"

    @invariant()
    def counts_agree(self) -> None:
        for line in self.store.read(counts.lines):
            assert (line.count, line.out_of_service) == (self.paper.count[line.item], self.paper.broken[line.item])

    @invariant()
    def free_pieces_agree(self) -> None:
        for first, last in ((1, 1), (3, 8), (self.paper.today, 17)):
            seen = self.store.snapshot(days(first, last), self.now)
            assert {item: seen.free(item) for item in ITEMS} == {item: self.paper.free(item, first, last) for item in ITEMS}

    @invariant()
    def reservations_agree(self) -> None:
        found = self.store.read(lambda c: finding.find(c, Wanted(), limit=1000))
        assert {each.id: (each.state, each.span) for each in found} == {
            number: (slip.state, days(slip.first, slip.last)) for number, slip in self.paper.slips.items()
        }


def against(kind: str, examples: int, steps: int) -> None:
    """Run the machine on fresh stores of a kind."""
    folder = Path(tempfile.mkdtemp(prefix="hw-paper-"))
    numbers = itertools.count()

    def copied() -> Any:
        """Copying a stocked file is quicker than making one; a PostgreSQL database is emptied instead."""
        path = folder / f"{next(numbers)}.sqlite3"
        shutil.copy(folder / "shop.sqlite3", path)
        return open_store(f"sqlite:///{path}", READERS)

    def emptied() -> Any:
        import sqlalchemy as sa

        store = open_store(url, READERS)

        def reset(connection: sa.Connection) -> None:
            connection.execute(
                sa.text("TRUNCATE promised, reservations, reservation_lines, reservation_steps, journal RESTART IDENTITY")
            )
            for item, count in ON_THE_SHELF.items():
                counts.recount(connection, item, count, by(), out_of_service=0)

        store.write(reset)
        return store

    url = new_database(kind, folder)
    a_store(url, ON_THE_SHELF).close()
    machine = type("Machine", (AgainstPaper,), {"fresh": staticmethod(copied if kind == "sqlite" else emptied)})
    phases = (Phase.explicit, Phase.generate, Phase.shrink)
    checks = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
    try:
        run_state_machine_as_test(
            machine,
            settings=settings(
                max_examples=examples,
                stateful_step_count=steps,
                deadline=None,
                database=None,
                phases=phases,
                suppress_health_check=checks,
            ),
        )
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.mark.parametrize("kind", KINDS)
def test_store_and_paper_agree(kind: str) -> None:
    against(kind, examples=4, steps=30)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_store_and_paper_agree_over_two_thousand_lives(kind: str) -> None:
    against(kind, examples=2000, steps=50)
